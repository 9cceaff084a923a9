"""Rows of steps: each goes on from the foot of the last to the nearest place of the next line.

A run that steps from ring to ring passes each one whole without sewing any of it twice where
it leaves at the place it came to. Rows begin where two lines come nearest each other, and
along a line wherever none passes; one ends where another passes near it.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from loftline.runs.ends import MERGE_MM
from loftline.runs.facing import PITCH_MM, Facing
from loftline.runs.framed import Framed
from loftline.runs.ground import Ground
from loftline.runs.stops import Stops
from loftline.values import Bools, Floats, Ints

_SNAP = 0.3
"""A foot takes a node that lies within this share of the step's length."""

_NARROW = 0.75
"""Lines this much nearer than usual are worth a row of steps."""

_SETTLING = 4


@dataclass(slots=True, kw_only=True)
class Rows:
    """Rows of steps while they are being laid, all in the frame of the lines.

    Attributes:
        framed: lines and ways in their frame.
        facing: which lie beside which.
        loose: ``(c,)`` whether each hangs together with no edge.
        ground: where a step may lie.
        nodes: ``(n, 2)`` places of the nodes that are there, in the frame.
        least: rows do not come nearer to each other.
        corners: sharp corners along each curve.
    """

    framed: Framed
    facing: Facing
    loose: Bools
    ground: Ground
    nodes: Floats
    least: float
    corners: dict[int, list[float]]
    taken: dict[int, list[tuple[float, int]]] = field(default_factory=dict)
    fresh: list[tuple[int, float, int]] = field(default_factory=list)
    feet: dict[tuple[int, int], list[float]] = field(default_factory=dict)
    pairs: dict[tuple[int, int], None] = field(default_factory=dict)
    stepped: set[int] = field(default_factory=set)
    spots: list[Floats] = field(default_factory=list)

    def know(self, stops: Stops) -> None:
        """Take note of nodes that are there."""
        curve, along, node = stops.curve, stops.along, stops.node
        for c, a, n in zip(curve.tolist(), along.tolist(), node.tolist(), strict=True):
            insort(self.taken.setdefault(c, []), (a, n))

    def begin_at_narrows(self, lines: int) -> None:
        """Begin rows where two lines come near each other, wherever they are drawn from."""
        # where there are other lines too, these rows would take the room of better ones
        everywhere = self.loose & bool(self.loose[:lines].all())
        one, along, other, far = self.facing.narrows(everywhere, _NARROW)
        if not len(one):
            return
        for _ in range(_SETTLING):
            far = self.framed.curves.foot(self.framed.curves.at(one, along), other, far, PITCH_MM)
            along = self.framed.curves.foot(self.framed.curves.at(other, far), one, along, PITCH_MM)
        spots = self.framed.curves.at(one, along)
        self.go_on(
            [
                (c, a, self._node(c, a, spot, MERGE_MM))
                for c, a, spot in zip(one.tolist(), along.tolist(), spots, strict=True)
                if self.loose[c]
            ]
        )

    def begin(self, curve: int, apart: float) -> None:
        """Begin rows along a curve where none passes."""
        total = float(self.framed.curves.total[curve])
        passed = [a for a, n in self.taken.get(curve, []) if n in self.stepped]
        if self.framed.curves.closed[curve]:
            marks = [*passed, passed[0] + total] if passed else [0.0, total]
        else:
            marks = [-apart / 2, *passed, total + apart / 2]
        places = []
        for low, high in pairwise(marks):
            if high - low > 1.5 * apart or not passed:
                count = max(round((high - low) / apart), 2)
                places += [low + (high - low) * k / count for k in range(1 - (not passed), count)]
        at = np.array(places)
        curve_of = np.full(len(at), curve)
        at = self.framed.curves.within(curve_of, at)
        start = []
        for a, spot in zip(at.tolist(), self.framed.curves.at(curve_of, at), strict=True):
            start.append((curve, a, self._node(curve, a, spot, MERGE_MM)))
        self.go_on(start)

    def go_on(self, front: list[tuple[int, float, int]]) -> None:
        """Step on from places, and from where that leads, as far as rows go."""
        while front:
            front = list(self._round(front))

    def _round(self, front: list[tuple[int, float, int]]) -> Iterator[tuple[int, float, int]]:
        curve = np.array([c for c, _, _ in front], np.int64)
        along = np.array([a for _, a, _ in front])
        node = [n for _, _, n in front]
        place, target, guess = self.facing.faced(self.framed.curves, curve, along)
        keep = self.loose[curve[place]] | self.loose[target]
        place, target, guess = place[keep], target[keep], guess[keep]
        here = np.array([self.nodes[n] if n < len(self.nodes) else self._spot(n) for n in node])
        here = here.reshape(-1, 2)[place]
        far = self.framed.curves.foot(here, target, guess, PITCH_MM)
        there = self.framed.curves.at(target, far)
        good = self._allowed(here, there)
        good &= self.ground.may_travel(*self.framed.outside(target, far), self.framed.drawn)
        for k in np.flatnonzero(good).tolist():
            t, a = int(target[k]), float(far[k])
            c = int(curve[place[k]])
            if self._crowded(c, t, a):
                continue
            length = float(np.hypot(*(there[k] - here[k])))
            known = len(self.nodes) + len(self.spots)
            n = self._node(t, a, there[k], max(MERGE_MM, _SNAP * length))
            m = node[int(place[k])]
            self.pairs.setdefault((min(m, n), max(m, n)))
            self.stepped |= {m, n}
            insort(self.feet.setdefault((c, t), []), a)
            insort(self.feet.setdefault((t, c), []), float(along[place[k]]))
            if n == known and self.loose[t]:
                yield (t, a, n)

    def _crowded(self, source: int, target: int, along: float) -> bool:
        """Whether a step from the same curve stands near a place."""
        on = self.feet.get((source, target), [])
        i = bisect_left(on, along)
        total = float(self.framed.curves.total[target])
        for k in {i - 1, i, 0, -1}:
            if on and -len(on) <= k < len(on):
                apart = abs(on[k] - along)
                if self.framed.curves.closed[target]:
                    apart = min(apart, total - apart)
                if apart < self.least:
                    return True
        return False

    def _spot(self, node: int) -> Floats:
        return self.spots[node - len(self.nodes)]

    def _node(self, curve: int, along: float, spot: Floats, reach: float) -> int:
        """The node at a place: one within reach along the curve, or a new one."""
        on = self.taken.setdefault(curve, [])
        total = float(self.framed.curves.total[curve])
        i = bisect_left(on, (along, -1))
        best, found = reach, -1
        for k in (i - 1, i, 0, -1):
            if on and -len(on) <= k < len(on):
                apart = abs(on[k][0] - along)
                if self.framed.curves.closed[curve]:
                    apart = min(apart, total - apart)
                if apart <= best:
                    best, found = apart, on[k][1]
        if found >= 0:
            return found
        corner = self._corner(curve, along)
        if corner is not None:
            # no stitch fits between a node and a corner beside it
            along = corner
            spot = self.framed.curves.at(np.array([curve]), np.array([along]))[0]
        node = len(self.nodes) + len(self.spots)
        insort(on, (along, node))
        self.fresh.append((curve, along, node))
        self.spots.append(spot)
        return node

    def _corner(self, curve: int, along: float) -> float | None:
        """A sharp corner so near that a node must lie on it."""
        on = self.corners.get(curve, [])
        i = bisect_left(on, along)
        near = [on[k] for k in (i - 1, i) if 0 <= k < len(on)]
        near = [a for a in near if abs(a - along) <= MERGE_MM]
        return min(near, key=lambda a: abs(a - along), default=None)

    def _allowed(self, a: Floats, b: Floats) -> Bools:
        """Whether steps between places in the frame may be sewn."""
        frame = self.framed.frame
        return self.ground.allows(frame.outside(a), frame.outside(b))

    def laid(self) -> tuple[Ints, Stops]:
        """Ends of all steps ``(s, 2)``, and where on the curves of the frame new nodes lie."""
        ends = np.array(list(self.pairs), np.int64).reshape(-1, 2)
        spot = np.array([*self.nodes, *self.spots]).reshape(-1, 2)
        ends = ends[self._allowed(spot[ends[:, 0]], spot[ends[:, 1]])]
        fresh = Stops(
            curve=np.array([c for c, _, _ in self.fresh], np.int64),
            along=np.array([a for _, a, _ in self.fresh], np.float64),
            node=np.array([n for _, _, n in self.fresh], np.int64),
        )
        return ends, fresh
