"""What a sewn swatch tells of the thickness inside a stitch, the balance and the draw-in.

The handbook's way: sew a length, unpick it, lay both threads straight and measure them. Of
the loop's shapes the stadium is the expected one, so the thickness is that which a stadium of
the measured perimeter has. The band is the scatter of the readings, twice their standard
deviation, and no less than what a ruler can tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.project import SwatchSpec
from loftline.values import Band, Floats

READING_MM = 1.0
"""A thread laid along a ruler is read to a millimetre (common practice)."""

SIZE_MM = 0.5
"""A marked square on thick layers is read to half a millimetre (common practice)."""

_DEVIATIONS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stitch:
    """What the threads of a swatch tell.

    Attributes:
        thickness: inside the drawn-down stitch, mm.
        share: of the thread through the layers that the needle thread gave.
        readings: lines that were unpicked.
    """

    thickness: Band
    share: float
    readings: int


def stitch_of(swatch: SwatchSpec | None, stitch_length: float) -> Stitch | None:
    """Thickness and balance from the threads of a swatch; ``None`` where none is measured.

    Args:
        swatch: the readings.
        stitch_length: that the swatch was sewn with, mm.

    >>> needle = 100 / 2.5 * (2.5 + (math.pi - 2) * 2 / 2)
    >>> found = stitch_of(SwatchSpec(needle=[needle], bobbin=[needle]), 2.5)
    >>> round(found.thickness.expected, 6), found.share
    (2.0, 0.5)
    """
    if swatch is None or swatch.needle is None or swatch.bobbin is None:
        return None
    needle, bobbin = np.array(swatch.needle), np.array(swatch.bobbin)
    both, stitches = needle + bobbin, swatch.sewn / stitch_length
    mean = float(both.mean())
    off = _half_width(both, math.sqrt(2) * READING_MM)
    low, expected, high = (
        thickness_in(total / stitches, stitch_length) for total in (mean - off, mean, mean + off)
    )
    beyond = mean - 2 * swatch.sewn
    share = (float(needle.mean()) - swatch.sewn) / beyond if beyond > READING_MM else 0.5
    return Stitch(
        thickness=Band(low=low, expected=expected, high=high),
        share=min(max(share, 0.0), 1.0),
        readings=len(both),
    )


def thickness_in(loop: float, stitch_length: float) -> float:
    """Thickness of a stadium of some perimeter, mm; the other way round of ``thread.stadium``.

    >>> thickness_in(2 * 3.0, 3.0)
    0.0
    >>> round(thickness_in(2 + 2 * math.pi, 3.0), 9)
    2.0
    """
    thin = (loop - 2 * stitch_length) / (math.pi - 2)
    if thin <= stitch_length:
        return max(thin, 0.0)
    return loop / 2 + stitch_length - math.pi * stitch_length / 2


def draw_in_of(swatch: SwatchSpec | None) -> tuple[Band, Band] | None:
    """Draw-in along x and y in percent; ``None`` where no sizes are measured.

    >>> along, across = draw_in_of(SwatchSpec(before=[100, 100], after=[98, 99]))
    >>> round(along.expected, 6), round(across.high, 6)
    (2.0, 1.5)
    """
    if swatch is None or swatch.before is None or swatch.after is None:
        return None
    one, two = (
        Band(
            low=max(100 * (was - now - SIZE_MM) / was, 0.0),
            expected=max(100 * (was - now) / was, 0.0),
            high=max(100 * (was - now + SIZE_MM) / was, 0.0),
        )
        for was, now in zip(swatch.before, swatch.after, strict=True)
    )
    return one, two


def _half_width(readings: Floats, least: float) -> float:
    """Twice the scatter of the readings' mean, and never less than a ruler tells."""
    count = len(readings)
    if count < 2:
        return least
    scatter = _DEVIATIONS * float(readings.std(ddof=1)) / math.sqrt(count)
    return max(scatter, least / math.sqrt(count))
