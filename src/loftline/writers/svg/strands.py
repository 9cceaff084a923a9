"""Needle points as curves to draw: one strand for each stretch of one kind within a run."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import distance_along, lengths, ranges
from loftline.values import Floats, Ints, Kind, Point, Sewn

DRAWING_ERROR = 0.1
"""Needle points nearer than this (mm) to the straight line between others are not drawn:
rounding to the needle grid alone moves them up to 0.07 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strands:
    """Packed polylines in sewing order, millimetres.

    Attributes:
        run: ``(m,)`` run of each strand.
        kind: ``(m,)`` :class:`~loftline.values.Kind` of each strand.
    """

    points: Floats
    starts: Ints
    run: Ints
    kind: Ints

    def pick(self, run: int, *kinds: Kind) -> tuple[Floats, Ints]:
        """The strands of a run that are of one of these kinds, packed. O(log m + answer)."""
        first, last = np.searchsorted(self.run, [run, run + 1])
        chosen = first + np.flatnonzero(np.isin(self.kind[first:last], kinds))
        count = self.starts[chosen + 1] - self.starts[chosen]
        points = self.points[ranges(self.starts[chosen], count)]
        return points, np.concatenate([[0], np.cumsum(count)])


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMark:
    """What is told of one run.

    Attributes:
        run: its number, from 0.
        start, end: first and last needle point, mm.
        leaving: direction of sewing at the start, radians.
        arriving: direction of sewing at the end, radians.
        stitches: stitches sewn.
        length: mm sewn.
    """

    run: int
    start: Point
    end: Point
    leaving: float
    arriving: float
    stitches: int
    length: float


def make_strands(sewn: Sewn) -> Strands:
    """Cut the needle points wherever the run or the kind changes, and thin them out.

    A strand begins at the needle point where the one before it ends (within a run). Points
    within :data:`DRAWING_ERROR` of what is drawn are dropped (Douglas and Peucker's method,
    1973). O(n log n) as a rule.
    """
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    new_run = np.diff(sewn.run, prepend=-1) != 0
    head = np.flatnonzero(new_run | (np.diff(sewn.kind, prepend=-1) != 0))
    first = head - ~new_run[head]
    count = np.append(head[1:], len(sewn)) - first
    keep = count > 1
    head, first, count = head[keep], first[keep], count[keep]
    curves = shapely.linestrings(
        xy[ranges(first, count)], indices=np.repeat(np.arange(len(head)), count)
    )
    thin = shapely.simplify(curves, DRAWING_ERROR, preserve_topology=False)
    points = shapely.get_coordinates(thin)
    starts = np.concatenate([[0], np.cumsum(shapely.get_num_points(thin))]).astype(np.int64)
    return Strands(points=points, starts=starts, run=sewn.run[head], kind=sewn.kind[head])


def mark_runs(sewn: Sewn, reach: float) -> list[RunMark]:
    """Where each run starts and ends, which way it is sewn there, how long it is.

    Args:
        sewn: needle points.
        reach: the direction is that to the needle point this far on (mm), past the tie.
    """
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    first = np.flatnonzero(np.diff(sewn.run, prepend=-1))
    bounds = np.append(first, len(sewn))
    along = distance_along(xy, bounds)
    marks = []
    for a, b in itertools.pairwise(bounds.tolist()):
        run = along[a:b]
        ahead = a + min(int(np.searchsorted(run, reach)), b - a - 1)
        behind = a + max(int(np.searchsorted(run, run[-1] - reach, "right")) - 1, 0)
        marks.append(
            RunMark(
                run=int(sewn.run[a]),
                start=(float(xy[a, 0]), float(xy[a, 1])),
                end=(float(xy[b - 1, 0]), float(xy[b - 1, 1])),
                leaving=_heading(xy[a], xy[ahead]),
                arriving=_heading(xy[behind], xy[b - 1]),
                stitches=b - a - 1,
                length=float(run[-1]),
            )
        )
    return marks


def _heading(start: Floats, end: Floats) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])


def place_arrows(strands: Strands, size: float, every: float) -> Iterator[tuple[int, Point, float]]:
    """Arrows along what is sewn for the first time: run, tip and heading (radians).

    A strand has one in its middle, a long one several, and none comes so near another that
    the two run together; it then moves along its strand, or is left out.

    Args:
        strands: what is drawn.
        size: length of an arrow, mm; strands under three of them have none.
        every: distance between the arrows of one strand, mm.
    """
    total = lengths(strands.points, strands.starts)
    along = distance_along(strands.points, strands.starts)
    taken: dict[tuple[int, int], list[Point]] = {}
    for i in np.flatnonzero((strands.kind == Kind.LINE) & (total > 3 * size)).tolist():
        a, b = int(strands.starts[i]), int(strands.starts[i + 1])
        points, way = strands.points[a:b], along[a:b]
        count = max(1, round(float(total[i]) / every))
        for number in range(count):
            for shift in (0.5, 0.36, 0.64, 0.22, 0.78):
                tip, heading = _on_curve(points, way, float(total[i]) * (number + shift) / count)
                if _claim(taken, tip, 1.6 * size):
                    yield int(strands.run[i]), tip, heading
                    break


def _on_curve(points: Floats, along: Floats, at: float) -> tuple[Point, float]:
    """Place and direction at a distance along a polyline."""
    k = min(int(np.searchsorted(along, at, "right")), len(along) - 1)
    p, q = points[k - 1], points[k]
    x, y = p + (q - p) * ((at - along[k - 1]) / (along[k] - along[k - 1]))
    return (float(x), float(y)), _heading(p, q)


def _claim(taken: dict[tuple[int, int], list[Point]], at: Point, apart: float) -> bool:
    """Take a place unless one is taken nearby; buckets of ``apart`` keep it O(1)."""
    column, row = math.floor(at[0] / apart), math.floor(at[1] / apart)
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            for other in taken.get((column + dx, row + dy), ()):
                if math.dist(at, other) < apart:
                    return False
    taken.setdefault((column, row), []).append(at)
    return True
