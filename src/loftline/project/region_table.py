"""Regions that the maker draws, ``[[regions]]``, to have a quilting design of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, ClassVar, Final, Literal, get_args

from pydantic import Field

from loftline.project import rules
from loftline.project.faults import Slip
from loftline.project.fold_tables import part_names
from loftline.project.given import Given
from loftline.project.leaves import choice, length, text
from loftline.project.list_leaves import corners
from loftline.project.panel_tables import PLACE, EdgePlace, KeepOutShape, Point
from loftline.project.table import Rules, Table
from loftline.units import show

MOST_REGIONS: Final = 50

Border = Literal["open", "sewn"]

_Size = Annotated[float | None, length(over=0)]

_SIZES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {"circle": ("diameter",), "rectangle": ("width", "height")}
)


class RegionSpec(Table):
    """A drawn piece of the panel with a quilting design of its own."""

    table: ClassVar[str] = "regions"
    rules: ClassVar[Rules | None] = rules.keep_out

    name: Annotated[str, text()] = Field(
        description="what the sheets call it, and a fill by its part; no part has this name"
    )
    shape: Annotated[KeepOutShape, choice(*get_args(KeepOutShape))] = Field(
        description="shape of its border"
    )
    at: Annotated[Point | EdgePlace | None, PLACE] = Field(
        None, description="centre of a circle or rectangle"
    )
    diameter: _Size = Field(None, description="of a circle")
    width: _Size = Field(None, description="of a rectangle")
    height: _Size = Field(None, description="of a rectangle")
    points: Annotated[tuple[Point, ...] | None, corners()] = Field(
        None, description="polygon: its corners, [x, y] each, 3 to 10 000"
    )
    border: Annotated[Border, choice(*get_args(Border))] = Field(
        "open",
        description="open: designs end at its border; sewn: a line is sewn along it once, on "
        "which their lines end",
    )


def region_slips(given: Given) -> Iterator[Slip]:
    """Names once each, and none of a part."""
    parts = part_names(given.table("panel"))
    first: dict[str, int] = {}
    for i, entry in enumerate(given.tables("regions")):
        name = entry.text("name")
        if not name:
            continue
        where = ("regions", i, "name")
        if name == "all":
            yield Slip(where, 'found "all", which means every part; choose another')
        elif name in parts:
            yield Slip(where, f"{show(name)} is a part of the panel; choose another")
        elif name in first:
            says = f"{show(name)} is the name of regions[{first[name]}] too; "
            yield Slip(where, says + "every name should differ")
        else:
            first[name] = i


def region_area(given: Given, name: str | None) -> float | None:
    """Square mm of the box round a region, reckoned from a raw project; ``None`` for no region."""
    for entry in given.tables("regions"):
        if entry.text("name") != name or name is None:
            continue
        keys = _SIZES.get(entry.text("shape") or "")
        if keys is None:
            return None
        sides = [entry.size(key) for key in keys]
        known = [side for side in sides if side is not None]
        return known[0] * known[-1] if len(known) == len(keys) else None
    return None
