"""Tables about the panel and what lies on it: outline, hardware, keep-outs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, Self, get_args

from pydantic import Field, PrivateAttr, ValidationInfo, field_validator, model_validator

from loftline.project import rules
from loftline.project.dart_table import MOST_DARTS, DartSpec, named
from loftline.project.drawn import Drawing
from loftline.project.drawn_table import DrawnSpec, drawing_for
from loftline.project.edge_row import EdgeRow
from loftline.project.fold_tables import (
    MOST_FOLDS,
    MOST_PARTS,
    FoldSpec,
    PartSpec,
    mate,
)
from loftline.project.leaves import Entries, Leaf, choice, length, text
from loftline.project.limits import LEAST_RUN_OFF_MM
from loftline.project.list_leaves import POINT, corners, hole_list, one_or_two
from loftline.project.table import Rules, Table
from loftline.units import DEFAULT_CLEARANCE_MM, Unit, show

PanelShape = Literal[
    "rectangle",
    "ellipse",
    "folded pouch",
    "flat sleeve",
    "boxed tote side",
    "base",
    "zip pouch side",
    "strap",
    "polygon",
    "file",
]
KeepOutShape = Literal["circle", "rectangle", "polygon"]
Sits = Literal["inside", "above", "below"]
Fitted = Literal["before quilting", "after quilting", "after lining"]
Point = tuple[float, float]

_Size = Annotated[float | None, length(over=0)]
_Clearance = Annotated[float, length(least=0, most=500)]


class PanelSpec(Table):
    """The panel's outline and what lies around it."""

    table: ClassVar[str] = "panel"
    rules: ClassVar[Rules | None] = rules.panel

    shape: Annotated[
        PanelShape,
        choice(*get_args(PanelShape)),
    ] = Field(description="shape of the outline")
    width: _Size = Field(None, description="from left to right; of a strap, across it")
    height: _Size = Field(
        None, description="from bottom to top: rectangle, ellipse, base, a side of a bag"
    )
    strap_length: _Size = Field(None, alias="length", description="strap: how long it is cut")
    depth: _Size = Field(
        None,
        description="boxed tote side: from front to back of the standing bag; squares of half of "
        "it are cut out of both bottom corners",
    )
    body: _Size = Field(
        None,
        description="folded pouch, flat sleeve: height of the front, and of the back, to the fold",
    )
    flap: _Size = Field(
        None, description="folded pouch: length of the flap, at most that of the body"
    )
    flap_inset: Annotated[float, length(least=0)] = Field(
        0.0, description="folded pouch: how much narrower the flap is than the body, each side"
    )
    corner_object: _Size = Field(
        None,
        description="diameter of a round object that the corners are drawn around: twice the "
        "corner_radius; give one of them",
    )
    corner_radius: Annotated[float, length(least=0)] = Field(
        0.0,
        validate_default=True,
        description="radius of a rectangle's four corners, of the flap's two free corners, of a "
        "zip pouch's two bottom corners or of every corner of a polygon",
    )
    points: Annotated[tuple[Point, ...] | None, corners()] = Field(
        None,
        description="polygon: corners of the outline, [x, y] each, 3 to 10 000; begin at (0, 0), "
        "all other places are measured from the same zero; the edge from the first point to the "
        'second is called "edge 1", the next "edge 2" and so on, and one that alone lies on that '
        'side of the panel "top", "bottom", "left" or "right" as well',
    )
    holes: Annotated[tuple[tuple[Point, ...], ...] | None, hole_list()] = Field(
        None,
        description="polygon: outlines of holes, at most 200: windows and slots, whose edges are "
        "bound and take no seam allowance",
    )
    file: Annotated[str | None, text()] = Field(
        None,
        description="file: the drawing, an SVG or DXF file beside the project file or in a folder "
        'beside it, at most 4 MB; its straight edges of 10 mm and more are called "edge 1", '
        '"edge 2" and so on, counter-clockwise from the lower left, and "top", "bottom", "left" or '
        '"right" as those of a polygon',
    )
    drawn: DrawnSpec | None = Field(
        None, description="file: which layer or id of the drawing holds what"
    )
    seam_allowance: Annotated[float, length(least=0, most=200)] = Field(
        10.0, description="strip inside the outline that ends inside a seam"
    )
    overhang: Annotated[float, length(least=0, most=500)] = Field(
        25.0, description="fabric and foam beyond the outline, trimmed after quilting"
    )
    run_off: Annotated[float | None, length(least=LEAST_RUN_OFF_MM, most=100)] = Field(
        None,
        description="how far lines run off past the cut edge, so that the seam before trimming "
        "catches them; travel in the overhang lies there too. By default 6 mm, or half the "
        "overhang where that is less; at least 2 mm, so that the cut misses the travel, and at "
        'most the overhang less 2 mm. Without run-off: quilting.edge = "seam allowance"',
    )
    fold_room: Annotated[
        Literal["report", "move the other half"], choice("report", "move the other half")
    ] = Field(
        "report",
        description="what happens when the flap's fold has too little room for panel and contents",
    )
    darts: Annotated[tuple[DartSpec, ...], Entries(MOST_DARTS, noun="darts")] = Field(
        (), description="wedges at the edge that are cut or sewn out, at most 50"
    )

    folds: Annotated[tuple[FoldSpec, ...], Entries(MOST_FOLDS, noun="folds")] = Field(
        (),
        description="folds of a shape that brings none, in the order they are closed; or what is "
        "set about the folds that it brings; at most 50",
    )
    parts: Annotated[tuple[PartSpec, ...], Entries(MOST_PARTS, noun="parts")] = Field(
        (), description="names for the parts between those folds, at most 50"
    )

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """Give names to darts that have none."""
        if "darts" in given:
            given["darts"] = named(given["darts"])

    @field_validator("corner_radius")
    @classmethod
    def _around(cls, value: float, info: ValidationInfo) -> float:
        """Half the diameter of the object that the corners are drawn around."""
        diameter: float | None = info.data.get("corner_object")
        return value if diameter is None else diameter / 2

    _drawing: Drawing | None = PrivateAttr(None)

    @property
    def drawing(self) -> Drawing | None:
        """What the drawing holds, when the shape is one."""
        return self._drawing

    def redrawn(self, drawing: Drawing) -> Self:
        """The same panel with another drawing."""
        other = self.model_copy()
        other._drawing = drawing  # noqa: SLF001 - its own
        return other

    @model_validator(mode="after")
    def _read_drawing(self, info: ValidationInfo) -> Self:
        if self.shape == "file" and self.file is not None and self._drawing is None:
            self._drawing = drawing_for(self.file, self.drawn, info)
        return self


