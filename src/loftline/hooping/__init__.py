"""Hooping: how often and where the panel is placed in the hoop, and what each hooping sews."""

from __future__ import annotations

from loftline.hooping.aside import aside_of_holes
from loftline.hooping.basting import basting, cross_stitches, loose_stitches
from loftline.hooping.crosses import ARM_MM
from loftline.hooping.dividing import Division, divisions
from loftline.hooping.findings import check_hoopings
from loftline.hooping.joining import in_field, join_networks, join_runs, join_sewn, mark_again
from loftline.hooping.sharing import Share, settled
from loftline.hooping.steps import without_border_steps

__all__ = [
    "ARM_MM",
    "Division",
    "Share",
    "aside_of_holes",
    "basting",
    "check_hoopings",
    "cross_stitches",
    "divisions",
    "in_field",
    "join_networks",
    "join_runs",
    "join_sewn",
    "loose_stitches",
    "mark_again",
    "settled",
    "without_border_steps",
]
