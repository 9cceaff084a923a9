"""Thread that a lockstitch takes (ISO 4915 type 301).

One stitch of length ``s`` through a thickness ``T`` holds both threads in a loop of the
shape that the cloth leaves it: a rectangle in hard cloth, an ellipse in soft (all were seen
in sections of lockstitches: Chauhan and Ghosh, Indian Journal of Fibre and Textile
Research). The loop's perimeter is the length of needle and bobbin thread together:

========== ================================================= =======================
rectangle  ``2 (s + T)``                                     upper bound
stadium    ``2 |s - T| + pi min(s, T)``, round ends          expected
ellipse    axes ``s`` and ``T``, complete elliptic integral  lower bound
========== ================================================= =======================

``2 s <= ellipse <= stadium <= rectangle`` for every ``s`` and ``T``. The rectangle per unit
of seam is the trade's ``2 + 2 T S`` with ``S`` stitches per unit.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from scipy.special import ellipe

from loftline.values import Band, Floats

THREADS_OF_TYPE: Final = {"301": 2.0, "401": 4.0}
"""What the flat part of the stitch takes, both threads, per unit of seam (ISO 4915 type)."""


def rectangle(s: Floats | float, thickness: float) -> Floats:
    """Both threads of stitches of length ``s`` (mm), corners square."""
    return 2 * (np.asarray(s, np.float64) + thickness)


def stadium(s: Floats | float, thickness: float) -> Floats:
    """Both threads of stitches of length ``s`` (mm), ends round.

    >>> round(float(stadium(3, 3)) / 3, 4)
    3.1416
    """
    s = np.asarray(s, np.float64)
    return 2 * np.abs(s - thickness) + math.pi * np.minimum(s, thickness)


def ellipse(s: Floats | float, thickness: float) -> Floats:
    """Both threads of stitches of length ``s`` (mm), round all over.

    >>> round(float(ellipse(2, 2)), 4), float(ellipse(3, 0))
    (6.2832, 6.0)
    """
    s = np.asarray(s, np.float64)
    long, short = np.maximum(s, thickness), np.minimum(s, thickness)
    share = np.divide(short, long, out=np.ones_like(long), where=long > 0)
    loop: Floats = np.maximum(2 * long * ellipe(1 - share**2), 2 * s)
    return loop


def seam_ratio(thickness: float, stitches: float, kind: str = "301") -> float:
    """All threads of a straight stitch per unit of seam: ``k + 2 T S``.

    Args:
        thickness: of what is sewn, in any unit.
        stitches: number of stitches in one such unit of seam.
        kind: ISO 4915 type, a key of :data:`THREADS_OF_TYPE`.

    >>> round(seam_ratio(0.01, 10), 9)
    2.2
    """
    return THREADS_OF_TYPE[kind] + 2 * thickness * stitches


def zigzag_ratio(thickness: float, stitch_length: float, width: float) -> float:
    """Both threads of a zigzag (ISO 4915 type 304) per unit of seam.

    Args:
        thickness: of what is sewn, mm.
        stitch_length: advance of one stitch along the seam, mm.
        width: of the zigzag, mm.

    >>> round(zigzag_ratio(1, 2, 4), 2)
    5.47
    """
    return 2 * (math.hypot(stitch_length, width) + thickness) / stitch_length


def loop_band(lengths: Floats | float, thickness: Band, *, measured: bool = False) -> Band:
    """Both threads together of stitches of given lengths.

    Args:
        lengths: ``(n,)`` mm.
        thickness: inside the drawn-down stitch, mm.
        measured: whether that is what a swatch's threads tell, taken as stadiums; then all
            three figures are stadiums.

    Returns:
        Millimetres: ellipses round the low thickness, stadiums round the expected one,
        rectangles round the high one; ordered, and never under twice the seam.
    """
    low, high = (stadium, stadium) if measured else (ellipse, rectangle)
    return Band(
        low=float(low(lengths, thickness.low).sum()),
        expected=float(stadium(lengths, thickness.expected).sum()),
        high=float(high(lengths, thickness.high).sum()),
    )


def split(both: Band, seam: float, share: float = 0.5) -> tuple[Band, Band]:
    """Needle and bobbin thread of a lockstitch.

    Each runs the length of the seam; of what goes through the layers besides, the needle
    thread gives its share. So none is ever shorter than the seam.

    Args:
        both: both threads together, mm; at least twice the seam.
        seam: length of the seam, mm.
        share: 0.5 for a balanced stitch, locked half-way.

    >>> needle, bobbin = split(Band(low=500.0, expected=550.0, high=600.0), 220.0)
    >>> needle.expected, bobbin.expected
    (275.0, 275.0)
    """

    def part(of: float) -> Band:
        low, expected, high = (
            seam + of * max(total - 2 * seam, 0.0) for total in (both.low, both.expected, both.high)
        )
        return Band(low=low, expected=expected, high=high)

    return part(share), part(1 - share)
