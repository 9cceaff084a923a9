"""Where parallel lines lie: evenly, unevenly from a seed, in pairs, even at both ends."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import shapely

from loftline.geometry import axes
from loftline.values import Area, Floats, Point

MOST_STRETCH: Final = 0.05
"""Share by which a spacing may be changed: less is not seen."""

MOST_JITTER: Final = 0.6
"""Of the spacing: the closest uneven lines keep 0.4 of it, room for foot and foam."""


def reach_across(area: Area, angle: float, through: Point) -> tuple[float, float]:
    """How far an area reaches to the right and left of a line (mm, to the left positive)."""
    _, across = axes(angle)
    corners = shapely.get_coordinates(area)
    if not len(corners):
        return 0.0, 0.0
    far = (corners - np.asarray(through)) @ across
    return float(far.min()), float(far.max())


def even_ends(wide: float, spacing: float) -> float:
    """The spacing nearest to the wanted one of which a whole number fits in a width.

    With a line in the middle a whole spacing is then left at both sides where the number is
    even, half of one where it is odd. Not changed by more than :data:`MOST_STRETCH`.

    >>> round(even_ends(100.0, 12.0), 9)
    12.5
    >>> even_ends(30.0, 12.5)  # two spacings would be a fifth too wide
    12.5
    """
    fits = wide / max(round(wide / spacing), 1)
    return fits if abs(fits / spacing - 1) <= MOST_STRETCH + 1e-9 else spacing


def even_offsets(low: float, high: float, spacing: float) -> Floats:
    """Multiples of the spacing from ``low`` to ``high`` (mm), rising."""
    first, last = math.ceil(low / spacing), math.floor(high / spacing)
    return np.arange(first, last + 1, dtype=np.float64) * spacing


def uneven_offsets(
    low: float, high: float, spacing: float, uneven: float, seed: int, *, kept: float = 0.0
) -> Floats:
    """Offsets from ``low`` to ``high`` with gaps that vary about the spacing; one of them 0.

    The gaps are drawn outward from 0, each side by itself, so a larger part only adds lines.

    Args:
        low: mm, not more than 0.
        high: mm, not less than 0.
        spacing: mm, the gaps' mean.
        uneven: 0 to 1; gaps are even between ``1 - 0.6 uneven`` and ``1 + 0.6 uneven`` of it.
        seed: same seed, same gaps.
        kept: mm of each gap that does not vary, the width of a pair.
    """
    sides = []
    for side, far in ((0, high), (1, -low)):
        free = spacing - kept
        least = kept + free * (1 - MOST_JITTER * uneven)
        count = max(math.ceil(far / least) + 1, 0)
        draw = 2 * np.random.default_rng([seed, side]).random(count) - 1
        gaps = kept + free * (1 + MOST_JITTER * uneven * draw)
        sides.append(np.cumsum(gaps))
    every = np.concatenate([-sides[1][::-1], [0.0], sides[0]])
    return every[(every >= low) & (every <= high)]


def pairs(offsets: Floats, apart: float) -> Floats:
    """Two offsets for each, so far apart, rising.

    >>> pairs(np.array([0.0, 10.0]), 3.0).tolist()
    [-1.5, 1.5, 8.5, 11.5]
    """
    both: Floats = (offsets[:, None] + np.array([-apart / 2, apart / 2])).ravel()
    return both
