"""What a shape of panel is: an outline with parts, folds and named edges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Polygon

from loftline.geometry import ARC_SEGMENTS
from loftline.values import Fold, Part, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A named edge: its middle, and the unit vector that leads inward, square to it.

    Attributes:
        length: of a straight edge by itself, mm, which a row along it keeps to; ``None`` where
            the edge spans the whole panel, as a rounded top does.
    """

    at: Point
    inward: Point
    length: float | None = None

    def inside(self, distance: float) -> Point:
        """The point at a distance in from the middle of the edge."""
        return (
            self.at[0] + self.inward[0] * distance,
            self.at[1] + self.inward[1] * distance,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """An outline and what its kind of panel brings along.

    Attributes:
        lengths: of edges whose length their place alone does not tell, mm.
    """

    outline: Polygon
    parts: tuple[Part, ...] = ()
    folds: tuple[Fold, ...] = ()
    edges: Mapping[str, Edge] = field(default_factory=dict)
    lengths: Mapping[str, float] = field(default_factory=dict)


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


def upright_edges(width: float, height: float) -> dict[str, Edge]:
    """The four edges of an upright box from (0, 0)."""
    return {
        "top": Edge(at=(width / 2, height), inward=(0, -1)),
        "bottom": Edge(at=(width / 2, 0), inward=(0, 1)),
        "left": Edge(at=(0, height / 2), inward=(1, 0)),
        "right": Edge(at=(width, height / 2), inward=(-1, 0)),
    }


def between(one: Edge, two: Edge, distances: tuple[float, float]) -> Point | None:
    """The point so far in from both edges; ``None`` when they run the same way."""
    rows = np.array([one.inward, two.inward])
    if abs(float(rows[0, 0] * rows[1, 1] - rows[0, 1] * rows[1, 0])) < 1e-6:
        return None
    ahead = (rows * np.array([one.at, two.at])).sum(axis=1) + distances
    x, y = np.linalg.solve(rows, ahead).tolist()
    return (x, y)


def need(value: float | None) -> float:
    """A size that the schema demands for this shape."""
    if value is None:  # the schema asks for it with each shape
        raise AssertionError("a size is missing that the schema demands")
    return value
