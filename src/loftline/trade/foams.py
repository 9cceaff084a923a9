"""Foams and fleeces that give a bag its stand.

Loose thicknesses: foam for bags is sold 3.2 to 6 mm thick (published); the rest is common
practice. No greatest distance between lines is published for any of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from loftline.trade.battings import find_batting
from loftline.trade.words import by_name, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Foam:
    """A kind of foam or fleece.

    Attributes:
        names: names it goes by, the first of them shown.
        thickness: loose, mm.
        fusible: whether an iron glues it on.
    """

    names: tuple[str, ...]
    thickness: float
    fusible: bool = False


FOAM: Final = Foam(names=("foam", "sew-in foam", "foam interfacing"), thickness=3.2)

FOAMS: Final = (
    FOAM,
    Foam(names=("fusible foam", "iron-on foam"), thickness=3.2, fusible=True),
    Foam(names=("thick foam",), thickness=6.0),
    Foam(names=("fleece", "sew-in fleece"), thickness=2.5),
    Foam(names=("fusible fleece", "iron-on fleece"), thickness=2.5, fusible=True),
    Foam(names=("felt",), thickness=3.0),
    Foam(names=("none", "no foam"), thickness=0.0),
)

_BY_NAME: Final = by_name(FOAMS)


def find_foam(kind: str) -> Foam | None:
    """The row a maker means, ``None`` for batting and for what is not in the table.

    >>> find_foam("Fusible FOAM").fusible, find_foam("wool batting")
    (True, None)
    """
    return _BY_NAME.get(plain(kind))


def loose_thickness(kind: str) -> float:
    """Loose thickness in mm of foam, fleece or batting; of foam for what is not known.

    >>> loose_thickness("foam"), loose_thickness("wool batting"), loose_thickness("moss")
    (3.2, 6.0, 3.2)
    """
    row = find_foam(kind) or find_batting(kind) or FOAM
    return row.thickness


def needs_iron(kind: str) -> bool:
    """Whether it is glued on with an iron, by its row or by the word for it.

    >>> needs_iron("fusible wool batting"), needs_iron("foam")
    (True, False)
    """
    row = find_foam(kind)
    if row is not None:
        return row.fusible
    return "fusible" in plain(kind).split() or "iron on" in plain(kind)
