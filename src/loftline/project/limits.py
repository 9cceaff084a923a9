"""Caps on what a project file may ask for: the work is bounded before any is done."""

from __future__ import annotations

from typing import Final

LARGEST_MM: Final = 5000.0
"""No panel of a bag is larger, and the work grows with the area."""

MOST_BYTES: Final = 2_000_000
"""A project file is never larger; checked before it is read."""

MOST_POINTS: Final = 10_000
"""Points of one outline."""

MOST_POINTS_IN_ALL: Final = 50_000
"""Points of all outlines of a file."""

MOST_HOLES: Final = 200
MOST_PIECES: Final = 500
"""Pieces of hardware, and keep-outs."""

MOST_FILLS: Final = 50
MOST_COPIES: Final = 5000

MOST_STITCHES: Final = 3_000_000
"""Stitches of one plan, about three days of sewing."""

MOST_CROSSINGS: Final = 500_000
"""Crossings of the lines of a plan; planning the sewing order grows with them."""

MOST_FAULTS: Final = 60
"""More than this nobody reads; the rest is counted."""

LEAST_RUN_OFF_MM: Final = 2.0
"""Nearer to the trimming line the blade meets the travel in the overhang."""

CLOTH_EDGE_MM: Final = 2.0
"""Lines end so far from the edge of the cloth: nearer, the foot drops off it."""
