"""How cloth is sold, and how much larger than the panel it is cut before quilting.

Widths and steps of length are common practice. Draw-in of quilted cloth was measured at
2.2 to 3.6 % of its size on four quilts (published); from it the least oversize: 25 mm a side,
or 4 % of the size where that is more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from loftline.units import Unit, format_length

USUAL_WIDTH_MM: Final = 1100.0
"""Quilting cotton, the narrowest cloth that is common, without its firm edges."""

STEP_METRIC_MM: Final = 100.0
"""Shops that measure in metres cut to 10 cm."""

STEP_INCH_MM: Final = 114.3
"""Shops that measure in yards cut to 1/8 yard, 4 1/2 in."""

CLOTH_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {"outer": "outer fabric", "foam": "foam", "lining": "lining"}
)
"""What a layer is called, by its word in the project file."""

TIMES: Final = "\u00d7"

LONG_MM: Final = 10_000.0
"""From here on a length is told in metres or yards."""

OVERSIZE_MM: Final = 25.0
OVERSIZE_SHARE: Final = 0.04


def to_buy(length: float, step: float) -> float:
    """The least whole number of steps that holds a length, mm.

    >>> to_buy(1860.0, STEP_METRIC_MM), to_buy(1800.0, STEP_METRIC_MM), to_buy(0.0, 100.0)
    (1900.0, 1800.0, 0.0)
    """
    return math.ceil(round(length / step, 9)) * step


def step_of(units: Unit) -> float:
    """The step that shops cut to where the maker's unit is used, mm."""
    return STEP_INCH_MM if units == "in" else STEP_METRIC_MM


def buy_words(mm: float, units: Unit) -> str:
    """A length to buy: metres, or yards in eighths where the project is in inches.

    >>> buy_words(1900.0, "mm"), buy_words(1371.6, "in"), buy_words(228.6, "in")
    ('1.9 m', '1 1/2 yd', '1/4 yd')
    """
    if units != "in":
        return format_length(mm, "m")
    whole, rest = divmod(round(mm / STEP_INCH_MM), 8)
    part = {0: "", 2: "1/4", 4: "1/2", 6: "3/4"}.get(rest, f"{rest}/8")
    return f"{' '.join(filter(None, [str(whole) if whole else '', part])) or '0'} yd"


def cloth_length(mm: float, units: Unit) -> str:
    """A length of cloth, in metres or yards where it is long.

    >>> cloth_length(1860.0, "mm"), cloth_length(12_340.0, "cm"), cloth_length(1270.0, "in")
    ('1860 mm', '12.34 m', '50 in')
    """
    if mm < LONG_MM:
        return format_length(mm, units)
    return format_length(mm, "yd" if units == "in" else "m")


def cloth_title(material: str, kind: str) -> str:
    """What a cloth is called, with the maker's own word for it.

    >>> cloth_title("outer", "cotton duck"), cloth_title("foam", "foam"), cloth_title("lining", "")
    ('Outer fabric (cotton duck)', 'Foam', 'Lining')
    """
    word = CLOTH_WORDS[material]
    title = word[:1].upper() + word[1:]
    return title if kind in {"", word} else f"{title} ({kind})"


def cut_size(width: float, height: float, units: Unit) -> str:
    """Size of a piece as it is cut, to a tenth of a millimetre or a thousandth of an inch.

    >>> cut_size(142.875, 76.2, "in").replace(TIMES, "by")
    '5.625 by 3 in'
    """
    places = 3 if units == "in" else None
    wide, high = (format_length(side, units, places) for side in (width, height))
    return f"{wide.split()[0]} {TIMES} {high}"


def least_oversize(size: float) -> float:
    """What should be left on each side of a panel of that size before it is quilted, mm.

    >>> least_oversize(400.0), least_oversize(2000.0)
    (25.0, 40.0)
    """
    return max(OVERSIZE_MM, OVERSIZE_SHARE * size / 2)
