"""Steps: short straight ways from a line that touches no edge to the lines beside it.

A ring of echo quilting, a motif or a meander that ends on no way can be reached by stepping
over from its neighbour. A run that steps from ring to ring passes each one whole without
sewing any of it twice where it leaves at the place it came to. So steps stand in rows: each
goes on from the foot of the last to the nearest place of the next line.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from loftline.errors import Step, does_nothing
from loftline.geometry import strokes
from loftline.runs.barred import barred_by_folds
from loftline.runs.connected import components
from loftline.runs.costs import BY_MACHINE, Costs
from loftline.runs.ends import MERGE_MM, SHARP
from loftline.runs.facing import PITCH_MM, Curves, Facing
from loftline.runs.stops import Stops
from loftline.values import Bools, Floats, Ints, Panel, Way

_FARTHEST_MM = 100.0
"""So far a step may reach, and no farther than a thread cut would be cheaper."""

_ROWS_APART = 5.0
"""Rows of steps begin so many neighbour distances apart along a line."""

_LEAST_ROW_MM, _MOST_ROW_MM = 30.0, 60.0

_CROWDED = 0.06
"""A row ends where another passes nearer than this share of the rows' distance."""

_SNAP = 0.3
"""A foot takes a node that lies within this share of the step's length."""

_NARROW = 0.75
"""Lines this much nearer than usual are worth a row of steps."""

