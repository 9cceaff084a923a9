"""Thread thickness from one numbering to another; tex (grams of 1000 m) is the truth.

The direct systems weigh a length, the indirect ones measure how long a weight is.
Definitions: ISO 1144 (tex); metric count Nm = metres a gram; cotton count Ne = hanks of
840 yd a pound; denier = grams of 9000 m; ticket = three times the Nm of the whole thread.
"wt" is here the number of 1000 m that weigh a kilogram: 40 wt = 25 tex. On some labels
the same word means a cotton count, so tex is asked for wherever it is known.
"""

from __future__ import annotations

import math
import re
from typing import Final

from loftline.units import show

NE_CONSTANT: Final = 590.54
"""tex times Ne: 453.59237 g a pound, 840 yd of 0.9144 m a hank, grams of 1000 m."""

FINEST_TEX: Final = 1.0
COARSEST_TEX: Final = 1000.0

_WAYS: Final = '"40 wt", "Nm 80/2", "Ne 50/2", "den 300" or "ticket 120"'
_WEIGHT: Final = re.compile(
    r"(?P<before>[a-z.]*)\s*(?P<number>[0-9]{1,6}(?:\.[0-9]{1,6})?)"
    r"(?:\s*/\s*(?P<plies>[0-9]{1,2}))?\s*(?P<after>[a-z.]*)"
)


def tex_from_wt(wt: float) -> float:
    """Tex of a weight: 1000/wt.

    >>> tex_from_wt(40)
    25.0
    """
    return 1000.0 / _positive(wt, "a weight")


def tex_from_nm(number: float, plies: int = 1) -> float:
    """Tex of a metric count with its plies, ``Nm 80/2``: plies times 1000/Nm.

    >>> tex_from_nm(80, 2)
    25.0
    """
    return 1000.0 * _whole(plies) / _positive(number, "a metric count")


def tex_from_ne(number: float, plies: int = 1) -> float:
    """Tex of a cotton count with its plies, ``Ne 50/2``: plies times 590.54/Ne.

    >>> round(tex_from_ne(50, 2), 1)
    23.6
    """
    return NE_CONSTANT * _whole(plies) / _positive(number, "a cotton count")


def tex_from_den(den: float) -> float:
    """Tex of a denier: den/9.

    >>> tex_from_den(225)
    25.0
    """
    return _positive(den, "a denier") / 9.0


def tex_from_ticket(ticket: float) -> float:
    """Tex of a metric ticket number: 3000/ticket.

    >>> tex_from_ticket(120)
    25.0
    """
    return 3000.0 / _positive(ticket, "a ticket number")


def ticket_from_tex(tex: float) -> float:
    """Metric ticket number of a thickness: 3000/tex; shops round it.

    >>> ticket_from_tex(25)
    120.0
    """
    return 3000.0 / _positive(tex, "a thickness in tex")


def read_weight(text: str) -> float:
    """Tex of a thickness as it is written on a spool, with its meaning.

    Args:
        text: such as ``40 wt``, ``Nm 80/2``, ``Ne 50/2``, ``den 300`` or ``ticket 120``;
            the word may stand before or behind the number.

    Raises:
        ValueError: no meaning, an unknown one, or no thread at all; one sentence.

    >>> read_weight("Nm 80/2"), read_weight("225 den")
    (25.0, 25.0)
    """
    match = _WEIGHT.fullmatch(text.strip().casefold()) if len(text) <= 40 else None
    if match is None:
        raise ValueError(f"found {show(text)}; should be such as {_WAYS}")
    word = (match["before"] or match["after"]).strip(".")
    number = float(match["number"])
    if match["before"] and match["after"]:
        raise ValueError(f"found {show(text)}; should have one meaning, such as {_WAYS}")
    if not word:
        raise ValueError(
            f"found {show(text)}, a number that may mean several things; say which: {_WAYS}, or "
            "give tex"
        )
    if word == "tex":
        raise ValueError(f"found {show(text)}; write it as tex = {match['number']}")
    counted = {"nm": tex_from_nm, "ne": tex_from_ne}.get(word)
    plain = {
        "wt": tex_from_wt,
        "weight": tex_from_wt,
        "den": tex_from_den,
        "denier": tex_from_den,
        "ticket": tex_from_ticket,
        "tkt": tex_from_ticket,
    }.get(word)
    if counted is not None:
        tex = counted(number, int(match["plies"] or 1))
    elif plain is not None and match["plies"] is None:
        tex = plain(number)
    elif plain is not None:
        raise ValueError(f"found {show(text)}; only Nm and Ne numbers have plies behind a stroke")
    else:
        raise ValueError(f"found {show(text)}; {show(word)} is no meaning known here: {_WAYS}")
    if not FINEST_TEX <= tex <= COARSEST_TEX:
        raise ValueError(
            f"found {show(text)}, which is {tex:.4g} tex; sewing threads have 1 to 1000"
        )
    return tex


def _positive(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"found {show(value)}; {what} is more than 0")
    return value


def _whole(plies: int) -> int:
    if plies < 1:
        raise ValueError(f"found {show(plies)} plies; should be at least 1")
    return plies
