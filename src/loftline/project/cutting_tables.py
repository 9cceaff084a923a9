"""Tables about the cutting: widths of the cloths, gap, lining, pockets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Final, Literal

from pydantic import Field

from loftline.project.faults import Slip
from loftline.project.given import Given
from loftline.project.leaves import Entries, choice, choices, flag, length, text, whole
from loftline.project.table import Rules, Table
from loftline.trade.cloths import USUAL_WIDTH_MM

Material = Literal["outer", "foam", "lining"]
MATERIALS: Final[tuple[Material, ...]] = ("outer", "foam", "lining")

MOST_POCKETS: Final = 50
"""Kinds of pocket pieces."""

MOST_POCKET_PIECES: Final = 100
"""Pocket pieces of one bag: the work of laying them out grows with the square of it."""

_ClothWidth = Annotated[float, length(least=50)]
_Side = Annotated[float, length(over=0)]


class ClothWidthSpec(Table):
    """Usable width of each cloth, without its firm edges."""

    table: ClassVar[str] = "cloth_width"

    outer: _ClothWidth = Field(USUAL_WIDTH_MM, description="outer fabric")
    foam: _ClothWidth = Field(USUAL_WIDTH_MM, description="foam, fleece or batting")
    lining: _ClothWidth = Field(USUAL_WIDTH_MM, description="lining")


class PocketSpec(Table):
    """A rectangle that is cut for each bag besides the panel, such as a pocket."""

    table: ClassVar[str] = "pockets"

    name: Annotated[str, text()] = Field(description="name, shown in the cutting list")
    width: _Side = Field(description="width, across the cloth unless the piece is turned")
    height: _Side = Field(description="height, along the cloth unless the piece is turned")
    material: Annotated[Material, choice(*MATERIALS)] = Field(
        "lining", description="the cloth it is cut from"
    )
    count: Annotated[int, whole(1, MOST_POCKET_PIECES)] = Field(1, description="pieces for one bag")
    seam_allowance: Annotated[Literal["included", "add"], choice("included", "add")] = Field(
        "included",
        description='"included": width and height are as cut; "add": they are the finished '
        "size, and panel.seam_allowance is added on all four sides",
    )


def _cutting(given: Given) -> Iterator[Slip]:
    """Names that differ, and no more pieces than can be laid out."""
    first: dict[str, int] = {}
    pieces = 0
    for i, pocket in enumerate(given.tables("pockets")):
        name = pocket.text("name")
        if name and name in first:
            says = f"pockets[{first[name]}] has this name too; every name should differ"
            yield Slip(("pockets", i, "name"), says)
        elif name:
            first[name] = i
        count = pocket.raw("count") if pocket.has("count") else 1
        pieces += count if isinstance(count, int) and 0 < count <= MOST_POCKET_PIECES else 0
    if pieces > MOST_POCKET_PIECES:
        says = f"ask for {pieces} pieces a bag together; at most {MOST_POCKET_PIECES} are laid out"
        yield Slip(("pockets",), says)


class CuttingSpec(Table):
    """What is cut, and from which cloth; with this table a cutting list is made."""

    table: ClassVar[str] = "cutting"
    rules: ClassVar[Rules | None] = _cutting

    cloth_width: ClothWidthSpec = Field(
        ClothWidthSpec(), description="usable width of each cloth, without its firm edges"
    )
    gap: Annotated[float, length(least=0, most=200)] = Field(
        10.0, description="least distance between two pieces on the cloth"
    )
    lining: Annotated[bool, flag()] = Field(
        True, description="whether the panel gets a lining of its own outline"
    )
    one_way: Annotated[tuple[Material, ...], choices(*MATERIALS)] = Field(
        (), description="cloths whose print or nap has a direction: their pieces are not turned"
    )
    pockets: Annotated[tuple[PocketSpec, ...], Entries(MOST_POCKETS, noun="pockets")] = Field(
        (), description="further rectangles to cut, at most 50"
    )
