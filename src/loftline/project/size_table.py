"""The table of a size of the bag, ``[[sizes]]``: how many of it are made, and what grows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, ClassVar, Final

from pydantic import Field

from loftline.project import rules, work
from loftline.project.faults import Slip, listed
from loftline.project.given import Given
from loftline.project.leaves import length, number, text, whole
from loftline.project.limits import LARGEST_MM, MOST_COPIES, MOST_POINTS
from loftline.project.slugs import slug_of
from loftline.project.table import Table
from loftline.units import Unit, format_length, show

MOST_SIZES: Final = 24

GROWS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "rectangle": ("width", "height", "corner_radius"),
        "ellipse": ("width", "height"),
        "folded pouch": ("width", "body", "flap", "corner_radius"),
        "flat sleeve": ("width", "body"),
        "boxed tote side": ("width", "height", "depth"),
        "base": ("width", "height"),
        "zip pouch side": ("width", "height", "corner_radius"),
        "strap": ("length", "width"),
        "polygon": ("scale", "corner_radius"),
        "file": ("scale",),
    }
)
"""Keys of a size by the panel's shape. All else is as the panel says."""

_KEYS: Final = tuple(dict.fromkeys(key for keys in GROWS.values() for key in keys))
_LEAST_SCALE, _MOST_SCALE = 0.1, 10.0
Corners = tuple[tuple[float, float], ...]
_Size = Annotated[float | None, length(over=0)]


class SizeSpec(Table):
    """A size of the bag; what it does not name is as the panel says."""

    table: ClassVar[str] = "sizes"

    name: Annotated[str, text(40)] = Field(
        description='what the sheets call it, such as "S"; its folder follows it'
    )
    copies: Annotated[int, whole(1, MOST_COPIES)] = Field(
        1, description="bags to make of this size"
    )
    width: _Size = Field(None, description="width of the panel in this size")
    height: _Size = Field(None, description="height of the panel in this size")
    strap_length: _Size = Field(
        None, alias="length", description="strap: how long it is cut in this size"
    )
    depth: _Size = Field(None, description="boxed tote side: depth of the bag in this size")
    body: _Size = Field(
        None, description="folded pouch, flat sleeve: height of front and back in this size"
    )
    flap: _Size = Field(None, description="folded pouch: length of the flap in this size")
    corner_radius: Annotated[float | None, length(least=0)] = Field(
        None, description="radius of the corners in this size"
    )
    scale: Annotated[float | None, number(least=_LEAST_SCALE, most=_MOST_SCALE)] = Field(
        None,
        description="polygon, file: how many times as large as drawn the outline is, with its "
        "holes, folds and parts",
    )


def size_slips(given: Given) -> Iterator[Slip]:
    """Names and folders that differ, keys of the shape, bags that add up, panels that can be."""
    sizes = given.tables("sizes")
    if len(sizes) > MOST_SIZES:  # told where they are counted
        return
    yield from _names(sizes)
    yield from _copies(given, sizes)
    shape = given.table("panel").text("shape")
    if shape is None or shape not in GROWS:
        return
    known = set(rules.panel(given.table("panel")))
    known |= set(work.capped(given))
    corners = _corners(given.table("panel")) if any(s.has("scale") for s in sizes) else ()
    for i, size in enumerate(sizes):
        for key in _KEYS:
            if size.has(key) and key not in GROWS[shape]:
                article = "an" if shape[0] in "aeiou" else "a"
                what = f"{article} {shape}" if shape != "file" else "a drawing"
                says = f"does not belong to a size of {what}, which takes "
                yield Slip(("sizes", i, key), says + listed(GROWS[shape], "and"))
        if corners and shape == "polygon" and size.has("scale"):
            yield from too_large(max(map(max, corners)), size.number("scale"), i, given.units)
        yield from _grown(given, size, i, corners, known)


def too_large(far: float, scale: float | None, i: int, units: Unit) -> Iterator[Slip]:
    """A slip where a scale makes a panel, ``far`` mm long as drawn, larger than any bag's."""
    if scale is not None and scale <= _MOST_SCALE and far * scale > LARGEST_MM:
        says = f"found {scale:g}; makes the panel {format_length(far * scale, units)} long, "
        says += f"should be at most {format_length(LARGEST_MM, units)}"
        yield Slip(("sizes", i, "scale"), says)


