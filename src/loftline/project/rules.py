"""Rules that look at several keys of a table. Each yields its slips and reads leniently."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from loftline.project.faults import Slip, listed, nearest
from loftline.project.fold_tables import FOLDABLE, fold_slips, part_names, region_names
from loftline.project.given import Given
from loftline.project.limits import CLOTH_EDGE_MM, LEAST_RUN_OFF_MM
from loftline.project.size_rules import size_slips
from loftline.project.stitch_keys import PER_INCH, per_inch_slips, stitch_length_of
from loftline.trade.hardware import KINDS, look_up, size_trouble
from loftline.trade.hoops import named_field
from loftline.units import LEAST_HARDWARE_CLEARANCE_MM, show

_ROUNDING_MM: Final = 1e-9

_MOST_ON_A_BOBBIN_M: Final = 1000
"""More than the largest bobbin of a factory holds (common practice, no source)."""

ShapeKeys = Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]
"""Keys by shape: those it needs, those it may have. All other shapes' keys are refused."""

PANEL_KEYS: Final[ShapeKeys] = MappingProxyType(
    {
        "rectangle": (("width", "height"), ("corner_radius", "folds", "parts")),
        "ellipse": (("width", "height"), ("folds", "parts")),
        "folded pouch": (("width", "body", "flap"), ("flap_inset", "corner_radius", "folds")),
        "flat sleeve": (("width", "body"), ("folds",)),
        "boxed tote side": (("width", "height", "depth"), ("folds",)),
        "base": (("width", "height"), ("folds", "parts")),
        "zip pouch side": (("width", "height"), ("corner_radius", "folds", "parts")),
        "strap": (("length", "width"), ("folds",)),
        "polygon": (("points",), ("holes", "corner_radius", "folds", "parts")),
        "file": (("file",), ("drawn", "folds", "parts")),
    }
)
KEEP_OUT_KEYS: Final[ShapeKeys] = MappingProxyType(
    {
        "circle": (("at", "diameter"), ()),
        "rectangle": (("at", "width", "height"), ()),
        "polygon": (("points",), ()),
    }
)


def panel(given: Given) -> Iterator[Slip]:
    """Keys of the shape, and sizes that fit one another."""
    shape = given.text("shape")
    yield from _shape_keys(given, shape, PANEL_KEYS)
    yield from _corner_object(given, shape)
    yield from _darts(given, shape)
    yield from fold_slips(given, shape)
    yield from _run_off(given)
    yield from size_slips(given, shape)


def _run_off(given: Given) -> Iterator[Slip]:
    """Lines end on the cloth, a little before its edge."""
    run_off, overhang = given.length("run_off"), given.length("overhang", 25.0)
    if run_off is None or overhang is None or not 0 <= run_off <= 100:
        return
    most = overhang - CLOTH_EDGE_MM
    if run_off > most + _ROUNDING_MM:
        says = f"found {_found(given, 'run_off')}; lines would end on or beyond the edge of the "
        says += f"cloth, the overhang is {_size(overhang, given)}; "
        fits = most >= LEAST_RUN_OFF_MM - _ROUNDING_MM
        should = f"should be at most {_size(most, given)}" if fits else "give more overhang"
        yield Slip(("run_off",), says + should)


def _corner_object(given: Given, shape: str | None) -> Iterator[Slip]:
    """A round object instead of a radius, where there are corners to round."""
    if not given.has("corner_object"):
        return
    if given.has("corner_radius"):
        says = "give corner_radius, or the diameter of a round object as corner_object, not both"
        yield Slip(("corner_object",), says)
    elif shape is None or shape not in PANEL_KEYS:
        return
    elif "corner_radius" not in itertools.chain(*PANEL_KEYS[shape]):
        yield Slip(
            ("corner_object",), f"does not belong to {_article(shape)}, which has no free corners"
        )


def _darts(given: Given, shape: str | None) -> Iterator[Slip]:
    """No two darts of one name; none in a corner where there is none."""
    first: dict[str, int] = {}
    for i, entry in enumerate(given.tables("darts")):
        name = entry.text("name")
        if name and name in first:
            says = f"{show(name)} is the name of darts[{first[name]}] too; every name should differ"
            yield Slip(("darts", i, "name"), says)
        elif name:
            first[name] = i
        if shape == "ellipse" and entry.has("corner"):
            says = "an ellipse has no corners; give the points of the wedge"
            yield Slip(("darts", i, "corner"), says)


