"""Folds and parts that the maker adds to a panel."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Final

from pydantic import Field

from loftline.project.faults import Slip
from loftline.project.given import Given
from loftline.project.leaves import text
from loftline.project.list_leaves import POINT
from loftline.project.table import Rules, Table
from loftline.units import show

Point = tuple[float, float]

MOST_FOLDS: Final = 50
MOST_PARTS: Final = 50

FOLDABLE: Final = ("rectangle", "ellipse", "polygon", "base", "zip pouch side")
"""Shapes that bring no folds of their own and take any."""

OWN_PARTS: Final = {
    "folded pouch": ("front", "back", "flap"),
    "flat sleeve": ("front", "back"),
    "boxed tote side": ("side", "base"),
    "strap": ("front", "back"),
}
"""Parts that a shape brings along."""


def _fold(given: Given) -> Iterator[Slip]:
    if given.has("to") and given.raw("from") == given.raw("to"):
        says = f"found {show(given.raw('to'))}, where the fold begins; give its other end"
        yield Slip(("to",), says)


def edge_place(given: Given) -> Iterator[Slip]:
    """One distance for one edge, two for two."""
    edges, distances = given.raw("from"), given.raw("distance")
    if not (given.has("from") and given.has("distance")):
        return
    if isinstance(edges, list | tuple) != isinstance(distances, list | tuple):
        says = f"found {show(distances)} for {show(edges)}; give one distance for each edge"
        yield Slip(("distance",), says)


class FoldSpec(Table):
    """A fold from one place to another, both on the edge of the panel or beyond it."""

    table: ClassVar[str] = "folds"
    rules: ClassVar[Rules | None] = _fold

    name: Annotated[str, text()] = Field(description="what the sheets call it")
    from_: Annotated[Point, POINT] = Field(
        alias="from", description="where it begins, [x, y], on the edge of the panel or past it"
    )
    to: Annotated[Point, POINT] = Field(
        description="where it ends, [x, y], on the edge of the panel or past it"
    )


class PartSpec(Table):
    """A name for a part between folds."""

    table: ClassVar[str] = "parts"

    name: Annotated[str, text()] = Field(description="what the sheets and fills call it")
    at: Annotated[Point, POINT] = Field(description="any place inside it, [x, y]")


def fold_slips(given: Given, shape: str | None) -> Iterator[Slip]:
    """Names once each; folds and parts only where the shape brings none."""
    for key in ("folds", "parts"):
        first: dict[str, int] = {}
        for i, entry in enumerate(given.tables(key)):
            name = entry.text("name")
            if name == "all" and key == "parts":
                yield Slip((key, i, "name"), 'found "all", which means every part; choose another')
            elif name and name in first:
                says = f"{show(name)} is the name of {key}[{first[name]}] too; "
                yield Slip((key, i, "name"), says + "every name should differ")
            elif name:
                first[name] = i
    if given.has("parts") and not given.has("folds") and shape in FOLDABLE:
        says = "found parts and no folds; parts lie between folds, so give those too"
        yield Slip(("parts",), says)


def part_names(panel: Given) -> tuple[str, ...]:
    """Names of parts of a raw panel, its own or given."""
    own = OWN_PARTS.get(panel.text("shape") or "", ())
    given = (entry.text("name") for entry in panel.tables("parts"))
    return (*own, *(name for name in given if name))