def bags_in_all(given: Given) -> int | None:
    """Bags of all sizes together; ``None`` where there are no sizes or one cannot be read."""
    counts = [size.raw("copies") if size.has("copies") else 1 for size in given.tables("sizes")]
    whole_ones = [n for n in counts if isinstance(n, int) and not isinstance(n, bool) and n > 0]
    return sum(whole_ones) if whole_ones and len(whole_ones) == len(counts) else None


def _names(sizes: list[Given]) -> Iterator[Slip]:
    first: dict[str, int] = {}
    for i, size in enumerate(sizes):
        name = size.text("name")
        if not name:
            continue
        slug = slug_of(name, f"size-{i + 1}")
        if slug in first:
            before = sizes[first[slug]].text("name")
            says = f"{show(name)} is the name of sizes[{first[slug]}] too; every name should differ"
            if before != name:
                says = f"{show(name)} would share its folder, {slug}, with {show(before)}; "
                says += "choose names that differ in letters or digits"
            yield Slip(("sizes", i, "name"), says)
        else:
            first[slug] = i


def _copies(given: Given, sizes: list[Given]) -> Iterator[Slip]:
    together = bags_in_all(given)
    if together is None:
        return
    if together > MOST_COPIES:
        counts = [size.raw("copies") for size in sizes]
        if all(not isinstance(count, int) or count <= MOST_COPIES for count in counts):
            says = f"the sizes have {together} bags together; at most {MOST_COPIES} are planned"
            yield Slip(("sizes",), says)
        return
    written = given.raw("copies")
    if given.has("copies") and isinstance(written, int) and written != together:
        says = f"found {written}, but the sizes have {together} bags together; take this key out, "
        yield Slip(("copies",), says + "or mend the copies of a size")


def _grown(given: Given, size: Given, i: int, corners: Corners, known: set[Slip]) -> Iterator[Slip]:
    """What is wrong with the panel in this size, and was not wrong with the panel as written."""
    panel = _grown_panel(given.table("panel"), size, corners)
    whole_file = {key: given.raw(key) for key in _ASKED} | {"panel": panel}
    found = [
        *rules.panel(Given(panel, given.units)),
        *work.capped(Given(whole_file, given.units)),
    ]
    told: set[tuple[object, ...]] = set()
    for slip in found:
        if slip in known:
            continue
        key = slip.where[0] if slip.where else ""
        own = isinstance(key, str) and len(slip.where) == 1 and key in _KEYS
        where = ("sizes", i, key) if own and size.has(str(key)) else ("sizes", i)
        if where not in told:
            told.add(where)
            says = slip.says
            if len(where) == 2:
                path = _path(slip)
                hint = f"; give this size a {key} of its own" if own else ""
                says = f"{path} does not fit this size: {says}{hint}"
            yield Slip(where, says)


_ASKED: Final = ("fills", "quilting", "keep_outs", "regions", "hardware")


def _path(slip: Slip) -> str:
    steps = slip.where if slip.where and slip.where[0] in _ASKED else ("panel", *slip.where)
    text_of = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps)
    return "".join(text_of).removeprefix(".")


def _grown_panel(panel: Given, size: Given, corners: Corners) -> dict[str, object]:
    """The raw panel with the sizes of this size in it; what cannot be read is left as it is."""
    keys = GROWS[panel.text("shape") or ""]
    grown = {**panel.items(), **{key: size.raw(key) for key in keys if size.has(key)}}
    grown.pop("scale", None)
    scale = size.number("scale")
    if size.has("corner_radius"):
        grown.pop("corner_object", None)
    if scale is not None and _LEAST_SCALE <= scale <= _MOST_SCALE and corners:
        # what is asked of it looks at its extent alone
        grown["points"] = [[f"{x * scale} mm", f"{y * scale} mm"] for x, y in corners]
    return grown


def _corners(panel: Given) -> Corners:
    """Lowest and highest corner of the box round a polygon, mm; none where it cannot be read."""
    points = panel.raw("points")
    if not isinstance(points, list | tuple) or not 0 < len(points) <= MOST_POINTS:
        return ()
    read: list[tuple[float, ...]] = []
    for point in points:
        if not isinstance(point, list | tuple) or len(point) != 2:
            return ()
        found = [Given({"c": value}, panel.units).length("c") for value in point]
        read.append(tuple(value for value in found if value is not None))
    if any(len(point) != 2 for point in read):
        return ()
    xs, ys = [point[0] for point in read], [point[1] for point in read]
    return (min(xs), min(ys)), (max(xs), max(ys))