def hardware(given: Given) -> Iterator[Slip]:
    """One size or a kind of the table; never nearer than a presser foot can go."""
    if given.has("diameter"):
        for key in ("width", "height"):
            if given.has(key):
                says = "give the diameter, or width and height, not both"
                yield Slip((key,), says)
    elif given.has("width") != given.has("height"):
        missing = "height" if given.has("width") else "width"
        yield Slip((missing,), "is missing; a piece that is not round needs width and height")
    kind = given.text("kind")
    sized = given.has("diameter") or given.has("width") or given.has("height")
    if kind and not sized and look_up(kind) is None:
        close = nearest(kind, [row.name for row in KINDS])
        says = f"found {show(kind)}, a kind without a known size; "
        hint = f"did you mean {show(close)}? Else " if close else ""
        trouble = size_trouble(kind)
        hint = f"{trouble}; else " if trouble else hint
        yield Slip(("kind",), says + hint + "give its diameter, or its width and height")
    clearance = given.length("clearance")
    if clearance is not None and clearance < LEAST_HARDWARE_CLEARANCE_MM - _ROUNDING_MM:
        says = f"found {_found(given, 'clearance')}; under 3.2 mm (1/8 in) the foot strikes it"
        yield Slip(("clearance",), f"{says}, 6.35 mm (1/4 in) is usual")


def keep_out(given: Given) -> Iterator[Slip]:
    """Keys of the shape."""
    yield from _shape_keys(given, given.text("shape"), KEEP_OUT_KEYS)


def quilting(given: Given) -> Iterator[Slip]:
    """Stitch length one way or the other; an order that needs an edge has one."""
    if given.text("order") == "from an edge" and not given.has("from_edge"):
        says = 'is missing; the order "from an edge" needs the edge that is closed already'
        yield Slip(("from_edge",), f'{says}, such as "bottom"')
    yield from per_inch_slips(given)


def spool(given: Given) -> Iterator[Slip]:
    """Thickness one way or the other."""
    if given.has("tex") and given.has("weight"):
        yield Slip(("weight",), "give tex or weight, not both; tex is the surer one")


def threads(given: Given) -> Iterator[Slip]:
    """No more on a bobbin than one can hold: a spool's length, or one in another unit."""
    metres = given.table("bobbin").raw("metres")
    if isinstance(metres, int | float) and metres > _MOST_ON_A_BOBBIN_M:
        yield Slip(
            ("bobbin", "metres"),
            f"a bobbin holds at most {_MOST_ON_A_BOBBIN_M} m, mostly 30 to 150; "
            "what is on the spool goes into thread.needle or thread.sewing",
        )


def layers(given: Given) -> Iterator[Slip]:
    """What only the outer fabric can have."""
    for layer in ("foam", "lining"):
        for key in ("keeps_holes", "heat"):
            if given.table(layer).has(key):
                yield Slip((layer, key), "is said of the outer fabric only; put it in layers.outer")


def machine(given: Given) -> Iterator[Slip]:
    """Hoops with room inside their margin; what only hand-guided sewing knows."""
    if given.text("guided", "machine") == "machine" and given.has("foot_kind"):
        says = 'is for a panel that you guide by hand; add guided = "hand", or take this key out'
        yield Slip(("foot_kind",), says)
    margin, owned = given.length("hoop_margin", 2.5), given.raw("hoops")
    if given.has("hoop") and owned:
        yield Slip(("hoop",), "give hoop or hoops, not both; hoops is for all that you own")
    hoops = [given.raw("hoop"), *(owned if isinstance(owned, list | tuple) else [])]
    hoops = [_hoop_sides(hoop) if isinstance(hoop, str) else hoop for hoop in hoops]
    pairs = [hoop for hoop in hoops if isinstance(hoop, list | tuple) and len(hoop) == 2]
    if margin is None:
        return
    room = given.table("hoop_room")
    taken = [
        (room.length(one, 0.0) or 0.0) + (room.length(other, 0.0) or 0.0)
        for one, other in (("left", "right"), ("front", "back"))
    ]
    for pair in pairs:
        sides = [Given({"side": side}, given.units).length("side") for side in pair]
        known = [(side, more) for side, more in zip(sides, taken, strict=True) if side]
        narrow = [side for side, more in known if 0 < side <= 2 * margin + more]
        if narrow:
            key = "hoop_room" if min(narrow) > 2 * margin else "hoop_margin"
            found = "" if key == "hoop_room" else f"found {_found(given, key, margin)}; "
            says = f"{found}leaves nothing of a hoop {_size(min(narrow), given)} across"
            yield Slip((key,), says)
            return


