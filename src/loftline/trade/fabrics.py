"""Outer fabrics: how thick, whether a needle's hole stays, whether an iron may touch them.

Thicknesses are common practice, good to a third. That waxed and coated cloth keeps every
hole is what its makers say: clips instead of pins, no iron, nothing sewn that is picked
out later.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from loftline.trade.words import by_name, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Fabric:
    """A kind of outer fabric.

    Attributes:
        names: names it goes by, the first of them shown.
        thickness: mm.
        keeps_holes: whether a hole stays when the stitch is picked out.
        heat: whether it bears an iron.
    """

    names: tuple[str, ...]
    thickness: float
    keeps_holes: bool = False
    heat: bool = True


COTTON: Final = Fabric(names=("quilting cotton", "cotton", "cotton print"), thickness=0.3)

FABRICS: Final = (
    COTTON,
    Fabric(names=("linen",), thickness=0.5),
    Fabric(names=("cotton duck", "duck"), thickness=0.6),
    Fabric(names=("canvas", "cotton canvas"), thickness=0.7),
    Fabric(names=("denim",), thickness=0.8),
    Fabric(names=("corduroy",), thickness=1.0),
    Fabric(names=("velvet",), thickness=1.2),
    Fabric(names=("wool", "wool tweed", "tweed"), thickness=1.2),
    Fabric(names=("nylon", "polyester", "ripstop"), thickness=0.2, heat=False),
    Fabric(
        names=("waxed canvas", "waxed cotton", "waxed duck", "dry oilskin"),
        thickness=0.7,
        keeps_holes=True,
        heat=False,
    ),
    Fabric(
        names=("oilcloth", "laminated cotton", "coated cotton"),
        thickness=0.4,
        keeps_holes=True,
        heat=False,
    ),
    Fabric(
        names=("vinyl", "faux leather", "imitation leather"),
        thickness=0.9,
        keeps_holes=True,
        heat=False,
    ),
    Fabric(names=("leather",), thickness=1.2, keeps_holes=True, heat=False),
    Fabric(names=("cork", "cork fabric"), thickness=0.8, keeps_holes=True),
)

_BY_NAME: Final = by_name(FABRICS)
_WORDS_OF_HOLES: Final = frozenset(
    {"waxed", "coated", "laminated", "oilcloth", "oilskin", "vinyl", "leather", "cork"}
)


def find_fabric(kind: str) -> Fabric | None:
    """The row a maker means, ``None`` for what is not in the table.

    >>> find_fabric("Waxed  Canvas").keeps_holes
    True
    """
    return _BY_NAME.get(plain(kind))


def fabric_thickness(kind: str) -> float:
    """Thickness in mm; of quilting cotton for what is not known.

    >>> fabric_thickness("cotton duck"), fabric_thickness("moonlight")
    (0.6, 0.3)
    """
    return (find_fabric(kind) or COTTON).thickness


def keeps_holes(kind: str, *, told: bool | None = None) -> bool:
    """Whether a needle's hole stays: as told, else by the table, else by a word of the name.

    >>> keeps_holes("olive waxed twill"), keeps_holes("linen"), keeps_holes("linen", told=True)
    (True, False, True)
    """
    if told is not None:
        return told
    row = find_fabric(kind)
    return row.keeps_holes if row else not _WORDS_OF_HOLES.isdisjoint(plain(kind).split())


def bears_iron(kind: str, *, told: bool | None = None) -> bool:
    """Whether an iron may touch it: as told, else by the table, else unless it keeps holes.

    >>> bears_iron("waxed canvas"), bears_iron("cotton")
    (False, True)
    """
    if told is not None:
        return told
    row = find_fabric(kind)
    return row.heat if row else not keeps_holes(kind)
