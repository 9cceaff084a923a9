"""Shapes of panels: the outline with its parts, folds and edges."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from loftline.errors import Fault
from loftline.geometry import only_polygons, place, polygons
from loftline.panel.bag_shapes import BAG_SHAPES
from loftline.panel.edges import outline_edges, point_edges
from loftline.panel.own_folds import with_own_folds
from loftline.panel.rounding import TooRound, round_corners
from loftline.panel.shape import Edge, Shape, between, need, rounded_box, upright_edges
from loftline.project import PanelSpec
from loftline.values import Fold, Part

__all__ = ["Edge", "Shape", "between", "make_shape", "rounded_box"]


def _rectangle(spec: PanelSpec) -> Shape:
    width, height = need(spec.width), need(spec.height)
    return Shape(
        outline=rounded_box(width, height, spec.corner_radius),
        edges=upright_edges(width, height),
    )


def _ellipse(spec: PanelSpec) -> Shape:
    width, height = need(spec.width), need(spec.height)
    # sag of a chord stays under 0.02 mm up to the largest panel
    count = int(np.clip(np.pi / np.sqrt(0.04 / max(width, height)), 64, 1024)) // 4 * 4
    turn = np.arange(count) * (2 * np.pi / count)
    points = np.column_stack([1 + np.cos(turn), 1 + np.sin(turn)]) * (width / 2, height / 2)
    return Shape(outline=Polygon(points), edges=upright_edges(width, height))


def _folded_pouch(spec: PanelSpec) -> Shape:
    """Front, back and flap above each other; the flap folds down over the front."""
    width, body, flap = need(spec.width), need(spec.body), need(spec.flap)
    inset, lower, upper = spec.flap_inset, body, 2 * body
    top = upper + flap
    flap_box = rounded_box(width - 2 * inset, 2 * flap, min(spec.corner_radius, flap))
    flap_area = only_polygons(
        translate(flap_box, inset, upper - flap).intersection(shapely.box(0, upper, width, top))
    )
    front, back = shapely.box(0, 0, width, lower), shapely.box(0, lower, width, upper)
    body_box = shapely.box(0, 0, width, upper)
    outline = polygons(shapely.union(body_box, flap_area))[0]
    round_body = width + 2 * upper + 2 * inset
    return Shape(
        outline=outline,
        parts=(
            Part(name="front", area=front),
            Part(name="back", area=back),
            Part(name="flap", area=flap_area),
        ),
        folds=(
            Fold(name="lower fold", start=(0, lower), end=(width, lower)),
            Fold(name="upper fold", start=(inset, upper), end=(width - inset, upper)),
        ),
        edges={
            "flap edge": Edge(at=(width / 2, top), inward=(0, -1)),
            "front edge": Edge(at=(width / 2, 0), inward=(0, 1)),
            "left": Edge(at=(0, body), inward=(1, 0)),
            "right": Edge(at=(width, body), inward=(-1, 0)),
        },
        lengths={
            "left": upper,
            "right": upper,
            "flap edge": float(outline.exterior.length) - round_body,
        },
    )


def _polygon(spec: PanelSpec) -> Shape:
    outline = Polygon(spec.points or (), spec.holes or ())
    if spec.corner_radius > 0 and outline.is_valid and outline.area > 0:
        rounded = round_corners(np.array(spec.points), spec.corner_radius)
        outline = Polygon(rounded, spec.holes or ())
    return Shape(outline=outline, edges=point_edges(np.array(spec.points or ((0.0, 0.0),))))


def _drawn(spec: PanelSpec) -> Shape:
    drawing = spec.drawing
    if drawing is None:  # the schema reads it with the file
        raise AssertionError("a drawing is missing that the schema demands")
    parts = [
        (part.name, only_polygons(part.area.intersection(drawing.outline)))
        for part in drawing.parts
    ]
    return Shape(
        outline=drawing.outline,
        parts=tuple(Part(name=name, area=area) for name, area in parts if not area.is_empty),
        folds=tuple(Fold(name=f.name, start=f.start, end=f.end) for f in drawing.folds),
        edges=outline_edges(drawing.outline),
    )


_MAKERS: Mapping[str, Callable[[PanelSpec], Shape]] = {
    "rectangle": _rectangle,
    "ellipse": _ellipse,
    "folded pouch": _folded_pouch,
    "polygon": _polygon,
    "file": _drawn,
    **BAG_SHAPES,
}


def make_shape(spec: PanelSpec, faults: list[Fault]) -> Shape | None:
    """The shape a panel's keys describe; ``None``, with a fault added, when there is none."""
    try:
        shape = _MAKERS[spec.shape](spec)
    except TooRound as error:
        key = "corner_radius" if spec.corner_object is None else "corner_object"
        faults.append(Fault(where=f"panel.{key}", message=str(error)))
        return None
    if shape.outline.is_valid and shape.outline.area > 0:
        return with_own_folds(shape, spec, faults)
    message, where = _trouble(shape.outline)
    at_hole = bool(spec.holes) and Polygon(spec.points or ()).is_valid
    faults.append(
        Fault(where="panel.holes" if at_hole else "panel.points", message=message + where)
    )
    return None


def _trouble(outline: Polygon) -> tuple[str, str]:
    reason = shapely.is_valid_reason(outline)
    what, _, rest = reason.partition("[")
    where = f" at {place([float(number) for number in rest.rstrip(']').split()])}" if rest else ""
    words = {
        "Self-intersection": "the outline, or a hole with it, crosses or touches itself",
        "Ring Self-intersection": "the outline touches itself",
        "Hole lies outside shell": "a hole lies outside the outline",
        "Holes are nested": "a hole lies inside another",
        "Interior is disconnected": "the holes cut the panel in pieces",
    }
    said = words.get(what.strip(), "the outline holds no area")
    return said, f"{where}; list the corners in order along the edge, each once"
