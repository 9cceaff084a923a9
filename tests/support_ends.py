"""Line ends on the ways: what the designs hand on beside what a look-up finds."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from loftline.clips import on_ring, rings_at
from loftline.fills import make_fields, make_lines
from loftline.geometry import lengths
from loftline.panel import make_panel
from loftline.project import Project
from loftline.values import Floats, Ints, Lines, OnRings, Panel

SAME_MM = 1e-6

LABEL = {"name": "label", "shape": "rectangle", "at": [60, 70], "width": 40, "height": 20}
OVER_THE_EDGE = {"name": "ring", "shape": "circle", "at": [0, 150], "diameter": 30}
PANELS: dict[str, dict[str, Any]] = {
    "rounded": {
        "panel": {"shape": "rectangle", "width": 160, "height": 220, "corner_radius": 20},
        "keep_outs": [LABEL, OVER_THE_EDGE],
    },
    "no travel along the edge": {
        "panel": {"shape": "rectangle", "width": 160, "height": 220},
        "keep_outs": [LABEL],
        "quilting": {"edge": "none"},
    },
    "folds": {
        "panel": {
            "shape": "rectangle",
            "width": 160,
            "height": 240,
            "folds": [
                {"name": "low", "from": [0, 80], "to": [160, 90]},
                {"name": "high", "from": [0, 160], "to": [160, 160]},
            ],
            "parts": [
                {"name": "front", "at": [80, 20]},
                {"name": "back", "at": [80, 130]},
                {"name": "flap", "at": [80, 220]},
            ],
        },
        "keep_outs": [LABEL],
    },
    "a fold that is closed": {
        "panel": {
            "shape": "rectangle",
            "width": 160,
            "height": 220,
            "folds": [{"name": "fold", "from": [0, 100], "to": [160, 100], "closed_to": "both"}],
        },
        "keep_outs": [OVER_THE_EDGE],
    },
}


class Compared(NamedTuple):
    """Ends of open lines.

    Attributes:
        handed, found: ``(e,)`` ring as the designs know it and as a look-up finds it.
        apart: ``(e,)`` mm between the two places along the same ring; NaN for all others.
        off: ``(e,)`` mm from the end to the place that was handed on; NaN for all others.
    """

    handed: Ints
    found: Ints
    apart: Floats
    off: Floats


def drawn(project: Project) -> tuple[Panel, Lines]:
    panel = make_panel(project)
    return panel, make_lines(project, panel, make_fields(project, panel))


def compared(panel: Panel, lines: Lines) -> Compared:
    """Both ends of every open line, one after the other."""
    assert lines.ends is not None
    open_lines = np.flatnonzero(~lines.closed)
    first, last = lines.starts[open_lines], lines.starts[open_lines + 1] - 1
    ends = lines.points[np.column_stack([first, last]).ravel()]
    handed: Ints = lines.ends.ring[open_lines].ravel()
    along: Floats = lines.ends.along[open_lines].ravel()
    at, ring, far = rings_at(ends, panel.ways)
    found = np.full(len(ends), OnRings.NONE)
    found[at[::-1]] = ring[::-1]
    apart = np.full(len(ends), np.nan)
    total = lengths(panel.ways.points, panel.ways.starts)
    same = handed[at] == ring
    gap = np.abs(far[same] - along[at[same]])
    apart[at[same]] = np.minimum(gap, total[ring[same]] - gap)
    off = np.full(len(ends), np.nan)
    on = np.flatnonzero(handed >= 0)
    off[on] = np.hypot(*(on_ring(handed[on], along[on], panel.ways) - ends[on]).T)
    return Compared(handed, found, apart, off)


def faults(ends: Compared) -> list[str]:
    """Where what is handed on is not what a look-up finds."""
    known = ends.handed != OnRings.UNKNOWN
    on = ends.handed >= 0
    return [
        f"{fault}: {count}"
        for fault, count in {
            "said to lie on no ring": (known & ~on & (ends.found >= 0)).sum(),
            "no look-up finds the ring": (on & np.isnan(ends.apart)).sum(),
            "elsewhere along the ring": (ends.apart[on] > SAME_MM).sum(),
            "beside the end": (ends.off[on] > SAME_MM).sum(),
        }.items()
        if count
    ]
