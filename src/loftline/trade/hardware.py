"""Kinds of hardware: size, where it sits, when it is fitted, whether it is a magnet.

Sizes are the common ones of the trade; the maker's own always come first. A kind that is
not in the table needs a size in the project file; what else is unknown of it is taken
from the safe side (:data:`UNKNOWN_SITS`, :data:`UNKNOWN_FITTED`): it stands above the
fabric and is there while quilting, so needle and foot keep away from it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Literal

Sits = Literal["inside", "above", "below"]
Fitted = Literal["before quilting", "after quilting", "after lining"]

UNKNOWN_SITS: Final[Sits] = "above"
UNKNOWN_FITTED: Final[Fitted] = "before quilting"
UNKNOWN_TALL_MM: Final = 10.0
"""Higher than most presser feet lift (about 8 mm), so the foot stays away."""

_NO_SOURCE: Final = "common practice, no source"
_SNAPS: Final = (
    "magnetic snaps are numbered by diameter, 10 to 19 mm sold, 14 and 18 mm common; "
    "4 mm high, slim 2 mm"
)
_PRONGS: Final = (10 / 18, 4 / 18)
"""10 mm apart and 4 mm long at 18 mm (common practice, no source): washers differ."""
_BEFORE_LINING: Final = "bag patterns: snaps are set before the lining is joined"
_EYELETS: Final = "eyelets and grommets: the hole is about half of what is seen"
_LAST: Final = "bag patterns: eyelets, rivets and locks are set last, through all layers"


@dataclass(frozen=True, slots=True, kw_only=True)
class HardwareKind:
    """A row of the table.

    Attributes:
        name: trade word, as the key ``kind`` takes it.
        diameter: mm, of a round piece; else ``None`` and width and height are given.
        width, height: mm along x and y of a piece that is not round.
        tall: mm it stands out from the surface it sits on (inside: its thickness).
        sits: where it sits.
        fitted: when it is put in.
        magnetic: whether it pulls at the machine.
        hole: share of its size that is punched or cut out of the panel to fit it; 0 for none.
        prongs: of the two slits for a piece's prongs, which stand upright side by side: from
            one to the other, and the length of each, shares of its size; ``None`` for none.
        sizes: least and greatest diameter sold, mm, where a number in the kind may say it.
        source: where the row comes from.
    """

    name: str
    diameter: float | None = None
    width: float | None = None
    height: float | None = None
    tall: float
    sits: Sits
    fitted: Fitted
    magnetic: bool = False
    hole: float = 0.0
    prongs: tuple[float, float] | None = None
    sizes: tuple[float, float] | None = None
    source: str


KINDS: Final[tuple[HardwareKind, ...]] = (
    HardwareKind(
        name="sew-in magnet",
        diameter=18.0,
        tall=2.0,
        sits="inside",
        fitted="before quilting",
        magnetic=True,
        sizes=(6.0, 40.0),
        source="bag patterns: sew-in magnets go in before quilting; size " + _NO_SOURCE,
    ),
    HardwareKind(
        name="magnetic snap",
        diameter=18.0,
        tall=4.0,
        sits="above",
        fitted="after quilting",
        magnetic=True,
        prongs=_PRONGS,
        sizes=(10.0, 19.0),
        source=f"{_SNAPS}; {_BEFORE_LINING}; prongs {_NO_SOURCE}",
    ),
    HardwareKind(
        name="small magnetic snap",
        diameter=14.0,
        tall=4.0,
        sits="above",
        fitted="after quilting",
        magnetic=True,
        prongs=_PRONGS,
        sizes=(10.0, 19.0),
        source=f"{_SNAPS}; {_BEFORE_LINING}; prongs {_NO_SOURCE}",
    ),
    HardwareKind(
        name="slim magnetic snap",
        diameter=18.0,
        tall=2.0,
        sits="above",
        fitted="after quilting",
        magnetic=True,
        prongs=_PRONGS,
        sizes=(10.0, 19.0),
        source=f"{_SNAPS}; {_BEFORE_LINING}; prongs {_NO_SOURCE}",
    ),
    HardwareKind(
        name="press stud",
        diameter=12.5,
        tall=4.0,
        sits="above",
        fitted="after lining",
        hole=0.35,
        sizes=(7.0, 20.0),
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="eyelet",
        diameter=10.0,
        tall=2.0,
        sits="above",
        fitted="after lining",
        hole=0.5,
        sizes=(4.0, 25.0),
        source=f"{_LAST}; {_EYELETS}; size {_NO_SOURCE}",
    ),
    HardwareKind(
        name="grommet",
        diameter=20.0,
        tall=3.0,
        sits="above",
        fitted="after lining",
        hole=0.5,
        sizes=(10.0, 60.0),
        source=f"{_LAST}; {_EYELETS}; size {_NO_SOURCE}",
    ),
    HardwareKind(
        name="rivet",
        diameter=9.0,
        tall=3.0,
        sits="above",
        fitted="after lining",
        hole=0.4,
        sizes=(4.0, 15.0),
        source=f"{_LAST}; size {_NO_SOURCE}",
    ),
    HardwareKind(
        name="twist lock",
        width=35.0,
        height=25.0,
        tall=10.0,
        sits="above",
        fitted="after lining",
        hole=0.7,
        source=f"{_LAST}; size {_NO_SOURCE}",
    ),
    HardwareKind(
        name="D-ring",
        width=32.0,
        height=25.0,
        tall=4.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="rectangular ring",
        width=32.0,
        height=20.0,
        tall=4.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="buckle",
        width=35.0,
        height=45.0,
        tall=8.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="bag foot",
        diameter=12.0,
        tall=8.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="label",
        width=50.0,
        height=20.0,
        tall=1.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="zip end",
        width=25.0,
        height=12.0,
        tall=4.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
    HardwareKind(
        name="appliqué",
        width=80.0,
        height=80.0,
        tall=1.0,
        sits="above",
        fitted="after quilting",
        source=_NO_SOURCE,
    ),
)
"""All kinds known, in no order of worth."""

_OTHER_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "magnet": "sew-in magnet",
        "turn lock": "twist lock",
        "snap fastener": "press stud",
        "purse foot": "bag foot",
        "woven label": "label",
        "zipper end": "zip end",
        "applique": "appliqué",
        "turn clasp": "twist lock",
    }
)


def _plain(word: str) -> str:
    return " ".join(word.casefold().replace("-", " ").split())


_BY_NAME: Final[Mapping[str, HardwareKind]] = MappingProxyType(
    {_plain(row.name): row for row in KINDS}
)


_SIZED: Final = re.compile(r"(?P<mm>[0-9]{1,3}(?:[.,][0-9]{1,2})?)\s*mm\s+(?P<kind>\D.*)")


def look_up(kind: str) -> HardwareKind | None:
    """The row of a kind, or ``None``; case, hyphens and a plural s do not matter.

    A diameter in front, in mm, takes the place of the usual one where the kind is sold so.

    >>> look_up("Sew in magnets").sits, look_up("cowbell")
    ('inside', None)
    >>> look_up("14 mm magnetic snap").diameter, look_up("90 mm magnetic snap")
    (14.0, None)
    """
    plain = _plain(kind)
    sized = _SIZED.fullmatch(plain)
    if sized is not None:
        row = _row(sized["kind"])
        mm = float(sized["mm"].replace(",", "."))
        if row is None or row.sizes is None or not row.sizes[0] <= mm <= row.sizes[1]:
            return None
        return replace(row, diameter=mm)
    return _row(plain)


def size_trouble(kind: str) -> str | None:
    """Why a size in front of a known kind is not taken, in words; ``None`` when that is not it.

    >>> size_trouble("90 mm magnetic snap")
    'a magnetic snap is 10 to 19 mm across'
    """
    sized = _SIZED.fullmatch(_plain(kind))
    row = None if sized is None else _row(sized["kind"])
    if row is None or look_up(kind) is not None:
        return None
    article = "an" if row.name[0] in "aeiou" else "a"
    if row.sizes is None:
        return f"{article} {row.name} takes no size in its kind"
    return f"{article} {row.name} is {row.sizes[0]:g} to {row.sizes[1]:g} mm across"


def _row(plain: str) -> HardwareKind | None:
    for word in (plain, plain.removesuffix("s")):
        row = _BY_NAME.get(_plain(_OTHER_WORDS.get(word, word)))
        if row is not None:
            return row
    return None
