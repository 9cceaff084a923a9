"""Needles: sizes, and which one takes which thread through which cloth.

Sources: needle number systems (NM is 100 times the blade's diameter in millimetres,
DIN 5325); thread-to-needle tables of a guild and of a needle maker; the same maker's rules
that a thread fills at most 40 % of the needle and that a needle sews 8 hours. The rows for
foam-backed panels are common practice; 100 to 110 for waxed cloth is the rule of a supplier
of canvas.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from loftline.trade.threads import thread_diameter

LEAST_NUMBER: Final = 8
GREATEST_NUMBER: Final = 18
"""The last number that follows the rule; 19 and more are spaced otherwise."""

THREAD_SHARE: Final = 0.40
"""Greatest share of the needle's diameter that the thread may have."""

LIFE_HOURS: Final = 8.0
"""Hours of sewing after which a needle is changed."""

WAXED_SIZES: Final = (100, 110)
"""For cloth that keeps its holes: waxed, coated or dense."""

# Thread up to this tex goes with needles from NM to NM and this point. The tables name wt;
# tex = 1000 / wt, with the limits halfway between neighbouring rows.
_ROWS: Final[tuple[tuple[float, int, int, str], ...]] = (
    (14.1, 60, 70, "microtex"),  # 100 wt
    (22.4, 80, 80, "microtex"),  # 50 wt
    (34.5, 90, 90, "microtex or topstitch"),  # 40 and 30 wt
    (42.3, 90, 90, "topstitch"),  # 28 wt
    (70.7, 100, 100, "topstitch"),  # 20 wt
)
_HEAVIEST: Final = (110, 110, "topstitch")
_FOAM_ROW: Final = 2
_FOAM_FINE: Final = (70, 70, "topstitch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Needle:
    """Needle sizes that suit a thread and a cloth.

    Attributes:
        least, greatest: metric sizes (NM) between which to choose.
        point: what to ask for at the counter.
        fits: whether the thread fills no more of the greatest than :data:`THREAD_SHARE`.
    """

    least: int
    greatest: int
    point: str
    fits: bool

    @property
    def label(self) -> str:
        """Size or sizes as printed on the packet, such as ``90/14``."""
        first = size_label(self.least)
        return first if self.least == self.greatest else f"{first} to {size_label(self.greatest)}"


def metric_size(number: int) -> int:
    """Metric size NM of a needle number: (number - 8) * 5 + 60.

    Raises:
        ValueError: a number outside 8 to 18, where the rule does not hold.

    >>> metric_size(14)
    90
    """
    if not LEAST_NUMBER <= number <= GREATEST_NUMBER:
        raise ValueError(
            f"found needle number {number}; the rule holds from {LEAST_NUMBER} to {GREATEST_NUMBER}"
        )
    return (number - 8) * 5 + 60


def size_label(nm: int) -> str:
    """Metric size and number as printed on the packet.

    Raises:
        ValueError: no size of the series 60, 65 ... 110.

    >>> size_label(110)
    '110/18'
    """
    number, rest = divmod(nm - 60, 5)
    if rest or metric_size(number + 8) != nm:
        raise ValueError(f"found needle size {nm}; sizes go in fives from 60 to 110")
    return f"{nm}/{number + 8}"


def least_size_for(diameter: float) -> float:
    """Least NM for a thread of a diameter in millimetres.

    >>> round(least_size_for(0.238), 1)
    59.5
    """
    return 100 * diameter / THREAD_SHARE


def choose_needle(tex: float, *, foam: bool = True, keeps_holes: bool = False) -> Needle:
    """Needle for the thread on top.

    Args:
        tex: of the needle thread.
        foam: whether the panel is backed with foam, fleece or batting: then no finer than
            90 but for fine silk.
        keeps_holes: whether the cloth is waxed, coated or dense: then 100 to 110.

    >>> choose_needle(20).label, choose_needle(20, foam=False).label
    ('90/14', '80/12')
    """
    row = next((i for i, entry in enumerate(_ROWS) if tex <= entry[0]), len(_ROWS))
    if foam and 0 < row < _FOAM_ROW:
        row = _FOAM_ROW
    least, greatest, point = _ROWS[row][1:] if row < len(_ROWS) else _HEAVIEST
    if foam and row == 0:
        least, greatest, point = _FOAM_FINE
    if keeps_holes:
        least, greatest = max(least, WAXED_SIZES[0]), max(greatest, WAXED_SIZES[1])
    return Needle(
        least=least,
        greatest=greatest,
        point=point,
        fits=least_size_for(thread_diameter(tex)) <= greatest,
    )


def stitches_per_needle(stitches_per_minute: float) -> float:
    """Stitches after which to change the needle.

    >>> stitches_per_needle(700)
    336000.0
    """
    return LIFE_HOURS * 60 * stitches_per_minute


def needles_for(stitches: int, stitches_per_minute: float) -> int:
    """Needles that so many stitches wear out.

    >>> needles_for(340_000, 700)
    2
    """
    return math.ceil(stitches / stitches_per_needle(stitches_per_minute))
