"""Curves that face each other: which lie side by side, where, and how far apart.

Places sampled along all curves are joined into a Delaunay triangulation: two curves with
nothing between them share edges of it. O(n log n) in the samples; many are triangulated
square by square, so that the work can be stopped in between.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import Delaunay, cKDTree

from loftline.errors import Step, does_nothing
from loftline.geometry import distance_along, ranges
from loftline.values import Bools, Floats, Ints

PITCH_MM = 3.0
"""Distance of the samples along a curve."""

_GRID_MM = 2.0**-10
"""Samples are taken to whole multiples of this, a thousandth of a millimetre."""

_TRIES = 9
"""Places looked at around a guess, in each of a few finer and finer passes."""

_PASSES = 3

_MOST = 40_000
"""So many places are triangulated at a time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """Packed polylines with places on them by distance along.

    Attributes:
        points, starts: the polylines; a closed one repeats its first point.
        closed: ``(c,)``.
        total: ``(c,)`` lengths.
        along: distance of each point along its own curve.
    """

    points: Floats
    starts: Ints
    closed: Bools
    total: Floats
    along: Floats
    _shift: Floats
    _axis: Floats
    _columns: Floats

    @classmethod
    def of(cls, points: Floats, starts: Ints, closed: Bools) -> Curves:
        """Curves from packed points."""
        along = distance_along(points, starts)
        total = along[starts[1:] - 1] if len(starts) > 1 else np.empty(0)
        # all curves on one axis, a millimetre between them
        shift = np.concatenate([[0.0], np.cumsum(total + 1.0)])[: len(total)]
        axis = along + np.repeat(shift, np.diff(starts))
        return cls(
            points=points,
            starts=starts,
            closed=closed,
            total=total,
            along=along,
            _shift=shift,
            _axis=axis,
            # each in one piece, or a look at a few places copies them all
            _columns=np.ascontiguousarray(points.T),
        )

    def __len__(self) -> int:
        return len(self.total)

    def within(self, curve: Ints, along: Floats) -> Floats:
        """Distances along brought onto the curves: round a closed one, else to its end."""
        total = self.total[curve]
        on = np.where(self.closed[curve], np.mod(along, total), np.clip(along, 0.0, total))
        return np.asarray(on)

    def at(self, curve: Ints, along: Floats) -> Floats:
        """Places, ``(..., 2)``."""
        return np.stack([self.between(curve, along, column) for column in self._columns], axis=-1)

    def between(self, curve: Ints, along: Floats, value: Floats) -> Floats:
        """What is told of each point, at places between them."""
        asked = self.within(curve, along) + self._shift[curve]
        return np.asarray(np.interp(asked, self._axis, value))

    def corners(self, sharp: float) -> tuple[Ints, Floats]:
        """Curve and distance along of every bend sharper than an angle in radians."""
        owner = np.repeat(np.arange(len(self)), np.diff(self.starts))
        out = np.diff(self.points, axis=0, append=self.points[-1:])
        last = self.starts[1:] - 1
        first = self.starts[:-1]
        back = np.roll(out, 1, axis=0)
        # a closed curve's first point is its last
        back[first] = out[last - 1]
        cross = back[:, 0] * out[:, 1] - back[:, 1] * out[:, 0]
        turn = np.abs(np.arctan2(cross, (back * out).sum(axis=1)))
        bent = turn > sharp
        bent[last] = False
        bent[first[~self.closed]] = False
        at = np.flatnonzero(bent)
        return owner[at], self.along[at]

    def piece(self, curve: Ints, along: Floats) -> Ints:
        """The point that begins the straight piece each place lies on."""
        asked = self.within(curve, along) + self._shift[curve]
        before = np.searchsorted(self._axis, asked, side="right") - 1
        return np.clip(before, self.starts[curve], self.starts[curve + 1] - 2)

    def foot(self, places: Floats, curve: Ints, guess: Floats, reach: float) -> Floats:
        """How far along each curve the place nearest to ``places`` lies, near a guess.

        Args:
            places: ``(k, 2)``.
            curve: ``(k,)``.
            guess: ``(k,)`` distance along.
            reach: how far off the guess may be.
        """
        offsets = np.linspace(-1.0, 1.0, _TRIES)
        for _ in range(_PASSES):
            along = guess[:, None] + reach * offsets
            spot = self.at(np.broadcast_to(curve[:, None], along.shape), along)
            apart = ((spot - places[:, None]) ** 2).sum(axis=2)
            guess = along[np.arange(len(guess)), apart.argmin(axis=1)]
            reach *= 2.0 / (_TRIES - 1)
        return self.within(curve, guess)


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """Samples along curves and, for each, the samples of other curves that it faces.

    Attributes:
        curve, along: ``(s,)`` where the samples lie, sorted.
        begin: ``(s + 1,)`` offsets in ``other`` and ``apart``.
        other: sample faced.
        apart: how far it is.
    """

    curve: Ints
    along: Floats
    begin: Ints
    other: Ints
    apart: Floats
    _first: Ints
    _gap: Floats

    @classmethod
    def find(
        cls,
        curves: Curves,
        group: Ints,
        asking: Bools,
        reach: float,
        step: Step = does_nothing,
    ) -> Facing:
        """Which curves face which.

        Args:
            curves: all of them.
            group: ``(c,)`` curves of one group need not be told of each other.
            asking: ``(c,)`` one curve of each pair must be asking.
            reach: farthest distance that counts.
            step: progress callback.
        """
        pieces = np.maximum(np.ceil(curves.total / PITCH_MM).astype(np.int64), 2)
        count = pieces + ~curves.closed
        gap = curves.total / pieces
        curve = np.repeat(np.arange(len(curves)), count)
        along = ranges(np.zeros(len(count), np.int64), count) * gap[curve]
        # where four lie on a circle rounding alone would settle which two are joined
        spot = np.rint(curves.at(curve, along) / _GRID_MM) * _GRID_MM
        i, j = _edges(spot, asking[curve], reach, step).T
        apart = np.hypot(*(spot[i] - spot[j]).T)
        keep = (group[curve[i]] != group[curve[j]]) & (apart <= reach)
        keep &= asking[curve[i]] | asking[curve[j]]
        i, j, apart = i[keep], j[keep], apart[keep]
        one, other = np.concatenate([i, j]), np.concatenate([j, i])
        apart = np.concatenate([apart, apart])
        order = np.lexsort((other, one))
        begin = np.searchsorted(one[order], np.arange(len(curve) + 1))
        return cls(
            curve=curve,
            along=along,
            begin=begin,
            other=other[order],
            apart=apart[order],
            _first=np.concatenate([[0], np.cumsum(count)]),
            _gap=gap,
        )

    def faced(self, curves: Curves, curve: Ints, along: Floats) -> tuple[Ints, Ints, Floats]:
        """The curves faced from places on curves.

        Returns:
            For each answer the number of the place asked for, the curve faced, and about how
            far along it; each curve once for each place. Sorted.
        """
        count = self._first[curve + 1] - self._first[curve]
        nearest = np.rint(along / self._gap[curve]).astype(np.int64)
        which, target, guess, far = [], [], [], []
        for shift in (-1, 0, 1):
            k = nearest + shift
            k = np.where(curves.closed[curve], k % count, np.clip(k, 0, count - 1))
            sample = self._first[curve] + k
            size = self.begin[sample + 1] - self.begin[sample]
            at = ranges(self.begin[sample], size)
            which.append(np.repeat(np.arange(len(curve)), size))
            target.append(self.curve[self.other[at]])
            guess.append(self.along[self.other[at]])
            far.append(self.apart[at] + abs(shift) * 1e-6)
        place, faced = np.concatenate(which), np.concatenate(target)
        order = np.lexsort((np.concatenate(far), faced, place))
        place, faced = place[order], faced[order]
        fresh = np.append(True, (np.diff(place) > 0) | (np.diff(faced) > 0))[: len(place)]
        return place[fresh], faced[fresh], np.concatenate(guess)[order][fresh]

    def narrows(self, loose: Bools, share: float) -> tuple[Ints, Floats, Ints, Floats]:
        """Where two curves come nearest, if both are loose or it is nearer than they usually are.

        Args:
            loose: ``(c,)``.
            share: of their usual distance.

        Returns:
            The first curve of each such pair and about how far along it, and the second.
        """
        one = np.repeat(np.arange(len(self.curve)), np.diff(self.begin))
        a, b = self.curve[one], self.curve[self.other]
        use = np.flatnonzero(a < b)
        pair = a[use] * (int(self.curve.max(initial=0)) + 1) + b[use]
        order = use[np.lexsort((self.apart[use], pair))]
        _, first, count = np.unique(np.sort(pair), return_index=True, return_counts=True)
        usual = self.apart[order[first + count // 2]]
        least = order[first]
        near = self.apart[least] < share * usual
        near |= loose[a[least]] & loose[b[least]]
        at, far = one[least][near], self.other[least][near]
        return self.curve[at], self.along[at], self.curve[far], self.along[far]

    def median(self, size: int) -> Floats:
        """``(size,)`` how far apart each curve and its neighbours usually are; NaN without any."""
        out = np.full(size, np.nan)
        one = self.curve[np.repeat(np.arange(len(self.curve)), np.diff(self.begin))]
        order = np.lexsort((self.apart, one))
        curve, first, count = np.unique(one[order], return_index=True, return_counts=True)
        out[curve] = self.apart[order][first + count // 2]
        return out


def _edges(spot: Floats, asking: Bools, reach: float, step: Step) -> Ints:
    """Edges of the Delaunay triangulation no longer than ``reach``, ``(k, 2)``, each once.

    Places farther than ``reach`` from all that ask are left out: they take time and memory,
    and no edge to one counts. A square's edges are those of all places in it and within
    reach of it: what lies farther away parts none of them.
    """
    if not asking.any():
        return np.empty((0, 2), np.int64)
    beside, _ = cKDTree(spot[asking]).query(spot, distance_upper_bound=reach)
    kept = np.flatnonzero(np.isfinite(beside))
    if len(kept) <= _MOST:
        return kept[_triangulated(spot[kept])]
    spot = spot[kept]
    low, size = spot.min(axis=0), np.ptp(spot, axis=0)
    across = math.ceil(math.sqrt(len(spot) / _MOST))
    side = float(size.max()) / across
    count = np.maximum(np.ceil(size / side - 1e-9).astype(np.int64), 1)
    square = np.clip(np.floor((spot - low) / side).astype(np.int64), 0, count - 1)
    found = []
    for x, y in np.ndindex(*count.tolist()):
        step("steps", x * int(count[1]) + y, int(count.prod()))
        corner = low + side * np.array([x, y])
        near = ((spot >= corner - reach) & (spot <= corner + side + reach)).all(axis=1)
        inside = np.flatnonzero(near)
        edges = inside[_triangulated(spot[inside])]
        found.append(edges[(square[edges[:, 0]] == (x, y)).all(axis=1)])
    return np.asarray(kept[np.concatenate(found)], np.int64)


def _triangulated(spot: Floats) -> Ints:
    """Edges of the Delaunay triangulation of all places."""
    if len(spot) < 2:
        return np.empty((0, 2), np.int64)
    low, high = spot.min(axis=0), spot.max(axis=0)
    middle, size = (low + high) / 2, float((high - low).max()) + 1.0
    # three far places, so that there is always an area to be triangulated
    frame = middle + 20 * size * np.array([[-1.0, -0.7], [1.0, -0.8], [0.1, 1.0]])
    corners = Delaunay(np.concatenate([spot, frame])).simplices.astype(np.int64)
    pairs = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    pairs = np.sort(pairs, axis=1)
    pairs = pairs[pairs[:, 1] < len(spot)]
    key = np.sort(pairs[:, 0] * len(spot) + pairs[:, 1])
    key = key[np.append(True, np.diff(key) > 0)[: len(key)]]
    return np.column_stack([key // len(spot), key % len(spot)])
