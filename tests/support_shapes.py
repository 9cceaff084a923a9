"""Random panels of every shape, with folds, parts, darts, and rooms where things may lie."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import shapely
from hypothesis import strategies as st

Box = tuple[float, float, float, float]
Table = dict[str, Any]

OWN_FOLDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "folded pouch": ("lower fold", "upper fold"),
        "flat sleeve": ("lower fold",),
        "boxed tote side": ("base fold",),
        "strap": ("centre fold",),
    }
)
OWN_PARTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "folded pouch": ("front", "back", "flap"),
        "flat sleeve": ("front", "back"),
        "boxed tote side": ("side", "base"),
        "strap": ("front", "back"),
    }
)
CORNERS = ("lower left", "lower right", "upper left", "upper right")


def tenths(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths in whole tenths of a millimetre."""
    return st.integers(round(low * 10), round(high * 10)).map(lambda n: n / 10)


@dataclass(frozen=True)
class Ground:
    """A random panel.

    Attributes:
        table: the ``[panel]`` table.
        rooms: boxes on it, left, bottom, right, top; each mostly within the outline.
        edges: names to measure from, the first two of them square to the last two.
        parts: what ``part`` of a fill may name beside "all".
        folds: names of its folds.
    """

    table: Table
    rooms: tuple[Box, ...]
    edges: tuple[str, ...] = ("top", "bottom", "left", "right")
    parts: tuple[str, ...] = ()
    folds: tuple[str, ...] = ()


def _with_own(shape: str, table: Table, rooms: tuple[Box, ...], edges: tuple[str, ...]) -> Ground:
    return Ground(
        table={"shape": shape} | table,
        rooms=rooms,
        edges=edges,
        parts=OWN_PARTS[shape],
        folds=OWN_FOLDS[shape],
    )


@st.composite
def _pouch(draw: st.DrawFn) -> Ground:
    width, body = draw(tenths(50, 200)), draw(tenths(50, 110))
    flap = round(body * draw(tenths(0.4, 1.0)), 1)
    inset = draw(st.sampled_from([0, 3]))
    table: Table = {"width": width, "body": body, "flap": flap, "flap_inset": inset}
    key, size = draw(st.sampled_from([("corner_radius", 10), ("corner_object", 20), ("", 0)]))
    if key:
        table[key] = size
    rooms: tuple[Box, ...] = (
        (0, 0, width, body),
        (0, body, width, 2 * body),
        (inset, 2 * body, width - inset, 2 * body + flap),
    )
    return _with_own("folded pouch", table, rooms, ("flap edge", "front edge", "left", "right"))


@st.composite
def _sleeve(draw: st.DrawFn) -> Ground:
    width, body = draw(tenths(50, 200)), draw(tenths(40, 120))
    rooms: tuple[Box, ...] = ((0, 0, width, body), (0, body, width, 2 * body))
    edges = ("front edge", "back edge", "left", "right")
    return _with_own("flat sleeve", {"width": width, "body": body}, rooms, edges)


@st.composite
def _tote_side(draw: st.DrawFn) -> Ground:
    width, height = draw(tenths(90, 200)), draw(tenths(70, 180))
    depth = draw(tenths(27, 60))
    cut = depth / 2
    rooms: tuple[Box, ...] = ((0, cut, width, height), (cut, 0, width - cut, cut))
    table = {"width": width, "height": height, "depth": depth}
    return _with_own("boxed tote side", table, rooms, ("top", "bottom", "left", "right"))


@st.composite
def _strap(draw: st.DrawFn) -> Ground:
    length, width = draw(tenths(120, 400)), draw(tenths(35, 90))
    rooms: tuple[Box, ...] = ((0, 0, length, width / 2), (0, width / 2, length, width))
    edges = ("top", "bottom", "left", "right")
    return _with_own("strap", {"length": length, "width": width}, rooms, edges)


@st.composite
def _upright(draw: st.DrawFn, shape: str) -> Ground:
    """A rectangle, an ellipse, a base or the side of a zip pouch, with folds or without."""
    width, height = draw(tenths(50, 220)), draw(tenths(50, 220))
    table: Table = {"shape": shape, "width": width, "height": height}
    edges = ("top", "bottom", "left", "right")
    room: Box = (0, 0, width, height)
    if shape in ("rectangle", "zip pouch side"):
        key = draw(st.sampled_from(["corner_radius", "corner_radius", "corner_object"]))
        table[key] = draw(st.sampled_from([1, 5, 20]))
    if shape == "zip pouch side":
        edges = ("zip edge", "bottom", "left", "right")
    if shape in ("ellipse", "base"):
        room = (0.15 * width, 0.15 * height, 0.85 * width, 0.85 * height)
    return _folded(draw, Ground(table=table, rooms=(room,), edges=edges), width, height)


@st.composite
def _polygon(draw: st.DrawFn) -> Ground:
    # a star-shaped outline never crosses itself
    size = draw(tenths(50, 200))
    count = draw(st.integers(3, 9))
    turn = np.sort(draw(st.lists(st.integers(0, 359), min_size=count, max_size=count, unique=True)))
    share = draw(st.lists(tenths(0.5, 1.0), min_size=count, max_size=count))
    if np.diff(np.append(turn, turn[0] + 360)).max() > 170:
        turn = np.arange(count) * 360 // count
    radius, angle = np.array(share) * size / 2, np.radians(turn)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    middle = -points.min(axis=0)
    outline = np.round(points + middle, 2)
    table: Table = {"shape": "polygon", "points": outline.tolist()}
    half = size * 0.05
    hole = np.round(middle + half * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]), 2)
    if draw(st.booleans()) and shapely.Polygon(outline).covers(shapely.Polygon(hole).buffer(0.5)):
        table["holes"] = [hole.tolist()]
    table["corner_radius"] = draw(st.sampled_from([0, 0, 1, 3]))
    near = 0.18 * size  # half as far as the nearest corner may lie from the middle, and less
    room: Box = (
        float(middle[0] - near),
        float(middle[1] - near),
        float(middle[0] + near),
        float(middle[1] + near),
    )
    ground = Ground(table=table, rooms=(room,), edges=("edge 1", "edge 1", "edge 2", "edge 3"))
    width, height = outline.max(axis=0).tolist()
    return _folded(draw, ground, width, height)


