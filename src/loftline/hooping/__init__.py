"""Hooping: how often and where the panel is placed in the hoop, and what each hooping sews."""

from __future__ import annotations

from loftline.hooping.basting import basting, cross_stitches, loose_stitches
from loftline.hooping.crosses import ARM_MM
from loftline.hooping.dividing import Division, divide
from loftline.hooping.findings import check_hoopings
from loftline.hooping.joining import join_networks, join_runs, join_sewn, mark_again
from loftline.hooping.sharing import Share
from loftline.hooping.steps import without_border_steps

__all__ = [
    "ARM_MM",
    "Division",
    "Share",
    "basting",
    "check_hoopings",
    "cross_stitches",
    "divide",
    "join_networks",
    "join_runs",
    "join_sewn",
    "loose_stitches",
    "mark_again",
    "without_border_steps",
]
