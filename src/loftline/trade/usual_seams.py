"""Seams that a bag of each shape usually has, from the zigzag round the panel to the last.

All of it is common practice, no source: a maker changes what she sews otherwise. Lengths are
those of the panel's edges. A **share** of a half stands where the panel is folded, so that one
edge makes both sides of a seam, or where the seam joins two panels and each counts half of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

Layer = Literal["outer", "foam", "lining"]

OUTLINE: Final = "outline"
"""The edge all round, as a seam names it."""

ROUND_PANEL: Final = "zigzag round the panel before trimming"
JOIN_LINING: Final = "join the lining"
ZIP_TOPSTITCH: Final = "topstitch along the zip"


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualSeam:
    """A seam that a shape brings along.

    Attributes:
        along: edges by name, each with the share of it that is sewn.
        through: layers from the top one down.
        lies_inside: whether it lies inside the seam line, where the foam always reaches.
        width: of a zigzag or an overedge stitch, mm.
    """

    name: str
    along: tuple[tuple[str, float], ...]
    through: tuple[Layer, ...]
    kind: str = "301"
    stitch_length: float = 2.5
    width: float = 0.0
    passes: int = 1
    lies_inside: bool = False


_PANEL: Final[tuple[Layer, ...]] = ("outer", "foam")
_TWO_PANELS: Final[tuple[Layer, ...]] = ("outer", "foam", "foam", "outer")
_TWO_LININGS: Final[tuple[Layer, ...]] = ("lining", "lining")
_ALL: Final[tuple[Layer, ...]] = ("outer", "foam", "lining")


def _round_panel() -> UsualSeam:
    return UsualSeam(
        name=ROUND_PANEL,
        along=((OUTLINE, 1.0),),
        through=_PANEL,
        kind="304",
        stitch_length=2.5,
        width=4.0,
    )


def _sides(*along: tuple[str, float], what: str = "side seams") -> tuple[UsualSeam, UsualSeam]:
    return (
        UsualSeam(name=f"{what}, outer", along=along, through=_TWO_PANELS),
        UsualSeam(name=f"{what}, lining", along=along, through=_TWO_LININGS),
    )


def _joined(*edges: str) -> tuple[UsualSeam, UsualSeam]:
    """The lining joined along edges that stay free, and the topstitch that keeps it in place."""
    along = tuple((edge, 1.0) for edge in edges)
    return (
        UsualSeam(name=JOIN_LINING, along=along, through=_ALL),
        UsualSeam(
            name="topstitch",
            along=along,
            through=_ALL,
            stitch_length=3.5,
            lies_inside=True,
        ),
    )


_FLAT: Final = (_round_panel(), *_joined(OUTLINE))

USUAL_SEAMS: Final[Mapping[str, tuple[UsualSeam, ...]]] = MappingProxyType(
    {
        "rectangle": _FLAT,
        "ellipse": _FLAT,
        "polygon": _FLAT,
        "file": _FLAT,
        "folded pouch": (
            _round_panel(),
            *_sides(("left", 0.5), ("right", 0.5)),
            *_joined("flap edge", "front edge"),
        ),
        "flat sleeve": (
            _round_panel(),
            *_sides(("left", 0.5), ("right", 0.5)),
            *_joined("front edge", "back edge"),
        ),
        "boxed tote side": (
            _round_panel(),
            *_sides(("left", 0.5), ("right", 0.5), ("bottom", 0.5), what="side and base seams"),
            *_joined("top"),
        ),
        "base": (_round_panel(), *_sides((OUTLINE, 1.0), what="base sewn in")),
        "zip pouch side": (
            _round_panel(),
            # while the panels still lie flat
            UsualSeam(name="zip", along=(("zip edge", 1.0),), through=_ALL),
            UsualSeam(
                name=ZIP_TOPSTITCH,
                along=(("zip edge", 1.0),),
                through=_ALL,
                stitch_length=3.5,
                lies_inside=True,
            ),
            *_sides(("left", 0.5), ("right", 0.5), ("bottom", 0.5), what="side and bottom seams"),
        ),
        "strap": (
            UsualSeam(
                name="topstitch both edges",
                along=(("top", 2.0),),
                through=_TWO_PANELS,
                stitch_length=3.5,
                lies_inside=True,
            ),
        ),
    }
)
"""By ``panel.shape``, in the order they are sewn."""

DARTS: Final = (
    UsualSeam(name="darts, outer", along=(), through=_TWO_PANELS),
    UsualSeam(name="darts, lining", along=(), through=_TWO_LININGS),
)
"""Where the panel has darts; each as long as all of its darts' seams."""


def pocket_seam(name: str, material: Layer) -> UsualSeam:
    """A pocket's hem and the seam round its other three sides, as long as once round it."""
    return UsualSeam(name=f"sew on {name}", along=(), through=(material, material))