class EdgePlace(Table):
    """A place measured in from the middle of an edge, or from two edges."""

    table: ClassVar[str] = "at"

    from_: Annotated[str | tuple[str, str], one_or_two(text(), "edges")] = Field(
        alias="from",
        description='the edge to measure from, such as "flap edge", or two of them in a list; '
        "a polygon's are named at points, a drawing's at file",
    )
    distance: Annotated[float | tuple[float, float], one_or_two(length(least=0), "distances")] = (
        Field(description="how far in from the middle of that edge; from two edges a list of two")
    )


def read_place(value: object, units: Unit) -> object:
    """A place ``[x, y]``, or one measured from edges."""
    if isinstance(value, EdgePlace):
        return value
    if isinstance(value, Mapping):
        return EdgePlace.model_validate(value, context={"units": units})
    if isinstance(value, list | tuple) and len(value) == 2:
        return POINT.read(value, units)
    raise ValueError(
        f'found {show(value)}; should be [x, y] or {{ from = "flap edge", distance = 32 }}'
    )


PLACE = Leaf(read_place, {"anyOf": [POINT.schema, {"type": "object"}]})


def _read_places(value: object, units: Unit) -> object:
    if isinstance(value, EdgeRow):
        return value
    if isinstance(value, Mapping) and {"along", "every", "count"} & set(value):
        return EdgeRow.model_validate(value, context={"units": units})
    return read_place(value, units)


