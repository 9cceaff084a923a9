"""A curve as complex numbers: the handful of things all steps need.

``x + iy`` keeps a point in one array element, so a step over a curve is one array operation
instead of two. A curve is closed (its first point is not repeated; :meth:`Curve.drawn` repeats
it) or open. Steps look beyond the ends of an open one as if it went on there turned half
round: then its ends stay where they are by themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely
from scipy.spatial import cKDTree
from shapely import LineString

from loftline.values import Area, Floats, Ints

Loop = npt.NDArray[np.complex128]

LEAST_POINTS = 12
"""A curve is never coarser than this, however short it is."""


def from_points(points: Floats) -> Loop:
    """Complex numbers from ``(n, 2)`` numbers."""
    return np.ascontiguousarray(points, dtype=np.float64).view(np.complex128).ravel()


def as_points(loop: Loop) -> Floats:
    """The same places as ``(n, 2)`` numbers, without copying."""
    return np.ascontiguousarray(loop).view(np.float64).reshape(-1, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A curve and its marks.

    Attributes:
        points: ``(n,)``.
        marks: rising indices of some of them. Between marks points are spread by the length
            there alone, so that nothing shifts where a curve grows longer somewhere else.
        closed: whether the last point is joined to the first.
    """

    points: Loop
    marks: Ints
    closed: bool

    def __len__(self) -> int:
        return len(self.points)

    def at(self, points: Loop) -> Curve:
        """The same curve with its points moved."""
        return replace(self, points=points)

    def redrawn(self, points: Loop) -> Curve:
        """Nearly the same curve from other points; marks stay where they were."""
        where = cKDTree(as_points(points)).query(as_points(self.points[self.marks]))[1]
        return replace(self, points=points, marks=np.unique(where))

    def drawn(self) -> Floats:
        """``(n, 2)`` points; of a closed curve the first one repeated last."""
        points = as_points(self.points)
        return np.concatenate([points, points[:1]]) if self.closed else points

    def line(self) -> LineString:
        """The curve as a geometry."""
        return LineString(self.drawn())

    def length(self) -> float:
        """Length, once round where it is closed."""
        total = float(np.abs(np.diff(self.points)).sum())
        return total + float(abs(self.points[0] - self.points[-1])) if self.closed else total

    def padded(self, count: int) -> Loop:
        """The points with as many more before and after them."""
        points = self.points
        if self.closed:
            return points[np.arange(-count, len(points) + count) % len(points)]
        before = 2 * points[0] - points[count:0:-1]
        after = 2 * points[-1] - points[-2 : -count - 2 : -1]
        return np.concatenate([before, points, after])

    def is_proved(self, area: Area) -> bool:
        """Whether it neither meets itself nor leaves an area, checked exactly."""
        points = self.drawn()
        if not np.isfinite(points).all():
            return False
        line = shapely.linearrings(points) if self.closed else shapely.linestrings(points)
        return bool(shapely.is_simple(line)) and bool(area.covers(shapely.linestrings(points)))


def resample(curve: Curve, step: float, spacing: Floats | None = None) -> Curve:
    """Points at even distances along a curve, about ``step`` apart.

    Args:
        curve: the curve.
        step: wanted distance, in mm or in local spacings.
        spacing: ``(n,)`` spacing at each point, where the step is counted in them.
    """
    points, marks = curve.points, curve.marks
    if curve.closed:
        first = int(marks[0]) if len(marks) else 0
        points, marks = np.roll(points, -first), marks - first
        points = np.append(points, points[0])
        spacing = None if spacing is None else np.roll(spacing, -first)
    side = np.abs(np.diff(points))
    if spacing is not None:
        side /= spacing[: len(side)]
    along = np.concatenate([[0.0], np.cumsum(side)])
    bounds = along[np.unique(np.concatenate([[0], marks, [len(points) - 1]]))]
    stretch = np.diff(bounds)
    count = np.maximum(np.rint(stretch / min(step, along[-1] / LEAST_POINTS)), 1).astype(np.int64)
    start = np.concatenate([[0], np.cumsum(count)])
    number = np.arange(start[-1]) - np.repeat(start[:-1], count)
    at = np.repeat(bounds[:-1], count) + number * np.repeat(stretch / count, count)
    if not curve.closed:
        at = np.append(at, along[-1])
    out = np.empty(len(at), np.complex128)
    out.real = np.interp(at, along, points.real)
    out.imag = np.interp(at, along, points.imag)
    return Curve(points=out, marks=start[:-1], closed=curve.closed)
