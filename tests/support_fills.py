"""Every fill and each of its variants, by a name: what tests of all fills go through."""

from __future__ import annotations

from typing import Any

from loftline.patterns import PATTERNS
from loftline.project import motif_names

PLAIN: dict[str, dict[str, Any]] = {name: {"pattern": name} for name in PATTERNS if name != "motif"}
MOTIFS: dict[str, dict[str, Any]] = {
    name: {"pattern": "motif", "motif": name, "angle": 20} for name in motif_names()
}
STRAIGHT: dict[str, dict[str, Any]] = {
    "aslant": {"pattern": "channel", "angle": 33},
    "paired": {"pattern": "channel", "angle": 20, "paired": 3},
    "uneven": {"pattern": "channel", "angle": 90, "uneven": 1},
    "uneven pairs": {"pattern": "channel", "angle": 90, "uneven": 1, "paired": 3},
    "even ends": {"pattern": "channel", "angle": 90, "even_ends": True},
    "from a place": {"pattern": "channel", "start_at": [-300, 40]},
    "bent": {"pattern": "channel", "angle": 10, "at_keep_outs": "bend"},
    "triangle": {"pattern": "grid", "setting": "triangle"},
    "hanging diamond": {"pattern": "grid", "setting": "hanging diamond"},
    "diamond": {"pattern": "grid", "setting": "diamond"},
    "on point": {"pattern": "grid", "setting": "on point"},
    "three directions": {"pattern": "grid", "angle": [5, 50, 120]},
}
WAVY: dict[str, dict[str, Any]] = {
    "wavy": {"pattern": "channel", "angle": 0, "wave_height": 6, "wave_length": 31},
    "wavy pairs": {
        "pattern": "channel",
        "angle": 70,
        "wave_height": 14,
        "wave_length": 20,
        "paired": 3,
    },
    "uneven waves": {
        "pattern": "channel",
        "wave_height": 5,
        "wave_length": 22,
        "uneven": 0.8,
    },
}
CURVED: dict[str, dict[str, Any]] = {
    "meander with loops": {"pattern": "meander", "handwriting": "loops"},
    "graded meander": {"pattern": "meander", "spacing_to": 16, "spacing_towards": 30},
    "meander from edge to edge": {"pattern": "meander", "entry": [0, 0], "exit": [0, 90]},
    "rings": {"pattern": "echo", "joined": False},
    "spiral from a corner": {"pattern": "spiral", "start_at": [0, 0]},
    "rays by themselves": {"pattern": "rays", "joined": False},
}
FILLS = PLAIN | STRAIGHT | WAVY | CURVED | MOTIFS
TO_THE_EDGE = {"channel": PLAIN["channel"], "grid": PLAIN["grid"]} | STRAIGHT | WAVY
"""Fills whose lines end on the edge, never meet in a family, and are all open."""
