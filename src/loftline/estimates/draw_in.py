"""How much a panel shrinks by quilting: measured on a swatch, told, or from the spacing.

Source of the figures by spacing: a test of a 9 x 20 in piece (grid 4 in 0 to 0.6 %, 2 in
1.3 %, 1.5 in 2.5 to 2.8 %) and four quilts (2.2 to 3.6 %, taken for the dense end). Closer
lines draw in more. Firm foam stands against it, by how much is not published: its least is 0.
The spacing is that which was asked for, so that nothing waits for the plan.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from loftline.project import Project
from loftline.values import Band, DrawIn

from .calibration import draw_in_of
from .layers import is_soft

SPACINGS_MM: Final = (25.4, 38.1, 50.8, 101.6)
_LOW: Final = (2.2, 2.2, 1.1, 0.0)
_EXPECTED: Final = (2.9, 2.65, 1.3, 0.3)
_HIGH: Final = (3.6, 2.8, 1.6, 0.6)
"""Percent at each of these spacings; between them in proportion, beyond them as at the last."""

_ROOM_MM: Final = 5.0
"""Left to trim off on each side when all is drawn in (common practice)."""


def by_spacing(spacing: float, *, firm: bool = False) -> Band:
    """Draw-in in percent from the distance between lines, mm.

    >>> by_spacing(50.8).expected, by_spacing(8.0).high, by_spacing(300.0).low
    (1.3, 3.6, 0.0)
    """
    low, expected, high = (
        float(np.interp(spacing, SPACINGS_MM, row)) for row in (_LOW, _EXPECTED, _HIGH)
    )
    return Band(low=0.0 if firm else low, expected=expected, high=high)


def draw_in(project: Project) -> DrawIn:
    """The draw-in along x and along y, and where it is from."""
    measured = draw_in_of(project.swatch)
    if measured is not None:
        return DrawIn(along=measured[0], across=measured[1], source="swatch")
    told = project.quilting.draw_in
    if told > 0:
        band = Band(low=told, expected=told, high=told)
        return DrawIn(along=band, across=band, source="told")
    band = by_spacing(min(fill.spacing for fill in project.fills), firm=not is_soft(project))
    return DrawIn(along=band, across=band, source="spacing")


def expected_draw_in(found: DrawIn) -> float:
    """The percent by which a panel is drawn larger, one figure for both ways."""
    return (found.along.expected + found.across.expected) / 2


def overhang_for(found: DrawIn, width: float, height: float) -> float:
    """Overhang that leaves something to trim off on every side, mm.

    Args:
        found: from :func:`draw_in`.
        width: of the panel's outline, mm.
        height: likewise.
    """
    most = max(width * found.along.high, height * found.across.high) / 100
    return most / 2 + _ROOM_MM
