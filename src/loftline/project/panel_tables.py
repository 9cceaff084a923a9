"""Tables about the panel and what lies on it: outline, hardware, keep-outs, fills."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field, ValidationInfo, field_validator

from loftline.project import rules
from loftline.project.leaves import Leaf, choice, flag, length, text
from loftline.project.list_leaves import POINT, corners, directions, hole_list
from loftline.project.not_yet import LATER_PATTERNS, LATER_SHAPES
from loftline.project.table import Rules, Table
from loftline.units import DEFAULT_CLEARANCE_MM, Unit, show

PanelShape = Literal["rectangle", "ellipse", "folded pouch", "polygon"]
KeepOutShape = Literal["circle", "rectangle", "polygon"]
Pattern = Literal["channel", "grid", "meander"]
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
        choice("rectangle", "ellipse", "folded pouch", "polygon", later=LATER_SHAPES),
    ] = Field(description="shape of the outline")
    width: _Size = Field(None, description="width of a rectangle, ellipse or folded pouch")
    height: _Size = Field(None, description="height of a rectangle or ellipse")
    body: _Size = Field(
        None, description="folded pouch: height of the front, and of the back, between the folds"
    )
    flap: _Size = Field(
        None, description="folded pouch: length of the flap, at most that of the body"
    )
    flap_inset: Annotated[float, length(least=0)] = Field(
        0.0, description="folded pouch: how much narrower the flap is than the body, each side"
    )
    corner_radius: Annotated[float, length(least=0)] = Field(
        0.0, description="radius of a rectangle's four corners or of the flap's two free corners"
    )
    points: Annotated[tuple[Point, ...] | None, corners()] = Field(
        None, description="polygon: corners of the outline, [x, y] each, 3 to 10 000"
    )
    holes: Annotated[tuple[tuple[Point, ...], ...] | None, hole_list()] = Field(
        None, description="polygon: outlines of holes, at most 200"
    )
    file: Annotated[str | None, text()] = Field(None, description="drawing of the outline")
    seam_allowance: Annotated[float, length(least=0, most=200)] = Field(
        10.0, description="strip inside the outline that ends inside a seam"
    )
    overhang: Annotated[float, length(least=0, most=500)] = Field(
        25.0, description="fabric and foam beyond the outline, trimmed after quilting"
    )


class EdgePlace(Table):
    """A place on the panel's centre line, measured in from an edge."""

    table: ClassVar[str] = "at"

    from_: Annotated[str, text()] = Field(
        alias="from", description='the edge to measure from, such as "flap edge"'
    )
    distance: Annotated[float, length(least=0)] = Field(
        description="how far in from that edge, on the centre line"
    )


def _read_place(value: object, units: Unit) -> object:
    if isinstance(value, EdgePlace):
        return value
    if isinstance(value, Mapping):
        return EdgePlace.model_validate(value, context={"units": units})
    if isinstance(value, list | tuple) and len(value) == 2:
        return POINT.read(value, units)
    raise ValueError(
        f'found {show(value)}; should be [x, y] or {{ from = "flap edge", distance = 32 }}'
    )


_PLACE = Leaf(_read_place, {"anyOf": [POINT.schema, {"type": "object"}]})


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
    at: Annotated[Point | EdgePlace, _PLACE] = Field(
        description='its centre, [x, y] or { from = "flap edge", distance = 32 }'
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
    mate: Annotated[bool, flag()] = Field(
        False, description="folded pouch: whether its other half is marked where the fold brings it"
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
    at: Annotated[Point | EdgePlace | None, _PLACE] = Field(
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


class FillSpec(Table):
    """A quilting design over one part of the panel."""

    table: ClassVar[str] = "fills"
    rules: ClassVar[Rules | None] = rules.fill

    part: Annotated[str, text()] = Field(
        "all", description="part it covers: all, or on a folded pouch front, back or flap"
    )
    pattern: Annotated[Pattern, choice("channel", "grid", "meander", later=LATER_PATTERNS)] = Field(
        description="the quilting design"
    )
    angles: Annotated[tuple[float, ...], directions()] = Field(
        (45.0,),
        alias="angle",
        validate_default=True,
        description="direction of the lines in degrees from x, counter-clockwise; a grid takes "
        "one (its second family stands square to it) or a list of two or three",
    )
    spacing: Annotated[float, length(least=1, most=1000)] = Field(
        12.0, description="distance between neighbouring lines"
    )

    @field_validator("angles")
    @classmethod
    def _families(cls, value: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
        """One direction for each family of lines; a meander has none."""
        pattern = info.data.get("pattern")
        if pattern == "meander":
            return ()
        if pattern == "grid" and len(value) == 1:
            return (value[0], (value[0] + 90.0) % 180.0)
        return value
