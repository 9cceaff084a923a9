"""Lengths, angles and stitch lengths as makers write them; all tolerances in one place.

Inside the program a length is a float in millimetres and an angle a float in degrees.
Text becomes a number once, here. Fractions are reckoned exactly before the one rounding
to a float, so that ``1 1/2 in``, ``1.5 in`` and ``38.1 mm`` are the very same number.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

Unit = Literal["mm", "cm", "m", "in", "yd"]

# Tolerances and least sizes, millimetres unless the name says otherwise.

NEEDLE_GRID_MM: Final = 0.1
"""Stitch formats hold whole tenths of a millimetre."""

CHORD_ERROR_MM: Final = 0.15
"""How far a sewn chord may leave the drawn curve: about the thickness of the thread."""

PLAN_MARGIN_MM: Final = 0.2
"""Kept free around keep-out zones while planning: chord error, rounding to the grid, slack."""

LEAST_STITCH_MM: Final = 0.3
"""Shorter than this the needle enters its own hole and the thread may break."""

LEAST_HARDWARE_CLEARANCE_MM: Final = 3.175
"""1/8 in, shown as 3.2 mm: the least a presser foot leaves beside a hard edge."""

DEFAULT_CLEARANCE_MM: Final = 6.35
"""1/4 in: the usual distance from a hard edge to the needle."""

SAME_PLACE_MM: Final = 1e-6
"""Two places nearer than this are one: far above rounding, far below a thread."""

MM_PER_INCH: Final = 25.4
"""By definition (international inch, 1959)."""

_PER_UNIT: Final[Mapping[str, Fraction]] = MappingProxyType(
    {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "m": Fraction(1000),
        "in": Fraction(254, 10),
        "yd": Fraction(9144, 10),
    }
)

_UNIT_WORDS: Final[Mapping[str, Unit]] = MappingProxyType(
    {
        **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
        **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
        **dict.fromkeys(("in", "in.", "inch", "inches", '"'), "in"),
        **dict.fromkeys(("yd", "yd.", "yard", "yards"), "yd"),
    }
)

# Signs that stand for the same thing on other keyboards and in copied patterns.
_SIGNS: Final = str.maketrans(
    {
        "\u2044": "/",  # fraction slash
        "\u2215": "/",  # division slash
        "\u2212": "-",  # minus sign
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # non-breaking hyphen
        "\u2013": "-",  # en dash
        "\u2033": '"',  # double prime
        "\u201c": '"',  # curly quotes
        "\u201d": '"',
        "\u201e": '"',
        "\u201f": '"',
        "\uff02": '"',  # full-width quote
        "\u2032": "'",  # prime
        "\u2018": "'",
        "\u2019": "'",
        "\u00ba": "\u00b0",  # ordinal sign, often typed for degrees
    }
)

_LONGEST_TEXT: Final = 60
_GREATEST: Final = 1e9
_SAMPLES: Final = '"38 mm", "3.8 cm", "1 1/2 in" or "3/8 in"'

_QUANTITY: Final = re.compile(
    r"""(?P<sign>[+-]?)\s*
        (?:(?P<whole>[0-9]{1,9})(?:\s+|\s*-\s*)(?P<over>[0-9]{1,9})\s*/\s*(?P<under>[0-9]{1,9})
          |(?P<top>[0-9]{1,9})\s*/\s*(?P<low>[0-9]{1,9})
          |(?P<decimal>[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}))
        \s*(?P<unit>[^0-9\s.]\S*|)""",
    re.VERBOSE,
)


def parse_length(value: object, default_unit: Unit = "mm") -> float:
    """Millimetres of a length as a maker writes it.

    Args:
        value: a number in ``default_unit``, or text such as ``38 mm``, ``1 1/2 in``,
            ``3/8"`` or ``21½"``; text without a unit is in ``default_unit`` too.
        default_unit: unit of what carries none.

    Returns:
        The length in mm, correctly rounded; it may be negative.

    Raises:
        ValueError: not a length; the message is one sentence for the maker.

    >>> parse_length("1 1/2 in")
    38.1
    >>> parse_length(1.5, "in"), parse_length("21½ cm")
    (38.1, 215.0)
    """
    if isinstance(value, str):
        number, unit = _read_quantity(value)
        if unit and unit not in _UNIT_WORDS:
            raise ValueError(_unknown_unit(value, unit))
        return float(number * _PER_UNIT[_UNIT_WORDS[unit] if unit else default_unit])
    plain = _check_number(value, f"a number or text such as {_SAMPLES}")
    # Outlines have thousands of plain millimetres: no exact arithmetic for those.
    return float(plain if default_unit == "mm" else _exact(plain) * _PER_UNIT[default_unit])


def parse_angle(value: object) -> float:
    """Degrees of an angle: a number, or text such as ``45``, ``45 deg`` or ``45°``.

    Raises:
        ValueError: not an angle; the message is one sentence for the maker.

    >>> parse_angle("22 1/2°")
    22.5
    """
    if not isinstance(value, str):
        return float(_check_number(value, 'a number of degrees such as 45 or "45 deg"'))
    number, unit = _read_quantity(value, samples='45 or "45 deg"', what="an angle")
    if unit not in {"", "\u00b0", "deg", "deg.", "degree", "degrees"}:
        raise ValueError(f'found {show(value)}; an angle is in degrees, such as 45 or "45 deg"')
    return float(number)


def stitch_length_from_per_inch(stitches: float) -> float:
    """Stitch length in mm for a number of stitches per inch: 25.4 divided by it.

    Raises:
        ValueError: not a positive, finite number.

    >>> stitch_length_from_per_inch(10.16)
    2.5
    """
    if not (math.isfinite(stitches) and stitches > 0):
        raise ValueError("stitches per inch must be more than 0")
    return MM_PER_INCH / stitches


def format_length(mm: float, unit: Unit = "mm", places: int | None = None) -> str:
    """Text of a length in the maker's unit; inches as decimals.

    Args:
        mm: millimetres.
        unit: unit to show.
        places: greatest number of decimals; by default what a tape measure can tell
            (mm 1, cm 2, in 2, m and yd 2). Trailing zeros are dropped.

    >>> format_length(38.1, "in"), format_length(3.175), format_length(3.175, "mm", 3)
    ('1.5 in', '3.2 mm', '3.175 mm')
    """
    if places is None:
        places = 1 if unit == "mm" else 2
    text = f"{mm / float(_PER_UNIT[unit]):.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}"


def tape_length(mm: float, unit: Unit = "mm") -> str:
    """Text of a length as a tape tells it: whole millimetres, or eighths of an inch.

    >>> tape_length(1281.4), tape_length(855.5, "cm"), tape_length(890.0, "in")
    ('1281 mm', '85.6 cm', '35 in')
    """
    if unit in ("in", "yd"):
        eighth = MM_PER_INCH / 8
        return format_length(round(mm / eighth) * eighth, unit, 3)
    return format_length(round(mm), unit, 3)


def stitch_words(mm: float, unit: Unit = "mm") -> str:
    """Text of a stitch length: in millimetres, as dials tell it, and per inch for inches.

    >>> stitch_words(2.5), stitch_words(2.5, "cm"), stitch_words(2.54, "in")
    ('2.5 mm', '2.5 mm', '2.54 mm (10 per inch)')
    """
    size = format_length(mm, "mm", 2)
    if unit not in ("in", "yd"):
        return size
    count = f"{MM_PER_INCH / mm:.1f}".removesuffix(".0")
    return f"{size} ({count} per inch)"


def safe(text: str, most: int = 40) -> str:
    r"""Text short enough and safe to print: no control or invisible signs.

    >>> safe("a\nb"), safe("abcdefgh", 6)
    ('a\\u000ab', 'abc...')
    """
    signs = (sign if sign.isprintable() else f"\\u{ord(sign):04x}" for sign in text[: most + 1])
    shown = "".join(signs)
    return shown if len(shown) <= most else shown[: most - 3] + "..."


def show(value: object) -> str:  # noqa: PLR0911 - one line a kind
    """What was found, short and safe to print: never deep, never long, no control signs.

    >>> show("a" * 100)[:8], show([1, 2, 3]), show(10 ** 5000)
    ('"aaaaaaa', 'a list of 3', 'a number beyond all measure')
    """
    if isinstance(value, str):
        return f'"{safe(value)}"'
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value) if abs(value) < 10**15 else "a number beyond all measure"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}" if value else "an empty list"
    return f"a {type(value).__name__}"


def read_finite(value: object) -> float:
    """A plain, finite number; true and false are none.

    Raises:
        ValueError: anything else, in one sentence.

    >>> read_finite(3)
    3.0
    """
    return float(_check_number(value, "a number"))


def _check_number(value: object, wanted: str) -> int | float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"found {show(value)}; should be {wanted}")  # noqa: TRY004 - one kind for all
    if not (isinstance(value, int) or math.isfinite(value)):
        raise ValueError(f"found {show(value)}; should be a finite number")
    if abs(value) > _GREATEST:
        raise ValueError(f"found {show(value)}; that is too large")
    return value


def _exact(value: float) -> Fraction:
    """The decimal the maker wrote, not the binary number nearest to it."""
    return Fraction(value) if isinstance(value, int) else Fraction(repr(float(value)))


def _read_quantity(
    text: str, samples: str = _SAMPLES, what: str = "a length"
) -> tuple[Fraction, str]:
    """Number and lower-case unit word (empty when there is none) of a text."""
    if not text.strip():
        raise ValueError(f"found an empty text; should be {what} such as {samples}")
    if len(text) > _LONGEST_TEXT:
        raise ValueError(f"found {show(text)}; too long for {what} such as {samples}")
    plain = _plain(text)
    if re.search(r"[0-9]\s*,|,\s*[0-9]", plain):
        raise ValueError(
            f"found {show(text)}; a comma is not read: write decimals with a point, such as 3.8"
        )
    match = _QUANTITY.fullmatch(plain)
    if match is None:
        raise ValueError(f"found {show(text)}; should be {what} such as {samples}")
    under = match["under"] or match["low"]
    if under is not None and int(under) == 0:
        raise ValueError(f"found {show(text)}; a fraction cannot be divided by zero")
    if match["whole"] is not None and int(match["over"]) >= int(match["under"]):
        raise ValueError(
            f"found {show(text)}; after a whole number the fraction must be less than one"
        )
    if match["decimal"] is not None:
        number = Fraction("0" + match["decimal"].rstrip("."))
    elif match["whole"] is not None:
        number = int(match["whole"]) + Fraction(int(match["over"]), int(match["under"]))
    else:
        number = Fraction(int(match["top"]), int(match["low"]))
    if number > _GREATEST:
        raise ValueError(f"found {show(text)}; that is too large")
    return (-number if match["sign"] == "-" else number), match["unit"].lower()


def _plain(text: str) -> str:
    """The text with one sign for each meaning: ``21½ ”`` becomes ``21 1/2 "``."""
    signs = []
    for sign in text.translate(_SIGNS):
        spelt_out = unicodedata.normalize("NFKC", sign)
        if "\u2044" in spelt_out:
            # "½" stands for "1/2"; the space keeps it apart from a whole number before it.
            signs.append(" " + spelt_out.replace("\u2044", "/"))
        else:
            signs.append(" " if sign.isspace() else sign)
    return "".join(signs).strip().replace("''", '"')


def _unknown_unit(text: str, unit: str) -> str:
    if unit in {"'", "ft", "ft.", "foot", "feet"}:
        return f'found {show(text)}; feet are not read: write inches, such as "18 in"'
    return f"found {show(text)}; {show(unit)} is no unit known here: use mm, cm, m, in or yd"
