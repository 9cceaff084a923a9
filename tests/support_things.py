"""Random things on a panel: closures and other hardware, rows of them, drawn zones."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from support_shapes import Ground, Table, tenths

KINDS = ("sew-in magnet", "magnetic snap", "14 mm magnetic snap", "eyelet", "D-ring", "label")
SITS = ("inside", "above", "below")
FITTED = ("before quilting", "before quilting", "after quilting", "after lining")
OWN: st.SearchStrategy[Table] = st.fixed_dictionaries(
    {}, optional={"sits": st.sampled_from(SITS), "fitted": st.sampled_from(FITTED)}
)
"""What a piece, or its other half, may say of itself."""


@st.composite
def _inside(draw: st.DrawFn, ground: Ground, low: float = 0.1, high: float = 0.9) -> list[float]:
    """A place in one of the panel's rooms, or a little beside it."""
    x0, y0, x1, y1 = draw(st.sampled_from(ground.rooms))
    share = tenths(low, high)
    return [round(x0 + (x1 - x0) * draw(share), 1), round(y0 + (y1 - y0) * draw(share), 1)]


@st.composite
def _places(draw: st.DrawFn, ground: Ground) -> Table | list[float]:
    """A place, in from one edge or two, or a row along one."""
    way = draw(st.sampled_from(["x, y", "x, y", "x, y", "edge", "edges", "row"]))
    one, two = draw(st.sampled_from(ground.edges[:2])), draw(st.sampled_from(ground.edges[2:]))
    distance = draw(tenths(10, 45))
    if way == "edge":
        return {"from": draw(st.sampled_from([one, two])), "distance": distance}
    if way == "edges":
        return {"from": [one, two], "distance": [distance, draw(tenths(10, 45))]}
    if way == "row":
        rows: list[Table] = [{"every": 30}, {"count": 3}, {"every": 21.5, "count": 2}]
        many: Table = draw(st.sampled_from(rows))
        return {"along": draw(st.sampled_from([one, two])), "distance": distance, **many}
    return draw(_inside(ground))


@st.composite
def _pieces(draw: st.DrawFn, ground: Ground) -> Table:
    piece: Table = {"at": draw(_places(ground)), "kind": draw(st.sampled_from([*KINDS, "post"]))}
    if piece["kind"] == "post" or draw(st.booleans()):
        size = draw(tenths(6, 25))
        sizes: list[Table] = [{"diameter": size}, {"width": size, "height": 11.3}]
        piece |= draw(st.sampled_from(sizes))
    piece |= draw(OWN)
    piece["clearance"] = draw(st.sampled_from([3.2, 6.35, 6.35]))
    mated = draw(st.booleans())
    if mated and ground.folds:
        piece["mate"] = draw(OWN) or True
    return piece


@st.composite
def hardware(draw: st.DrawFn, ground: Ground) -> list[Table]:
    """Up to four pieces, some of them closures, some in rows."""
    pieces = draw(st.lists(_pieces(ground), max_size=4))
    return [{"name": f"piece {i}", **piece} for i, piece in enumerate(pieces)]


@st.composite
def _zones(draw: st.DrawFn, ground: Ground) -> Table:
    """A circle, a rectangle or a polygon; it may hang over the edge."""
    at = draw(_inside(ground, -0.05, 1.05))
    clearance = draw(st.sampled_from([0, 0.5, 3, 6.35]))
    shape = draw(st.sampled_from(["circle", "rectangle", "polygon"]))
    zone: Table = {"shape": shape, "clearance": clearance}
    if shape == "circle":
        return zone | {"at": at, "diameter": draw(tenths(3, 40))}
    if shape == "rectangle":
        return zone | {"at": at, "width": draw(tenths(5, 60)), "height": draw(tenths(5, 30))}
    size, corners = draw(tenths(4, 20)), draw(st.integers(3, 8))
    # every other corner may lie farther in: a star, with hollows
    deep = draw(st.sampled_from([1, 1, 0.6]))
    reach = [size * (deep if i % 2 else 1) for i in range(corners)]
    turn = [2 * math.pi * i / corners for i in range(corners)]
    points = [
        [round(at[0] + r * math.cos(t), 2), round(at[1] + r * math.sin(t), 2)]
        for r, t in zip(reach, turn, strict=True)
    ]
    return zone | {"points": points}


@st.composite
def keep_outs(draw: st.DrawFn, ground: Ground) -> list[Table]:
    """Up to three drawn zones, or many small ones close together."""
    if draw(st.integers(0, 9)) == 0:
        x0, y0, x1, y1 = draw(st.sampled_from(ground.rooms))
        gap, size = draw(tenths(9, 16)), draw(tenths(2, 8))
        across, up = (min(int((b - a) / gap), 5) for a, b in ((x0, x1), (y0, y1)))
        places = [
            (x0 + gap * (i + 0.5), y0 + gap * (j + 0.5)) for i in range(across) for j in range(up)
        ]
        zones: list[Table] = [
            {"shape": "circle", "at": [round(x, 1), round(y, 1)], "diameter": size, "clearance": 1}
            for x, y in places
        ]
    else:
        zones = draw(st.lists(_zones(ground), max_size=3))
    return [{"name": f"zone {i}", **zone} for i, zone in enumerate(zones)]


@st.composite
def regions(draw: st.DrawFn, ground: Ground) -> list[Table]:
    """Mostly none, else one or two drawn pieces, which may overlap."""
    if draw(st.integers(0, 2)):
        return []
    shapes = draw(st.lists(_zones(ground), min_size=1, max_size=2))
    return [
        {
            **{key: value for key, value in shape.items() if key != "clearance"},
            "name": f"region {i}",
            "border": draw(st.sampled_from(["open", "sewn"])),
        }
        for i, shape in enumerate(shapes)
    ]
