"""Curves in the frame of their own, drawn there each from the same place and in one order.

A closed line can be drawn from any place on it and either way round, and lines in any order.
In the frame each begins where it comes first along one odd direction and goes round to the
left, and the longest come first: what is sampled along them is then the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.geometry import ranges
from loftline.runs.facing import Curves
from loftline.runs.frame import Frame
from loftline.values import Bools, Floats, Ints

_ODD = np.array([math.cos(1.0), math.sin(1.0)])
"""No side of a figure is likely to stand square to it."""

_SAME_MM = 1e-3
"""Lengths this near are the same."""

_STRAIGHT_MM = 1e-6
"""A point no farther beside the straight between those before and after it is no corner."""

_LEAST_POINTS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Framed:
    """Curves as they are in the frame, and where on the panel they lie.

    Attributes:
        frame: the frame.
        drawn: the curves on the panel.
        curves: the same in the frame.
        number: ``(c,)`` which of the drawn ones each is.
    """

    frame: Frame
    drawn: Curves
    curves: Curves
    number: Ints
    _rank: Ints
    _begin: Floats
    _back: Bools
    _far: Floats

    @classmethod
    def of(cls, drawn: Curves, lines: int) -> Framed:
        """Bring curves into their frame.

        Args:
            drawn: on the panel.
            lines: so many of them come first whatever their lengths; the rest are ways.
        """
        frame = Frame.of(drawn.points, drawn.starts)
        points = frame.inside(drawn.points)
        begin, back = _begun(points, drawn)
        way = np.arange(len(drawn)) >= lines
        length = np.rint(drawn.total / _SAME_MM)
        number = np.lexsort((points[begin] @ _ODD, -length, way))
        source, size = _rolled(drawn, number, begin, back)
        starts = np.concatenate([[0], np.cumsum(size)])
        return cls(
            frame=frame,
            drawn=drawn,
            curves=Curves.of(points[source], starts, drawn.closed[number]),
            number=number,
            _rank=np.argsort(number),
            _begin=drawn.along[begin],
            _back=back,
            _far=_unrolled(drawn, source, np.repeat(number, size), back),
        )

    def outside(self, curve: Ints, along: Floats) -> tuple[Ints, Floats]:
        """Places on curves in the frame: the drawn curve, and how far along it."""
        number = self.number[curve]
        return number, self.drawn.within(number, self.curves.between(curve, along, self._far))

    def inside(self, curve: Ints, along: Floats) -> tuple[Ints, Floats]:
        """Places on drawn curves: the curve in the frame, and how far along it."""
        far = (along - self._begin[curve]) * np.where(self._back[curve], -1.0, 1.0)
        here = self._rank[curve]
        return here, self.curves.within(here, far)


def _begun(points: Floats, drawn: Curves) -> tuple[Ints, Bools]:
    """The point that each curve begins with in the frame, and whether it is drawn backwards."""
    first, last = drawn.starts[:-1], drawn.starts[1:] - 1
    key = points @ _ODD
    owner = np.repeat(np.arange(len(drawn)), np.diff(drawn.starts))
    lowest = np.lexsort((np.arange(len(key)), key, owner))[first]
    back = key[last] < key[first]
    # twice the area within, positive to the left
    cross = np.zeros(len(points))
    cross[:-1] = points[:-1, 0] * points[1:, 1] - points[1:, 0] * points[:-1, 1]
    cross[last] = 0.0
    area = np.add.reduceat(cross, first)
    begin = np.where(back, last, first)
    return np.where(drawn.closed, lowest, begin), np.where(drawn.closed, area < 0, back)


def _rolled(drawn: Curves, number: Ints, begin: Ints, back: Bools) -> tuple[Ints, Ints]:
    """Which of the drawn points is each in the frame, and how many each curve has there."""
    size = np.diff(drawn.starts)
    owner = np.repeat(number, size[number])
    k = ranges(np.zeros(len(number), np.int64), size[number])
    first = drawn.starts[owner]
    # a closed curve's last point is its first
    count = (size - drawn.closed)[owner]
    source = first + (begin[owner] - first + np.where(back[owner], -k, k)) % count
    # where a closed curve was drawn from is no corner of its own
    corner = drawn.points[drawn.starts[:-1]]
    before, after = drawn.points[drawn.starts[1:] - 2], drawn.points[drawn.starts[:-1] + 1]
    (x, y), (across, up) = (corner - before).T, (after - before).T
    bent = np.abs(x * up - y * across) > _STRAIGHT_MM * np.hypot(across, up)
    dropped = (drawn.closed & ~bent & (size > _LEAST_POINTS))[owner]
    dropped &= (source == first) & (begin[owner] != first)
    return source[~dropped], (size - np.bincount(owner[dropped], minlength=len(size)))[number]


def _unrolled(drawn: Curves, source: Ints, owner: Ints, back: Bools) -> Floats:
    """How far along as drawn each point in the frame lies, going on where a closed curve ends."""
    far = drawn.along[source]
    step = np.diff(far, prepend=far[:1])
    fresh = np.diff(owner, prepend=-1) != 0
    # forward it falls only where the end is passed, backwards it rises only there
    passed = np.where(back[owner], step > 0, step < 0) & ~fresh
    laps = np.cumsum(passed)
    laps -= np.repeat(laps[fresh], np.diff(np.append(np.flatnonzero(fresh), len(fresh))))
    return np.asarray(far + np.where(back[owner], -laps, laps) * drawn.total[owner])