def _hoop_sides(name: str) -> list[str]:
    return [f"{side:g} mm" for side in named_field(name) or ()]


def project(given: Given) -> Iterator[Slip]:
    """What one table says about another."""
    if isinstance(given.raw("panel"), Mapping) and given.text("units", "mm") != given.units:
        yield Slip(("units",), "only parse_project and read_project know the unit of bare numbers")
    yield from _names(given)
    yield from _by_shape(given)
    yield from _stitch_length(given)


def _names(given: Given) -> Iterator[Slip]:
    """No two pieces or keep-outs of one name."""
    first: dict[str, str] = {}
    for key in ("hardware", "keep_outs"):
        for i, entry in enumerate(given.tables(key)):
            name = entry.text("name")
            if name and name in first:
                says = f"{show(name)} is the name of {first[name]} too; every name should differ"
                yield Slip((key, i, "name"), says)
            elif name:
                first[name] = f"{key}[{i}]"


def _by_shape(given: Given) -> Iterator[Slip]:
    """Other halves and parts that only a folded panel has."""
    shape = given.table("panel").text("shape")
    if shape not in PANEL_KEYS or shape == "file":  # what it has is known once it is read
        return
    drawn = region_names(given)
    parts = ("all", *part_names(given.table("panel")), *drawn)
    flat = len(parts) == 1 + len(drawn) and not given.table("panel").has("folds")
    for i, piece in enumerate(given.tables("hardware")):
        if (piece.raw("mate") is True or isinstance(piece.raw("mate"), Mapping)) and flat:
            says = f"the panel is {_article(shape)} without folds; "
            says += (
                'give it [[panel.folds]] or make it a "folded pouch"'
                if shape in FOLDABLE
                else "only a shape with folds has other halves"
            )
            yield Slip(("hardware", i, "mate"), says)
    for i, design in enumerate(given.tables("fills")):
        part = design.text("part", "all")
        if part and part not in parts:
            close = nearest(part, parts)
            hint = f"did you mean {show(close)}? A" if close and (drawn or not flat) else "a"
            words = listed([show(word) for word in parts], "and")
            says = f"found {show(part)}; {hint} {shape} has the parts {words}"
            if drawn:
                says = f"found {show(part)}; {hint} fill covers {words}"
            elif flat:
                says = f'found {show(part)}; {_article(shape)} has no parts, only "all"'
            yield Slip(("fills", i, "part"), says)


def _stitch_length(given: Given) -> Iterator[Slip]:
    """No stitch aimed at that the machine cannot sew."""
    longest = given.table("machine").length("longest_stitch", 7.0)
    tables: list[tuple[tuple[str | int, ...], Given]] = [(("quilting",), given.table("quilting"))]
    designs = enumerate(given.tables("fills"))
    tables += [(("fills", i), design) for i, design in designs if stitch_length_of(design, None)]
    for place, table in tables:
        stitch = stitch_length_of(table)
        if stitch is None or longest is None or stitch <= longest or stitch > 12 or longest < 1:
            continue
        says = f"the stitch length is {_size(stitch, given)}, the machine's longest stitch "
        says += f"{_size(longest, given)}; the first should not be more"
        where: tuple[str | int, ...] = ("machine", "longest_stitch")
        for key in (PER_INCH, "stitch_length"):
            where = (*place, key) if table.has(key) else where
        yield Slip(where, says)


def _shape_keys(
    given: Given,
    shape: str | None,
    table: ShapeKeys,
) -> Iterator[Slip]:
    """Keys the shape needs, and keys that belong to other shapes."""
    if shape is None or shape not in table:
        return
    needed, allowed = table[shape]
    for key in needed:
        if not given.has(key):
            yield Slip((key,), f"is missing; {_article(shape)} needs {listed(needed, 'and')}")
    every = dict.fromkeys(key for keys in table.values() for group in keys for key in group)
    for key in every:
        if given.has(key) and key not in needed + allowed:
            takes = listed(needed + allowed, "and")
            yield Slip((key,), f"does not belong to {_article(shape)}, which takes {takes}")


def _found(given: Given, key: str, default: float = 0.0) -> str:
    """The value as it is written, or the default in the maker's unit."""
    return given.found(key, default)


def _size(mm: float, given: Given) -> str:
    return given.words(mm)


def _article(shape: str | None) -> str:
    """The shape with its article.

    >>> _article("ellipse"), _article("strap")
    ('an ellipse', 'a strap')
    """
    vowel = bool(shape) and str(shape)[0] in "aeiou"
    return f"{'an' if vowel else 'a'} {shape}"
