"""Shapes of panels: the outline with its parts, folds, edges and how it closes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate

from loftline.errors import Fault
from loftline.geometry import ARC_SEGMENTS, only_polygons, place, polygons
from loftline.project import PanelSpec
from loftline.values import Fold, Part, Point

Move = Callable[[Point], Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A named edge on the centre line: where it lies and which way leads inward."""

    at: Point
    inward: Point

    def inside(self, distance: float) -> Point:
        """The point on the centre line at a distance in from the edge."""
        return (
            self.at[0] + self.inward[0] * distance,
            self.at[1] + self.inward[1] * distance,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """An outline and what its kind of panel brings along.

    Attributes:
        facing: for a part, the part that lies against it in the closed bag, and where a
            point of the one meets the other.
    """

    outline: Polygon
    parts: tuple[Part, ...] = ()
    folds: tuple[Fold, ...] = ()
    edges: Mapping[str, Edge] = field(default_factory=dict)
    facing: Mapping[str, tuple[str, Move]] = field(default_factory=dict)


def rounded_box(width: float, height: float, radius: float) -> Polygon:
    """A rectangle from (0, 0) with rounded corners; the arcs lie on the true circle."""
    if radius <= 0:
        return shapely.box(0, 0, width, height)
    turn = np.linspace(0, np.pi / 2, ARC_SEGMENTS + 1)
    arc = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    quarter = [arc, arc[:, ::-1] * (-1, 1), -arc, arc[:, ::-1] * (1, -1)]
    centres = np.array(
        [
            (width - radius, height - radius),
            (radius, height - radius),
            (radius, radius),
            (width - radius, radius),
        ]
    )
    points = np.concatenate([q + c for q, c in zip(quarter, centres, strict=True)])
    fresh = np.append(True, np.hypot(*np.diff(points, axis=0).T) > 1e-9)
    return Polygon(points[fresh])


def _upright_edges(width: float, height: float) -> dict[str, Edge]:
    return {
        "top": Edge(at=(width / 2, height), inward=(0, -1)),
        "bottom": Edge(at=(width / 2, 0), inward=(0, 1)),
        "left": Edge(at=(0, height / 2), inward=(1, 0)),
        "right": Edge(at=(width, height / 2), inward=(-1, 0)),
    }


def _rectangle(spec: PanelSpec) -> Shape:
    width, height = _need(spec.width), _need(spec.height)
    return Shape(
        outline=rounded_box(width, height, spec.corner_radius),
        edges=_upright_edges(width, height),
    )


def _ellipse(spec: PanelSpec) -> Shape:
    width, height = _need(spec.width), _need(spec.height)
    # sag of a chord stays under 0.02 mm up to the largest panel
    count = int(np.clip(np.pi / np.sqrt(0.04 / max(width, height)), 64, 1024)) // 4 * 4
    turn = np.arange(count) * (2 * np.pi / count)
    points = np.column_stack([1 + np.cos(turn), 1 + np.sin(turn)]) * (width / 2, height / 2)
    return Shape(outline=Polygon(points), edges=_upright_edges(width, height))


def _folded_pouch(spec: PanelSpec) -> Shape:
    """Front, back and flap above each other; the flap folds down over the front."""
    width, body, flap = _need(spec.width), _need(spec.body), _need(spec.flap)
    inset, lower, upper = spec.flap_inset, body, 2 * body
    top = upper + flap
    flap_box = rounded_box(width - 2 * inset, 2 * flap, min(spec.corner_radius, flap))
    flap_area = only_polygons(
        translate(flap_box, inset, upper - flap).intersection(shapely.box(0, upper, width, top))
    )
    front, back = shapely.box(0, 0, width, lower), shapely.box(0, lower, width, upper)

    def flap_to_front(point: Point) -> Point:
        # over the upper fold, then back over the lower one
        return (point[0], 2 * lower - (2 * upper - point[1]))

    def front_to_flap(point: Point) -> Point:
        return (point[0], 2 * upper - (2 * lower - point[1]))

    body_box = shapely.box(0, 0, width, upper)
    return Shape(
        outline=polygons(shapely.union(body_box, flap_area))[0],
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
        facing={"flap": ("front", flap_to_front), "front": ("flap", front_to_flap)},
    )


def _polygon(spec: PanelSpec) -> Shape:
    return Shape(outline=Polygon(spec.points or (), spec.holes or ()))


_MAKERS: Mapping[str, Callable[[PanelSpec], Shape]] = {
    "rectangle": _rectangle,
    "ellipse": _ellipse,
    "folded pouch": _folded_pouch,
    "polygon": _polygon,
}


def make_shape(spec: PanelSpec, faults: list[Fault]) -> Shape | None:
    """The shape a panel's keys describe; ``None``, with a fault added, when there is none."""
    shape = _MAKERS[spec.shape](spec)
    if shape.outline.is_valid and shape.outline.area > 0:
        return shape
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


def _need(value: float | None) -> float:
    if value is None:  # the schema asks for it with each shape
        raise AssertionError("a size is missing that the schema demands")
    return value
