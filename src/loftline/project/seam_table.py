"""The table of a seam of the whole bag, ``[[seams]]``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Final, Literal, get_args

from pydantic import Field

from loftline.project.faults import Refused, Slip, nearest
from loftline.project.given import Given
from loftline.project.leaves import Leaf, choice, length, read_choice, read_list, text, whole
from loftline.project.table import Table
from loftline.trade.usual_seams import DARTS, USUAL_SEAMS, Layer, pocket_seam
from loftline.units import Unit, show

SeamType = Literal["301", "304", "401", "504"]
SeamThread = Literal["sewing", "quilting"]

MOST_SEAMS: Final = 100
MOST_PASSES: Final = 20
_MOST_LAYERS: Final = 12
_MOST_EDGES: Final = 40
_WIDE: Final = ("304", "504")


def _words(noun: str, most: int, *words: str) -> Leaf:
    """A list of words that may come again; any words where none are given."""
    one = choice(*words) if words else text()

    def read(value: object, units: Unit) -> tuple[object, ...]:
        found: list[object] = []
        slips: list[Slip] = []
        for i, item in enumerate(read_list(value, 1, most, noun)):
            try:
                found.append(read_choice(item, words, {}) if words else one.read(item, units))
            except ValueError as error:
                slips.append(Slip((i,), str(error)))
        if slips:
            raise Refused(slips)
        return tuple(found)

    schema = {"type": "array", "items": dict(one.schema), "minItems": 1, "maxItems": most}
    return Leaf(read, schema)


class SeamSpec(Table):
    """A seam of the bag besides the quilting; one that a shape brings along, or another."""

    table: ClassVar[str] = "seams"

    name: Annotated[str, text()] = Field(
        description="name of the seam; the name of one that the shape brings along changes that one"
    )
    type: Annotated[SeamType | None, choice(*get_args(SeamType))] = Field(
        None,
        description="stitch type of ISO 4915: 301 lockstitch, 304 zigzag, 401 chain stitch, "
        "504 overedge with three threads; by default 301, or that of the shape's own seam",
    )
    seam_length: Annotated[float | None, length(over=0)] = Field(
        None, alias="length", description="length of one pass on one bag; or give edges"
    )
    edges: Annotated[tuple[str, ...] | None, _words("names of edges", _MOST_EDGES)] = Field(
        None,
        description='edges of the panel it runs along, such as ["left", "right"]; "outline" is '
        "all round",
    )
    stitch_length: Annotated[float | None, length(least=0.5, most=12)] = Field(
        None, description="advance of one stitch along the seam; by default 2.5 mm"
    )
    width: Annotated[float | None, length(over=0, most=20)] = Field(
        None, description="of a zigzag or an overedge stitch; by default 4 mm"
    )
    passes: Annotated[int | None, whole(0, MOST_PASSES)] = Field(
        None, description="how often it is sewn over; 0 leaves a seam of the shape out"
    )
    thread: Annotated[SeamThread, choice(*get_args(SeamThread))] = Field(
        "sewing",
        description="the thread it is sewn with: the sewing thread above and below, or the "
        "quilting's two",
    )
    through: Annotated[
        tuple[Layer, ...] | None, _words("layers", _MOST_LAYERS, *get_args(Layer))
    ] = Field(
        None,
        description='layers it goes through from the top down, such as ["outer", "foam", "foam", '
        '"outer"]; by default twice the outer fabric',
    )


def seam_slips(given: Given) -> Iterator[Slip]:
    """Names that differ, and for each a length: its own, of edges, or of the shape's own seam."""
    usual = usual_names(given)
    first: dict[str, int] = {}
    for i, seam in enumerate(given.tables("seams")):
        name = seam.text("name")
        if name and name in first:
            says = f"{show(name)} is the name of seams[{first[name]}] too; every name should differ"
            yield Slip(("seams", i, "name"), says)
        elif name:
            first[name] = i
        yield from _sized(seam, i, name, usual)


def usual_names(given: Given) -> tuple[str, ...]:
    """Names of the seams that the project brings along, without those of its own list."""
    shape = given.table("panel").text("shape") or ""
    names = [seam.name for seam in USUAL_SEAMS.get(shape, ())]
    if given.table("panel").tables("darts"):
        names += [seam.name for seam in DARTS]
    for pocket in given.table("cutting").tables("pockets"):
        name = pocket.text("name")
        if name:
            names.append(pocket_seam(name, "lining").name)
    return tuple(names)


def _sized(seam: Given, i: int, name: str | None, usual: tuple[str, ...]) -> Iterator[Slip]:
    if seam.has("length") and seam.has("edges"):
        yield Slip(("seams", i, "edges"), "give the length, or the edges it runs along, not both")
    if seam.has("width") and seam.text("type") not in (None, *_WIDE):
        says = f"belongs to a zigzag (304) or an overedge stitch (504), not to {seam.text('type')}"
        yield Slip(("seams", i, "width"), says)
    if seam.has("length") or seam.has("edges") or name is None or name in usual:
        return
    close = nearest(name, usual)
    says = "give a length, or the edges it runs along"
    if close is not None:
        says += f"; or did you mean the seam {show(close)}?"
    yield Slip(("seams", i, "length"), f"is missing; {says}")
