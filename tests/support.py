"""Random projects for property tests, and independent looks at a plan's promises."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from hypothesis import strategies as st
from shapely import MultiLineString

from loftline.project import Project, parse_project
from loftline.values import Kind, Plan

Floats = npt.NDArray[np.float64]

SHAPES = ("rectangle", "ellipse", "folded pouch", "polygon")


def _tenths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(int(low * 10), int(high * 10)).map(lambda n: n / 10)


@st.composite
def panels(draw: st.DrawFn) -> dict[str, Any]:
    """The ``[panel]`` table of a small random panel."""
    shape = draw(st.sampled_from(SHAPES))
    width, height = draw(_tenths(50, 220)), draw(_tenths(50, 220))
    panel: dict[str, Any] = {
        "shape": shape,
        "seam_allowance": draw(st.sampled_from([0, 3, 8, 12.5])),
        "overhang": draw(st.sampled_from([0, 3, 10, 25])),
    }
    if shape == "polygon":
        # a star-shaped outline never crosses itself
        count = draw(st.integers(3, 9))
        turn = np.sort(
            draw(st.lists(st.integers(0, 359), min_size=count, max_size=count, unique=True))
        )
        share = draw(st.lists(_tenths(0.5, 1.0), min_size=count, max_size=count))
        gaps = np.diff(np.append(turn, turn[0] + 360))
        if gaps.max() > 170:
            turn = np.arange(count) * 360 // count
        radius = np.array(share) * min(width, height) / 2
        angle = np.radians(turn)
        points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        panel["points"] = np.round(points - points.min(axis=0), 2).tolist()
        if draw(st.booleans()):
            middle = -points.min(axis=0)
            size = min(width, height) * 0.05
            box = [(-size, -size), (size, -size), (size, size), (-size, size)]
            hole = np.round(middle + np.array(box), 2)
            if shapely.Polygon(panel["points"]).covers(shapely.Polygon(hole).buffer(0.5)):
                panel["holes"] = [hole.tolist()]
        return panel
    panel["width"] = width
    if shape == "folded pouch":
        body = draw(_tenths(50, 120))
        panel |= {
            "body": body,
            "flap": round(body * draw(_tenths(0.4, 1.0)), 1),
            "flap_inset": draw(st.sampled_from([0, 3])),
            "corner_radius": draw(st.sampled_from([0, 10, 20])),
        }
    else:
        panel["height"] = height
        if shape == "rectangle":
            panel["corner_radius"] = draw(st.sampled_from([0, 5, 20]))
    return panel


def _extent(panel: dict[str, Any]) -> tuple[float, float]:
    if panel["shape"] == "polygon":
        reach = np.array(panel["points"]).max(axis=0)
        return float(reach[0]), float(reach[1])
    if panel["shape"] == "folded pouch":
        return panel["width"], 2 * panel["body"] + panel["flap"]
    return panel["width"], panel["height"]


@st.composite
def fills(draw: st.DrawFn, parts: tuple[str, ...], *, meander: bool) -> dict[str, Any]:
    """One ``[[fills]]`` entry."""
    pattern = draw(
        st.sampled_from(["channel", "grid", "meander"] if meander else ["channel", "grid"])
    )
    fill: dict[str, Any] = {"part": draw(st.sampled_from(parts)), "pattern": pattern}
    if pattern == "meander":
        return fill | {"spacing": draw(_tenths(9, 25))}
    fill["spacing"] = draw(_tenths(5, 30))
    angle = draw(st.one_of(st.sampled_from([0, 45, 90, 135]), st.integers(0, 179)))
    fill["angle"] = angle
    if pattern == "grid":
        fill["angle"] = draw(
            st.sampled_from([angle, [angle, angle + 60], [angle, angle + 60, angle + 120]])
        )
    return fill


@st.composite
def projects(draw: st.DrawFn, *, meander: bool = True) -> Project:
    """A project that reads: small panel, up to four keep-outs, one or two fills."""
    panel = draw(panels())
    width, height = _extent(panel)
    document: dict[str, Any] = {
        "format": 1,
        "name": "Random pouch",
        "seed": draw(st.integers(0, 50)),
        "panel": panel,
    }
    pieces = []
    for i in range(draw(st.integers(0, 3))):
        # well inside the bounding box; a polygon's middle is always its own
        share = (0.35, 0.65) if panel["shape"] == "polygon" else (0.15, 0.85)
        at = [
            round(width * draw(_tenths(*share)), 1),
            round(height * draw(_tenths(*share)), 1),
        ]
        piece: dict[str, Any] = {
            "name": f"piece {i}",
            "kind": "something hard",
            "at": at,
            "sits": draw(st.sampled_from(["inside", "above", "below"])),
            "fitted": draw(st.sampled_from(["before quilting", "after quilting"])),
            "clearance": draw(st.sampled_from([3.2, 6.35])),
        }
        size = draw(_tenths(6, 25))
        if draw(st.booleans()):
            piece["diameter"] = size
        else:
            piece |= {"width": size, "height": draw(_tenths(6, 40))}
        if draw(st.booleans()) or panel["shape"] == "polygon":
            pieces.append(piece)
    if panel["shape"] == "ellipse":
        pieces = pieces[:1]
    document["hardware"] = pieces
    if draw(st.booleans()):
        document["keep_outs"] = [
            {
                "name": "label",
                "shape": "rectangle",
                "at": [round(width / 2, 1), round(height / 2, 1)],
                "width": draw(_tenths(5, 60)),
                "height": draw(_tenths(5, 30)),
                "clearance": draw(st.sampled_from([0, 3, 6.35])),
            }
        ]
    parts = ("all", "front", "flap") if panel["shape"] == "folded pouch" else ("all",)
    document["fills"] = draw(st.lists(fills(parts, meander=meander), min_size=1, max_size=2))
    document["quilting"] = {
        "stitch_length": draw(_tenths(1.5, 5)),
        "edge": draw(st.sampled_from(["overhang", "seam allowance", "none"])),
        "order": draw(st.sampled_from(["least cost", "least cost", "fewest cuts"])),
    }
    if draw(st.booleans()):
        document["machine"] = {"foot": {"left": 5, "right": 5, "front": 8, "back": 10}}
    return parse_project(document)


def stitches(plan: Plan) -> tuple[Floats, npt.NDArray[np.int64]]:
    """Ends ``(k, 2, 2)`` in mm and kinds of all stitches, runs apart."""
    xy = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    inner = np.flatnonzero(plan.sewn.run[1:] == plan.sewn.run[:-1])
    return np.stack([xy[inner], xy[inner + 1]], axis=1), plan.sewn.kind[inner + 1]


def drawn(plan: Plan, what: npt.NDArray[np.bool_]) -> MultiLineString:
    """Some of the network's edges as one geometry."""
    network = plan.network
    return MultiLineString(
        [
            network.points[network.starts[e] : network.starts[e + 1]]
            for e in np.flatnonzero(what).tolist()
        ]
    )


def spread(plan: Plan, step: float = 0.7) -> Floats:
    """Points along every line that must be sewn."""
    points = []
    for i in range(len(plan.lines)):
        line = shapely.LineString(plan.lines.line(i))
        points.append(
            shapely.get_coordinates(
                shapely.line_interpolate_point(line, np.arange(0, line.length, step))
            )
        )
    return np.concatenate(points) if points else np.empty((0, 2))


def segments(ends: Floats) -> MultiLineString:
    """Stitches as one geometry."""
    return MultiLineString(list(ends))


__all__ = ["Kind", "drawn", "fills", "panels", "projects", "segments", "spread", "stitches"]
