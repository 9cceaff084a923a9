"""The closed bag as its two faces show it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import cast

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import affine_transform

from loftline.values.common import Area, Floats, Point


@dataclass(frozen=True, slots=True)
class Affine:
    """A move of the plane: ``x' = a x + b y + x0``, ``y' = d x + e y + y0``."""

    a: float
    b: float
    d: float
    e: float
    x0: float
    y0: float

    def __call__(self, point: Point) -> Point:
        """Where a point goes."""
        x, y = point
        return (
            self.a * x + self.b * y + self.x0,
            self.d * x + self.e * y + self.y0,
        )

    def then(self, other: Affine) -> Affine:
        """This move, and the other after it."""
        x0, y0 = other((self.x0, self.y0))
        return Affine(
            other.a * self.a + other.b * self.d,
            other.a * self.b + other.b * self.e,
            other.d * self.a + other.e * self.d,
            other.d * self.b + other.e * self.e,
            x0,
            y0,
        )

    @property
    def turned_over(self) -> bool:
        """Whether it shows the other side."""
        return self.a * self.e - self.b * self.d < 0

    def inverse(self) -> Affine:
        """The move back; it keeps lengths, so its matrix is turned about its diagonal."""
        a, b, d, e = self.a, self.d, self.b, self.e
        return Affine(a, b, d, e, -(a * self.x0 + b * self.y0), -(d * self.x0 + e * self.y0))

    def points(self, points: Floats) -> Floats:
        """Where points ``(n, 2)`` go."""
        matrix = np.array([[self.a, self.b], [self.d, self.e]])
        moved: Floats = points @ matrix.T + (self.x0, self.y0)
        return moved

    def area(self, area: Area) -> Area:
        """Where an area goes."""
        terms = (self.a, self.b, self.d, self.e, self.x0, self.y0)
        return affine_transform(area, terms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A part as one face of the closed bag shows it.

    Attributes:
        area: what of it is seen, closed coordinates of the face.
        move: from the flat panel to these coordinates.
        covered: what of it lies under parts painted after it.
    """

    part: str
    area: Area
    move: Affine
    covered: Area

    @property
    def whole(self) -> Area:
        """All of the part, seen or not."""
        return cast("Area", shapely.union_all([self.area, self.covered]))

    @property
    def up(self) -> Point:
        """The direction on the flat panel that points up in the closed bag, of length 1."""
        back = self.move.inverse()
        (x0, y0), (x1, y1) = back((0.0, 0.0)), back((0.0, 1.0))
        return (x1 - x0, y1 - y0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedFace:
    """One side of the closed bag, seen from outside.

    Attributes:
        parts: those seen, in the order they are painted.
        lining: where the inside of the bag is seen instead.
    """

    name: str
    parts: tuple[Shown, ...]
    lining: Area = field(default_factory=Polygon)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, mm."""
        x0, y0, x1, y1 = shapely.union_all([*(s.whole for s in self.parts), self.lining]).bounds
        return (x0, y0, x1, y1)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        x0, y0, x1, y1 = self.bounds
        return (x1 - x0, y1 - y0)
