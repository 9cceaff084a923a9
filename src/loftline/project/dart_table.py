"""The table of darts: wedges at the panel's edge that are cut or sewn out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, ClassVar, Final, Literal

from pydantic import Field

from loftline.project.faults import Slip, listed
from loftline.project.given import Given
from loftline.project.leaves import choice, length, text
from loftline.project.list_leaves import corners
from loftline.project.table import Rules, Table

Corner = Literal["lower left", "lower right", "upper left", "upper right"]
Side = Literal["left", "right", "lower", "upper"]
Point = tuple[float, float]

MOST_DARTS: Final = 50

WAYS: Final = MappingProxyType(
    {
        "corner": (("unit",), ("depth",)),
        "fold": (("side", "depth"), ()),
        "points": ((), ()),
    }
)
"""Ways to give a dart: its first key, the keys it needs with it, those it may have."""

_Size = Annotated[float | None, length(over=0)]


def dart(given: Given) -> Iterator[Slip]:
    """A corner, the end of a fold or points; nothing of the others."""
    chosen = [key for key in WAYS if given.has(key)]
    if len(chosen) != 1:
        says = "give one of corner, fold and points: where the dart lies"
        yield from (Slip((key,), says) for key in chosen[1:] or ["corner"])
        return
    needed, allowed = WAYS[chosen[0]]
    for key in needed:
        if not given.has(key):
            says = f"is missing; a dart by its {chosen[0]} needs {listed(needed, 'and')}"
            yield Slip((key,), says)
    for key in dict.fromkeys(key for needs, may in WAYS.values() for key in needs + may):
        if given.has(key) and key not in needed + allowed:
            takes = f", which takes {listed(needed + allowed, 'and')}" if needed else ""
            yield Slip((key,), f"does not belong to a dart by its {chosen[0]}{takes}")


def named(entries: object) -> object:
    """Raw darts with a name each: ``dart`` and its place in the list where none is written."""
    if not isinstance(entries, list | tuple) or len(entries) > MOST_DARTS:
        return entries
    taken = {Given(entry, "mm").text("name") for entry in entries}
    out: list[object] = []
    for i, entry in enumerate(entries):
        if not isinstance(entry, Mapping) or "name" in entry:
            out.append(entry)
            continue
        place = i + 1
        while (name := f"dart {place}") in taken:
            place += 1
        taken.add(name)
        out.append({**entry, "name": name})
    return out


class DartSpec(Table):
    """A dart: a wedge at the panel's edge that is cut or sewn out to give depth."""

    table: ClassVar[str] = "darts"
    rules: ClassVar[Rules | None] = dart

    name: Annotated[str, text()] = Field(
        description="what the sheets call it; by default its place in the list"
    )
    corner: Annotated[
        Corner | None, choice("lower left", "lower right", "upper left", "upper right")
    ] = Field(None, description="corner it lies in; needs unit, may have depth")
    unit: _Size = Field(
        None, description="corner: how far from the square corner its legs start on both edges"
    )
    depth: _Size = Field(
        None,
        description="corner: from the curve (a square corner: from the corner) to the tip, on the "
        "line between both edges, by default 1 1/2 units; fold: how deep the boxed corner makes "
        "the finished bag, whatever the seam allowance is",
    )
    fold: Annotated[str | None, text()] = Field(
        None,
        description='fold at whose end a boxed corner lies, such as "lower fold"; needs side and '
        "depth; what is cut out is a rectangle on both sides of the fold",
    )
    side: Annotated[Side | None, choice("left", "right", "lower", "upper")] = Field(
        None, description="end of the fold; lower or upper where the fold runs up and down"
    )
    points: Annotated[tuple[Point, ...] | None, corners()] = Field(
        None,
        description="corners of the wedge, [x, y] each; two or more lie on the edge or past it",
    )
