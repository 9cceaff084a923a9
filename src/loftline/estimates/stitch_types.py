"""Thread of one stitch of each type of ISO 4915 that a bag is sewn with.

=== ================ ========================== =========================================
301 lockstitch       needle and bobbin          see :mod:`loftline.estimates.thread`
304 zigzag           needle and bobbin          the same along the slanting stitch
401 chain stitch     needle and one looper      the needle thread down, along and up again,
                                                the looper's three times along: 4 + 2 T S
504 overedge         needle and two loopers     the needle thread as in 401, the loopers from
                                                the edge to the needle's line and back: together
                                                3 + 4 W S + 4 T S with the width W
=== ================ ========================== =========================================

Per unit of seam with ``S`` stitches, in the handbooks' words. The loops' shapes are those of
the lockstitch: ellipse low, stadium expected, rectangle high; the high figures are the
published formulas of the thread calculations, all of one family.
"""

from __future__ import annotations

import math

from loftline.estimates.thread import loop_band, split
from loftline.values import Band


def stitch_threads(
    kind: str,
    advance: float,
    thickness: Band,
    *,
    width: float = 0.0,
    share: float = 0.5,
    measured: bool = False,
) -> tuple[Band, Band]:
    """Thread above and below of one stitch.

    Args:
        kind: 301, 304, 401 or 504.
        advance: of the stitch along the seam, mm.
        thickness: inside the stitch, mm.
        width: of a zigzag or an overedge stitch, mm.
        share: of the needle thread in a lockstitch.
        measured: see :func:`loftline.estimates.thread.loop_band`.

    Returns:
        Millimetres of needle thread, and of bobbin thread or loopers.

    Raises:
        ValueError: for another type.

    >>> needle, under = stitch_threads("401", 2.5, Band(low=0.5, expected=0.5, high=0.5))
    >>> round((needle.high + under.high) / 2.5, 6)
    4.4
    """
    length = math.hypot(advance, width) if kind == "304" else advance
    loop = loop_band(length, thickness, measured=measured)
    match kind:
        case "301" | "304":
            return split(loop, length, share)
        case "401":
            along = Band(low=3 * advance, expected=3 * advance, high=3 * advance)
            return loop.plus(-advance), along
        case "504":
            round_edge = thickness.times(2).plus(2 * advance + 4 * width)
            return loop.plus(-advance), round_edge
    raise ValueError(f"found stitch type {kind}; should be 301, 304, 401 or 504")
