"""Folds and parts of a panel: those the maker adds, and what is set about any fold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, ClassVar, Final, Literal

from pydantic import Field

from loftline.project.faults import Slip, listed, nearest
from loftline.project.given import Given
from loftline.project.leaves import choice, flag, length, text
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

OWN_FOLDS: Final = {
    "folded pouch": ("lower fold", "upper fold"),
    "flat sleeve": ("lower fold",),
    "boxed tote side": ("base fold",),
    "strap": ("centre fold",),
}
"""Folds that a shape brings along."""


def _fold(given: Given) -> Iterator[Slip]:
    for key, other in (("from", "to"), ("to", "from")):
        if given.has(other) and not given.has(key):
            yield Slip((key,), f"is missing; {other} is given, and a fold has two ends")
    if given.has("to") and given.raw("from") == given.raw("to"):
        says = f"found {show(given.raw('to'))}, where the fold begins; give its other end"
        yield Slip(("to",), says)


def mate(given: Given) -> Iterator[Slip]:
    """A part for the other half, or a place, which has its part."""
    if given.has("on") and given.has("at"):
        yield Slip(("on",), "give on, the part, or at, the very place, not both")


class FoldSpec(Table):
    """A fold from one place to another; or, by its name alone, one that the shape brings."""

    table: ClassVar[str] = "folds"
    rules: ClassVar[Rules | None] = _fold

    name: Annotated[str, text()] = Field(
        description="what the sheets call it; of a shape that brings its folds the name of one, "
        'such as "lower fold", and then without from and to'
    )
    from_: Annotated[Point | None, POINT] = Field(
        None,
        alias="from",
        description="where it begins, [x, y], on the edge of the panel or past it",
    )
    to: Annotated[Point | None, POINT] = Field(
        None, description="where it ends, [x, y], on the edge of the panel or past it"
    )
    closed_to: Annotated[
        Literal["nothing", "quilting", "travel", "both"],
        choice("nothing", "quilting", "travel", "both"),
    ] = Field(
        "nothing",
        description="what may not cross it. Quilting ends 3 mm before it, or half the gap where "
        "that is more, and may travel along there from line to line; travel, and sewing over a "
        "line again, does not cross it, nor where it goes on through the overhang",
    )
    gap: Annotated[float, length(least=0, most=100)] = Field(
        0.0,
        description="width of the strip along it where the foam is left out, so that it folds "
        "flat. Lines cross it once unless it is closed to quilting; there is no travel in it, "
        "and no sewing over again. It ends at the cut edge: the foam to be trimmed off runs on, "
        "and carries travel across",
    )
    crease: Annotated[bool, flag()] = Field(
        False,
        description="whether a line is sewn along it from edge to edge, also where it is closed "
        "to quilting",
    )
    bends: Annotated[Literal["flat", "square"], choice("flat", "square")] = Field(
        "flat",
        description="flat: what is beyond it comes to lie on the other side; square: an edge of a "
        "box. Two square folds with a strip between them, such as a gusset or a base, bring the "
        "parts beyond it face to face, as deep apart as the strip is wide",
    )


class PartSpec(Table):
    """A name for a part between folds."""

    table: ClassVar[str] = "parts"

    name: Annotated[str, text()] = Field(description="what the sheets and fills call it")
    at: Annotated[Point, POINT] = Field(description="any place inside it, [x, y]")


def fold_slips(given: Given, shape: str | None) -> Iterator[Slip]:
    """Names once each; places for a shape that brings no folds, known names for one that does."""
    for i, entry in enumerate(given.tables("folds")):
        if shape in FOLDABLE and not (entry.has("from") or entry.has("to")):
            says = "is missing; needed here: where the fold begins, [x, y], and to, where it ends"
            yield Slip(("folds", i, "from"), says)
        elif shape in OWN_FOLDS:
            yield from _built_in(entry, i, shape)
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
    if given.has("parts") and not given.raw("folds") and shape in FOLDABLE:
        says = "found parts and no folds; parts lie between folds, so give those too"
        yield Slip(("parts",), says)


def _built_in(entry: Given, i: int, shape: str) -> Iterator[Slip]:
    """Settings of a fold that the shape brings, called by its name."""
    own, name = OWN_FOLDS[shape], entry.text("name")
    if name and name not in own:
        says = f"found {show(name)}; {no_such_fold(name, own, f'a {shape}')}"
        yield Slip(("folds", i, "name"), says)
    key = "from" if entry.has("from") else "to"
    if entry.has(key):
        says = f"a {shape} brings its folds along; take from and to out, and give the name of "
        yield Slip(("folds", i, key), says + listed([show(word) for word in own]))


def no_such_fold(name: str, folds: Sequence[str], owner: str) -> str:
    """The rest of a sentence about a fold that is not there, with those that are."""
    close = nearest(name, folds)
    hint = f"did you mean {show(close)}? " if close and len(folds) > 1 else ""
    count = "fold" if len(folds) == 1 else "folds"
    return f"{hint}{owner} has the {count} {listed([show(word) for word in folds[:8]], 'and')}"


def part_names(panel: Given) -> tuple[str, ...]:
    """Names of parts of a raw panel, its own or given."""
    own = OWN_PARTS.get(panel.text("shape") or "", ())
    given = (entry.text("name") for entry in panel.tables("parts"))
    return (*own, *(name for name in given if name))


def region_names(project: Given) -> tuple[str, ...]:
    """Names of the regions of a raw project."""
    names = (entry.text("name") for entry in project.tables("regions"))
    return tuple(dict.fromkeys(name for name in names if name))
