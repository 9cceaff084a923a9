"""Hoops: the fields in which a computerized machine can sew.

Fields in millimetres as makers publish them (the last from memory). The names in inches
round up and clash, so nothing is reckoned from them.
"""

from __future__ import annotations

import re
from typing import Final

FIELDS: Final[tuple[tuple[float, float], ...]] = (
    (100, 100),
    (110, 110),
    (130, 180),
    (150, 240),
    (160, 260),
    (200, 200),
    (200, 300),
    (230, 230),
    (240, 360),
    (360, 200),
    (272, 408),
)


def smallest_field(width: float, height: float) -> tuple[float, float] | None:
    """The field of the least area that holds a width and a height, turned if need be.

    Args:
        width: of what must be held, mm.
        height: of what must be held, mm.

    Returns:
        The field as it is sold, or ``None`` where none of the table is large enough.

    >>> smallest_field(170, 120), smallest_field(500, 100)
    ((130, 180), None)
    """
    low, high = sorted((width, height))
    fitting = [f for f in FIELDS if min(f) >= low and max(f) >= high]
    return min(fitting, key=lambda f: f[0] * f[1], default=None)


def named_field(text: str) -> tuple[float, float] | None:
    """The field of the table that a text names, as wide and high as it says.

    >>> named_field("130 x 180"), named_field("180x130 mm"), named_field("5 x 7")
    ((130.0, 180.0), (180.0, 130.0), None)
    """
    found = re.fullmatch(r"\s*(\d{2,4})\s*[x\u00d7]\s*(\d{2,4})\s*(?:mm)?\s*", text, re.ASCII)
    if found is None:
        return None
    width, height = (float(side) for side in found.groups())
    known = (width, height) in FIELDS or (height, width) in FIELDS
    return (width, height) if known else None


def field_names() -> list[str]:
    """Every field of the table as a project file names it, the usual way up first."""
    return [f"{width:g} x {height:g}" for width, height in FIELDS]