_PLACES = Leaf(_read_places, {"anyOf": [POINT.schema, {"type": "object"}]})


class MateSpec(Table):
    """What is different about the other half of a closure."""

    table: ClassVar[str] = "mate"
    rules: ClassVar[Rules | None] = mate

    sits: Annotated[Sits | None, choice("inside", "above", "below")] = Field(
        None, description="where it sits; by default so that the two halves meet"
    )
    fitted: Annotated[
        Fitted | None, choice("before quilting", "after quilting", "after lining")
    ] = Field(None, description="when it is put in; by default as the first half")
    on: Annotated[str | None, text()] = Field(
        None,
        description="the part it lies on, where more than one lies over the first half; by "
        "default the next one outside, else the next one inside",
    )
    at: Annotated[Point | EdgePlace | None, PLACE] = Field(
        None,
        description="its centre, where it is placed by hand: [x, y] or "
        '{ from = "front edge", distance = 32 }; it is checked that both halves meet',
    )


def _read_mate(value: object, units: Unit) -> object:
    if isinstance(value, bool | MateSpec):
        return value
    if isinstance(value, Mapping):
        return MateSpec.model_validate(value, context={"units": units})
    raise ValueError(f'found {show(value)}; should be true or false, or {{ sits = "inside" }}')


_MATE = Leaf(_read_mate, {"anyOf": [{"type": "boolean"}, {"type": "object"}]})


class HardwareSpec(Table):
    """A piece of hardware; what is unset is looked up by its kind."""

    table: ClassVar[str] = "hardware"
    rules: ClassVar[Rules | None] = rules.hardware

    name: Annotated[str, text()] = Field(
        description="what the sheets call it; by default its kind and place in the list"
    )
    kind: Annotated[str, text()] = Field(
        description='what it is, such as "magnetic snap"; any other word with a size of its own'
    )
    diameter: Annotated[float | None, length(over=0, most=1000)] = Field(
        None, description="of a round piece; by default that of its kind"
    )
    width: Annotated[float | None, length(over=0, most=1000)] = Field(
        None, description="of a piece that is not round, with height; by default that of its kind"
    )
    height: Annotated[float | None, length(over=0, most=1000)] = Field(
        None, description="of a piece that is not round, with width; by default that of its kind"
    )
    at: Annotated[Point | EdgePlace | EdgeRow, _PLACES] = Field(
        description='its centre, [x, y] or { from = "flap edge", distance = 32 }; or a row of '
        'them, such as { along = "top", distance = 12, every = 40 }'
    )
    sits: Annotated[Sits | None, choice("inside", "above", "below")] = Field(
        None,
        description="under the outer fabric, standing above it, or on the bed side; by default as "
        "usual for its kind, above for a kind unknown here",
    )
    fitted: Annotated[
        Fitted | None, choice("before quilting", "after quilting", "after lining")
    ] = Field(
        None,
        description="when it is put in: only what is fitted before quilting is a keep-out; by "
        "default as usual for its kind, before quilting for a kind unknown here",
    )
    clearance: _Clearance = Field(
        DEFAULT_CLEARANCE_MM, description="from its hard edge to the needle; at least 3.175 mm"
    )
    mate: Annotated[bool | MateSpec, _MATE] = Field(
        False,
        description="whether its other half is marked where folding the panel brings it: true, or "
        '{ sits = "inside", fitted = "before quilting" } where the half differs',
    )


class KeepOutSpec(Table):
    """A drawn zone that no needle may enter."""

    table: ClassVar[str] = "keep_outs"
    rules: ClassVar[Rules | None] = rules.keep_out

    name: Annotated[str, text()] = Field(
        description="what the sheets call it; by default its place in the list"
    )
    shape: Annotated[KeepOutShape, choice("circle", "rectangle", "polygon")] = Field(
        description="shape of the hard edge"
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
    clearance: _Clearance = Field(
        DEFAULT_CLEARANCE_MM, description="from its edge to the needle; 0 is allowed"
    )
