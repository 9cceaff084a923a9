"""Lines that touch without crossing: petals that share a point, a stem that ends on a ring.

Corners of closed lines and free ends are held against all other lines. Work grows with their
number, n log n.
"""

from __future__ import annotations

from bisect import bisect_left, insort

import numpy as np
import shapely

from loftline.errors import Step, does_nothing
from loftline.geometry import strokes
from loftline.runs.ends import MERGE_MM, SAME_POINT_MM
from loftline.runs.facing import Curves
from loftline.runs.stops import Stops
from loftline.values import Floats, Ints

_NONE = -1
"""No node."""

_AT_ONCE = 50_000
"""Corners looked at between two progress steps."""


def with_touches(
    lines: Curves, stops: Stops, fixed: Ints, nodes: Floats, step: Step = does_nothing
) -> tuple[Stops, Floats]:
    """Give lines that touch a node in common.

    Args:
        lines: all lines.
        stops: the nodes on them so far.
        fixed: nodes that keep their number: those on ways.
        nodes: ``(n, 2)`` places.
        step: progress callback.

    Returns:
        Stops and places with the new nodes; a node that became one with another stays as a
        place that nothing uses.
    """
    if len(lines) < 2:
        return stops, nodes
    line, along, other, far = _touches(lines, stops, fixed, step)
    if not len(line):
        return stops, nodes
    joint = _Joint(lines, stops, set(fixed.tolist()), nodes)
    for one in zip(line.tolist(), along.tolist(), other.tolist(), far.tolist(), strict=True):
        joint.touch(*one)
    return joint.stops(stops), np.array(joint.places).reshape(-1, 2)


class _Joint:
    """Nodes while touching lines are given them in common."""

    def __init__(self, lines: Curves, stops: Stops, fixed: set[int], nodes: Floats) -> None:
        self.lines = lines
        self.fixed = fixed
        self.places: list[Floats] = list(nodes)
        self.fresh: list[tuple[int, float, int]] = []
        self.taken: dict[int, list[tuple[float, int]]] = {}
        # what a node that became one with another is called now
        self.same: dict[int, int] = {}
        for c, a, n in zip(
            stops.curve.tolist(), stops.along.tolist(), stops.node.tolist(), strict=True
        ):
            insort(self.taken.setdefault(c, []), (a, n))

    def touch(self, line: int, along: float, other: int, far: float) -> None:
        """Two lines touch: at a node of one, at one of each, or at a new one."""
        spot = self.lines.at(np.array([line]), np.array([along]))[0]
        one, two = self._at(line, along), self._at(other, far)
        for node in {one, two} - {_NONE}:
            if np.hypot(*(self.places[node] - spot)) > 2 * SAME_POINT_MM:
                # a node beside it: too near for another
                return
        if one == two == _NONE:
            one = len(self.places)
            self.places.append(spot)
            self._stop(line, along, one)
        if one == _NONE:
            self._stop(line, along, two)
        elif two == _NONE:
            self._stop(other, far, one)
        elif one != two and not {one, two} <= self.fixed:
            self.same.update({one: two} if two in self.fixed else {two: one})

    def stops(self, before: Stops) -> Stops:
        """All stops, by the names that nodes have now."""
        node = before.node.tolist() + [n for _, _, n in self.fresh]
        return Stops(
            curve=np.append(before.curve, np.array([c for c, _, _ in self.fresh], np.int64)),
            along=np.append(before.along, [a for _, a, _ in self.fresh]),
            node=np.array([self._name(n) for n in node], np.int64),
        )

    def _name(self, node: int) -> int:
        while node in self.same:
            node = self.same[node]
        return node

    def _stop(self, line: int, along: float, node: int) -> None:
        insort(self.taken.setdefault(line, []), (along, node))
        self.fresh.append((line, along, node))

    def _at(self, line: int, along: float) -> int:
        """The node within reach of a place on a line."""
        on = self.taken.get(line, [])
        i = bisect_left(on, (along, _NONE))
        best, found = MERGE_MM, _NONE
        for k in sorted({max(i - 1, 0), min(i, len(on) - 1), 0, len(on) - 1}) if on else ():
            apart = abs(on[k][0] - along)
            if self.lines.closed[line]:
                apart = min(apart, float(self.lines.total[line]) - apart)
            if apart <= best:
                best, found = apart, on[k][1]
        return self._name(found)


def _touches(
    lines: Curves, stops: Stops, fixed: Ints, step: Step
) -> tuple[Ints, Floats, Ints, Floats]:
    """Places where a corner of a closed line or a free end lies on another line.

    Of several that lie beside each other, as where two lines run along together, one is
    taken for each stretch without a stop.
    """
    none = np.empty(0, np.int64)
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    along = lines.along
    # a closed line's last point is its first
    bent = lines.closed[owner]
    bent[lines.starts[1:] - 1] = False
    corner = np.flatnonzero(bent)
    ends = (stops.along < SAME_POINT_MM) | (stops.along > lines.total[stops.curve] - SAME_POINT_MM)
    free = np.flatnonzero(ends & ~lines.closed[stops.curve] & ~np.isin(stops.node, fixed))
    line = np.concatenate([owner[corner], stops.curve[free]])
    where = np.concatenate([along[corner], stops.along[free]])
    inner = np.flatnonzero(owner[1:] == owner[:-1])
    if not len(line):
        return none, np.empty(0), none, np.empty(0)
    spot = lines.at(line, where)
    a, b = lines.points[inner], lines.points[inner + 1]
    tree = shapely.STRtree(strokes(a, b))
    found = []
    for k in range(0, len(spot), _AT_ONCE):
        step("network", 2, 4)
        some = shapely.points(spot[k : k + _AT_ONCE])
        near = tree.query(some, predicate="dwithin", distance=SAME_POINT_MM)
        found.append(near + np.array([[k], [0]]))
    probe, hit = np.concatenate(found, axis=1)
    foreign = owner[inner[hit]] != line[probe]
    probe, hit = probe[foreign], hit[foreign]
    run = b[hit] - a[hit]
    length = np.maximum((run**2).sum(axis=1), 1e-18)
    share = np.clip(((spot[probe] - a[hit]) * run).sum(axis=1) / length, 0.0, 1.0)
    far = along[inner[hit]] + share * np.sqrt(length)
    apart = np.hypot(*(a[hit] + share[:, None] * run - spot[probe]).T)
    other = owner[inner[hit]]
    order = np.lexsort((apart, other, probe))
    probe, other, far = probe[order], other[order], far[order]
    first = np.append(True, (np.diff(probe) > 0) | (np.diff(other) != 0))[: len(probe)]
    probe, other, far = probe[first], other[first], far[first]
    return line[probe], where[probe], other, far