_SETTLING = 4
_LEAST_PRICE = 0.1
_INSET_MM = 1e-3
_STRAY_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Steps and the nodes they need.

    Attributes:
        points: ``(k, 2)`` places of the new nodes, numbered on from the old.
        on_lines, on_rings: where the new nodes lie.
        u, v: ``(s,)`` ends of each step.
    """

    points: Floats
    on_lines: Stops
    on_rings: Stops
    u: Ints
    v: Ints


def find_steps(
    panel: Panel,
    lines: Curves,
    on_lines: Stops,
    on_rings: Stops,
    nodes: Floats,
    costs: Costs = BY_MACHINE,
    step: Step = does_nothing,
) -> Steps:
    """Steps from lines that hang together with no part of the panel's edge.

    They keep within what may be sewn, cross no line, and no fold that is closed to travel.

    Args:
        panel: for its ways, folds and what may be sewn.
        lines: all lines.
        on_lines: their nodes.
        on_rings: nodes on the ways.
        nodes: ``(n, 2)`` places.
        costs: prices of a step and of a thread cut.
        step: progress callback.

    Returns:
        The steps; their number grows with the length of the lines they start from, over the
        distance between neighbours.
    """
    none = np.empty(0, np.int64)
    nothing = Stops(curve=none, along=np.empty(0), node=none)
    empty = Steps(points=np.empty((0, 2)), on_lines=nothing, on_rings=nothing, u=none, v=none)
    ways = panel.ways
    group, loose = _groups(panel, len(lines), on_lines, on_rings)
    # one line alone, or all joined already, needs none
    if not loose.any() or len(np.unique(group[: len(lines)])) < 2:
        return empty
    rings = np.diff(ways.starts)
    curves = Curves.of(
        np.concatenate([lines.points, ways.points]),
        np.concatenate([lines.starts, ways.starts[1:] + len(lines.points)]),
        np.concatenate([lines.closed, np.ones(len(rings), bool)]),
    )
    farthest = min(_FARTHEST_MM, costs.cut_inside / max(costs.double, _LEAST_PRICE))
    facing = Facing.find(curves, group, loose, farthest, step)
    step("steps", 0, 1)
    apart = np.clip(_ROWS_APART * facing.median(len(curves)), _LEAST_ROW_MM, _MOST_ROW_MM)
    rows = _Rows(
        curves=curves,
        facing=facing,
        loose=loose,
        ground=_Ground.of(panel, lines, farthest),
        nodes=nodes,
        least=_CROWDED * float(np.nanmin(apart, initial=_MOST_ROW_MM)),
        corners=_corners(curves),
    )
    rows.know(on_lines.curve, on_lines.along, on_lines.node)
    rows.know(on_rings.curve + len(lines), on_rings.along, on_rings.node)
    free = _free_ends(lines, on_lines)
    rows.go_on([(c, a, n) for c, a, n in free if loose[c]])
    rows.begin_at_narrows(len(lines))
    asking = np.flatnonzero(loose & ~np.isnan(apart))
    longest_first = asking[np.argsort(-curves.total[asking], kind="stable")]
    for k, c in enumerate(longest_first.tolist()):
        step("steps", k, len(asking))
        rows.begin(c, float(apart[c]))
    return rows.steps(len(lines), len(nodes))


def _groups(panel: Panel, count: int, on_lines: Stops, on_rings: Stops) -> tuple[Ints, Bools]:
    """What hangs together of lines and ways, and what of it touches no edge."""
    ways = panel.ways
    rings = len(ways.starts) - 1
    owner = np.repeat(np.arange(rings), np.diff(ways.starts))
    edge = np.zeros(rings, bool)
    edge[owner[ways.kind == Way.EDGE]] = True
    curve = np.concatenate([on_lines.curve, on_rings.curve + count])
    node = np.concatenate([on_lines.node, on_rings.node])
    size = count + rings
    top = size + int(node.max(initial=-1)) + 1
    label = components(top, curve, size + node)[:size]
    loose = np.ones(size, bool)
    loose[np.isin(label, label[count:][edge])] = False
    # a way that no line touches asks for nothing
    loose[count:] &= np.isin(label[count:], label[:count])
    return label, loose


def _corners(curves: Curves) -> dict[int, list[float]]:
    found: dict[int, list[float]] = {}
    curve, along = curves.corners(SHARP)
    for c, a in zip(curve.tolist(), along.tolist(), strict=True):
        found.setdefault(c, []).append(a)
    return found


def _free_ends(lines: Curves, on_lines: Stops) -> list[tuple[int, float, int]]:
    end = (on_lines.along < _INSET_MM) | (on_lines.along > lines.total[on_lines.curve] - _INSET_MM)
    end &= ~lines.closed[on_lines.curve]
    return list(
        zip(
            on_lines.curve[end].tolist(),
            on_lines.along[end].tolist(),
            on_lines.node[end].tolist(),
            strict=True,
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """Where a step may lie."""

    panel: Panel
    sewable: shapely.Geometry
    tree: shapely.STRtree
    farthest: float

    @classmethod
    def of(cls, panel: Panel, lines: Curves, farthest: float) -> _Ground:
        sewable = shapely.buffer(panel.sewable, _STRAY_MM)
        shapely.prepare(sewable)
        owner = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
        inner = np.flatnonzero(owner[1:] == owner[:-1])
        tree = shapely.STRtree(strokes(lines.points[inner], lines.points[inner + 1]))
        return cls(panel=panel, sewable=sewable, tree=tree, farthest=farthest)

    def allows(self, a: Floats, b: Floats) -> Bools:
        """Whether the straight steps from ``a`` to ``b`` may be sewn."""
        length = np.hypot(*(b - a).T)
        good = (length >= MERGE_MM) & (length <= self.farthest)
        k = np.flatnonzero(good)
        drawn = strokes(a[k], b[k])
        inset = ((b - a)[k].T * (_INSET_MM / length[k])).T
        inner = strokes(a[k] + inset, b[k] - inset)
        fine = shapely.covers(self.sewable, drawn)
        fine &= ~barred_by_folds(self.panel, drawn)
        fine[self.tree.query(inner, predicate="intersects")[0]] = False
        good[k] = fine
        return np.asarray(good)


@dataclass(slots=True, kw_only=True)
class _Rows:
    """Rows of steps while they are being laid."""

    curves: Curves
    facing: Facing
    loose: Bools
    ground: _Ground
    nodes: Floats
    least: float
    corners: dict[int, list[float]]
    taken: dict[int, list[tuple[float, int]]] = field(default_factory=dict)
    fresh: list[tuple[int, float, int]] = field(default_factory=list)
    feet: dict[tuple[int, int], list[float]] = field(default_factory=dict)
    pairs: dict[tuple[int, int], None] = field(default_factory=dict)
    stepped: set[int] = field(default_factory=set)
    spots: list[Floats] = field(default_factory=list)

    def know(self, curve: Ints, along: Floats, node: Ints) -> None:
        """Take note of nodes that are there."""
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
            far = self.curves.foot(self.curves.at(one, along), other, far, PITCH_MM)
            along = self.curves.foot(self.curves.at(other, far), one, along, PITCH_MM)
        spots = self.curves.at(one, along)
        self.go_on(
            [
                (c, a, self._node(c, a, spot, MERGE_MM))
                for c, a, spot in zip(one.tolist(), along.tolist(), spots, strict=True)
                if self.loose[c]
            ]
        )

    def begin(self, curve: int, apart: float) -> None:
        """Begin rows along a curve where none passes."""
        total = float(self.curves.total[curve])
        passed = [a for a, n in self.taken.get(curve, []) if n in self.stepped]
        if self.curves.closed[curve]:
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
        at = self.curves.within(curve_of, at)
        start = []
        for a, spot in zip(at.tolist(), self.curves.at(curve_of, at), strict=True):
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
        place, target, guess = self.facing.faced(self.curves, curve, along)
        keep = self.loose[curve[place]] | self.loose[target]
        place, target, guess = place[keep], target[keep], guess[keep]
        here = np.array([self.nodes[n] if n < len(self.nodes) else self._spot(n) for n in node])
        here = here.reshape(-1, 2)[place]
        far = self.curves.foot(here, target, guess, PITCH_MM)
        there = self.curves.at(target, far)
        good = self.ground.allows(here, there)
        good &= self._open(target, far)
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
        total = float(self.curves.total[target])
        for k in {i - 1, i, 0, -1}:
            if on and -len(on) <= k < len(on):
                apart = abs(on[k] - along)
                if self.curves.closed[target]:
                    apart = min(apart, total - apart)
                if apart < self.least:
                    return True
        return False

    def _open(self, curve: Ints, along: Floats) -> Bools:
        """Whether the needle may travel at places on curves, where these are ways."""
        ways = self.ground.panel.ways
        out = np.ones(len(curve), bool)
        first = len(self.curves) - (len(ways.starts) - 1)
        at = np.flatnonzero(curve >= first)
        if len(at):
            piece = self.curves.piece(curve[at], along[at]) - int(self.curves.starts[first])
            out[at] = ways.open[piece]
        return out

    def _spot(self, node: int) -> Floats:
        return self.spots[node - len(self.nodes)]

    def _node(self, curve: int, along: float, spot: Floats, reach: float) -> int:
        """The node at a place: one within reach along the curve, or a new one."""
        on = self.taken.setdefault(curve, [])
        total = float(self.curves.total[curve])
        i = bisect_left(on, (along, -1))
        best, found = reach, -1
        for k in (i - 1, i, 0, -1):
            if on and -len(on) <= k < len(on):
                apart = abs(on[k][0] - along)
                if self.curves.closed[curve]:
                    apart = min(apart, total - apart)
                if apart <= best:
                    best, found = apart, on[k][1]
        if found >= 0:
            return found
        corner = self._corner(curve, along)
        if corner is not None:
            # no stitch fits between a node and a corner beside it
            along = corner
            spot = self.curves.at(np.array([curve]), np.array([along]))[0]
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

    def steps(self, lines: int, old: int) -> Steps:
        """What was laid; nodes that no step uses are left out."""
        ends = np.array(list(self.pairs), np.int64).reshape(-1, 2)
        spot = np.array([*self.nodes, *self.spots]).reshape(-1, 2)
        ends = ends[self.ground.allows(spot[ends[:, 0]], spot[ends[:, 1]])]
        used = np.unique(ends)
        used = used[used >= old]
        name = np.full(len(spot), -1)
        name[:old] = np.arange(old)
        name[used] = old + np.arange(len(used))
        curve = np.array([c for c, _, n in self.fresh if name[n] >= 0], np.int64)
        along = np.array([a for _, a, n in self.fresh if name[n] >= 0])
        node = name[np.array([n for _, _, n in self.fresh if name[n] >= 0], np.int64)]
        on = curve < lines
        return Steps(
            points=spot[used],
            on_lines=Stops(curve=curve[on], along=along[on], node=node[on]),
            on_rings=Stops(curve=curve[~on] - lines, along=along[~on], node=node[~on]),
            u=name[ends[:, 0]],
            v=name[ends[:, 1]],
        )
