"""Caps on what a drawing may hold, so that any file is answered in two seconds and 300 MB."""

from __future__ import annotations

from typing import Final

MOST_DRAWING_BYTES: Final = 4_000_000

MOST_ELEMENTS: Final = 10_000
"""Elements or entities, copies of what is used again counted each."""

MOST_DEPTH: Final = 60
"""Groups within groups."""

MOST_LINES: Final = 250_000
"""Lines of text of a DXF drawing; reading them takes about a second."""

MOST_NUMBERS: Final = 100_000
"""Numbers in the paths of an SVG drawing; reading them takes about a second."""

MOST_DRAWN_POINTS: Final = 150_000
"""Points of all curves of a drawing once they are drawn as short straight pieces."""

MOST_CURVE_POINTS: Final = 20_000
"""Points of one piece of a curve; a sane one has fewer than 2000."""

MOST_COORDINATE: Final = 1e100
"""Numbers beyond this cannot be squared."""

FARTHEST_MM: Final = 1e7
"""Coordinates farther from zero than 10 km lose their small digits."""

LEAST_SIDE_MM: Final = 5.0
"""An outline smaller than this both ways was drawn in another unit."""

LEAST_ACROSS_MM: Final = 1.0
"""Nothing narrower than this is a panel in any unit."""

MOST_INSIDE: Final = 1000
"""Closed lines inside the outline, holes and what lies in holes."""

FLAT_MM: Final = 0.03
"""How far the straight pieces that stand for a curve may lie from it."""

TIDY_MM: Final = 0.01
"""How far an outline may move when points that add nothing are left out; with FLAT_MM it
keeps the promise of 0.05 mm."""

GAP_MM: Final = 0.5
"""Ends nearer than this are joined."""

SLIVER_MM: Final = 0.1
"""A strip thinner than this is no cloth, whichever side of the outline it lies on."""

LOOP_MM: Final = 1.0
"""A loop of an outline smaller than this cannot be cut (common practice, no source: a rotary
cutter follows a line to about a millimetre)."""

SAME_LINE_MM: Final = 0.05
"""Lines nearer than this everywhere are one, drawn twice."""

MOST_OUTLINE_POINTS: Final = 20_000
"""Points of a drawn outline once those that add nothing are left out."""

MOST_LOOPS: Final = 200
"""Places where an outline crosses or touches itself; one with more is no outline."""