def _folded(draw: st.DrawFn, ground: Ground, width: float, height: float) -> Ground:
    """The same with up to three folds of its own, some slanted, two of them crossing squarely."""
    levels = draw(st.sampled_from([(), (), (0.5,), (0.4,), (0.3, 0.7), (0.2, 0.45, 0.75)]))
    slant = height * draw(st.sampled_from([0, 0, 0.05]))
    ends = [((-5.0, at * height - slant), (width + 5, at * height + slant)) for at in levels]
    if slant == 0 and draw(st.sampled_from([False, False, True])):
        ends.append(((0.4 * width, -5.0), (0.4 * width, height + 5)))
    if not ends:
        return ground
    ends = list(draw(st.permutations(ends)))
    names = tuple(f"fold {i}" for i in range(len(ends)))
    folds = [
        {"name": name, "from": list(start), "to": list(end)}
        for name, (start, end) in zip(names, ends, strict=True)
    ]
    table = ground.table | {"folds": folds}
    parts: tuple[str, ...] = ()
    if draw(st.booleans()):
        # mostly a place between two folds; where it is not, the part is taken out again
        parts = ("low",)
        table["parts"] = [{"name": "low", "at": [width * 0.55, height * 0.15]}]
    x0, y0, x1, y1 = ground.rooms[0]
    halves: tuple[Box, ...] = ((x0, y0, x1, (y0 + y1) / 2), (x0, (y0 + y1) / 2, x1, y1))
    return Ground(
        table=table,
        rooms=halves,
        edges=ground.edges,
        parts=parts,
        folds=names,
    )


SHAPES: Mapping[str, Callable[[], st.SearchStrategy[Ground]]] = MappingProxyType(
    {
        "folded pouch": _pouch,
        "flat sleeve": _sleeve,
        "boxed tote side": _tote_side,
        "base": lambda: _upright("base"),
        "zip pouch side": lambda: _upright("zip pouch side"),
        "strap": _strap,
        "rectangle": lambda: _upright("rectangle"),
        "ellipse": lambda: _upright("ellipse"),
        "polygon": _polygon,
    }
)
"""Every shape but the drawn one."""


@st.composite
def grounds(draw: st.DrawFn, shape: str = "") -> Ground:
    """A panel of a shape, or of any, with its allowances, fold settings and darts."""
    ground = draw(SHAPES[shape or draw(st.sampled_from(sorted(SHAPES)))]())
    table = ground.table
    table["seam_allowance"] = draw(st.sampled_from([0, 3, 8, 12.5]))
    table["overhang"] = draw(st.sampled_from([0, 3, 10, 25]))
    table["fold_room"] = draw(st.sampled_from(["report", "report", "move the other half"]))
    if table["overhang"] == 25 and draw(st.booleans()):
        table["run_off"] = draw(st.sampled_from([2, 4.5, 12]))
    if not ground.folds or draw(st.booleans()):
        settings: list[Table] = []
    else:
        settings = [draw(_settings(name)) for name in ground.folds]
    given = {entry["name"]: entry for entry in table.get("folds", [])}
    merged = [given.get(entry["name"], {}) | entry for entry in settings]
    if merged:
        table["folds"] = merged
    darts = draw(st.lists(_darts(ground), max_size=2)) if draw(st.booleans()) else []
    if darts:
        table["darts"] = [dart | {"name": f"dart {i}"} for i, dart in enumerate(darts)]
    return ground


@st.composite
def _settings(draw: st.DrawFn, name: str) -> Table:
    closed_to = draw(st.sampled_from(["nothing", "quilting", "travel", "both"]))
    gap, crease = draw(st.sampled_from([0, 0, 2, 8])), draw(st.booleans())
    return {"name": name, "closed_to": closed_to, "gap": gap, "crease": crease}


@st.composite
def _darts(draw: st.DrawFn, ground: Ground) -> Table:
    """A dart of one of the three kinds."""
    kinds = ["points"]
    kinds += ["corner"] if ground.table["shape"] != "ellipse" else []
    kinds += ["fold"] if ground.folds else []
    kind = draw(st.sampled_from(kinds))
    if kind == "corner":
        dart: Table = {"corner": draw(st.sampled_from(CORNERS)), "unit": draw(st.integers(4, 25))}
        deep: Table = draw(st.sampled_from([{}, {}, {"depth": 1.2 * dart["unit"]}]))
        return dart | deep
    if kind == "fold":
        sides = st.sampled_from(["left", "right"])
        dart = {"fold": draw(st.sampled_from(ground.folds)), "side": draw(sides)}
        return dart | {"depth": 2 * ground.table["seam_allowance"] + draw(st.integers(2, 40))}
    x0, y0, _, y1 = draw(st.sampled_from(ground.rooms))
    y, half = y0 + (y1 - y0) * draw(tenths(0.3, 0.7)), draw(st.integers(4, 15))
    tip = [x0 + draw(st.integers(5, 25)), y + draw(st.integers(-4, 4))]
    return {"points": [[-20, y - half], tip, [-20, y + half]]}
