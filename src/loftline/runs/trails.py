"""Euler trails that go straight on where they can.

At every node the edge ends are paired, straightest first; that splits the multigraph into
trails. Closed trails are then merged into others at shared nodes by pairing two pairs anew
(Hierholzer's splicing, chosen by least extra turning; finding the least in all is NP-hard:
Ellis-Monaghan et al., Natural Computing 14(3), 2015). Near-linear in the number of edges.

Edge ``k`` has two ends: half-edge ``2 k`` leaves its ``u``, half-edge ``2 k + 1`` its ``v``.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from loftline.values import Bools, Floats, Ints

FREE = -1
"""Mate of an edge end where a run begins or ends."""


def make_trails(u: Ints, v: Ints, heading: Floats) -> list[tuple[Ints, Bools]]:
    """Cover every edge once with as few trails as there can be.

    Args:
        u: ``(m,)`` one end of each edge of a multigraph.
        v: ``(m,)`` the other end.
        heading: ``(2 m,)`` direction in radians in which each half-edge leaves its node.

    Returns:
        Trails as edge indices and whether each is walked from u to v. A component with
        ``2 k`` odd nodes gets ``max(1, k)`` trails.
    """
    m = len(u)
    if m == 0:
        return []
    node = np.empty(2 * m, np.int64)
    node[0::2], node[1::2] = u, v
    pairing = _Pairing(node, heading)
    pairing.pair()
    pairing.merge()
    return pairing.walk()


def deflection(heading: Floats, x: Ints, y: Ints) -> Floats:
    """Turn in radians when arriving on half-edge x's edge and leaving on y: 0 goes straight on."""
    apart = np.abs(heading[x] - heading[y]) % (2 * math.pi)
    return np.asarray(math.pi - np.minimum(apart, 2 * math.pi - apart))


class _Pairing:
    """Mates of half-edges; built in place, since every stage refines the last."""

    def __init__(self, node: Ints, heading: Floats) -> None:
        self.node = node
        self.heading = heading
        self.mate = np.full(len(node), FREE, np.int64)
        order = np.argsort(node, kind="stable")
        cut = np.flatnonzero(np.diff(node[order])) + 1
        self.order = order
        self.begin = np.concatenate([[0], cut]).astype(np.int64)
        self.degree = np.diff(np.append(self.begin, len(node)))

    def _turn(self, x: int, y: int) -> float:
        apart = abs(float(self.heading[x]) - float(self.heading[y])) % (2 * math.pi)
        return math.pi - min(apart, 2 * math.pi - apart)

    def pair(self) -> None:
        """Pair the ends at each node, straightest first."""
        two = self.begin[self.degree == 2]
        a, b = self.order[two], self.order[two + 1]
        self.mate[a], self.mate[b] = b, a
        self._pair_fours(self.begin[self.degree == 4])
        rest = np.flatnonzero((self.degree > 2) & (self.degree != 4))
        for group in rest.tolist():
            self._pair_greedily(group)

    def _pair_fours(self, begin: Ints) -> None:
        if not len(begin):
            return
        ends = self.order[begin[:, None] + np.arange(4)]
        options = np.array([(0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 1, 2)])
        turn = np.stack(
            [
                deflection(self.heading, ends[:, p], ends[:, q])
                + deflection(self.heading, ends[:, r], ends[:, s])
                for p, q, r, s in options
            ]
        )
        # equal turns to the last bit must not depend on rounding
        choice = options[np.argmin(np.round(turn, 9), axis=0)]
        for k in (0, 2):
            x = np.take_along_axis(ends, choice[:, [k]], axis=1)[:, 0]
            y = np.take_along_axis(ends, choice[:, [k + 1]], axis=1)[:, 0]
            self.mate[x], self.mate[y] = y, x

    def _ends_at(self, group: int) -> list[int]:
        start = self.begin[group]
        return [int(h) for h in self.order[start : start + self.degree[group]]]

    def _pair_greedily(self, group: int) -> None:
        ends = self._ends_at(group)
        ranked = sorted(
            (round(self._turn(x, y), 9), x, y) for k, y in enumerate(ends) for x in ends[:k]
        )
        for _, x, y in ranked:
            if self.mate[x] == FREE and self.mate[y] == FREE:
                self.mate[x], self.mate[y] = y, x

    def _labels(self) -> Ints:
        """The trail each half-edge lies in."""
        n = len(self.node)
        even = np.arange(0, n, 2)
        paired = np.flatnonzero(self.mate > np.arange(n))
        rows = np.concatenate([even, paired])
        columns = np.concatenate([even + 1, self.mate[paired]])
        graph = coo_matrix((np.ones(len(rows)), (rows, columns)), shape=(n, n))
        _, label = connected_components(graph, directed=False)
        return np.asarray(label, np.int64)

    def merge(self) -> None:
        """Splice closed trails into others where they share a node."""
        label = self._labels()
        count = int(label.max()) + 1
        open_trail = np.zeros(count, bool)
        open_trail[label[self.mate == FREE]] = True
        if open_trail.all() or count == 1:
            return
        parent = list(range(count))
        is_open = open_trail.tolist()

        def find(t: int) -> int:
            while parent[t] != t:
                parent[t] = parent[parent[t]]
                t = parent[t]
            return t

        for _, x, y in self._splices(label):
            a, b = find(int(label[x])), find(int(label[y]))
            if a == b or (is_open[a] and is_open[b]):
                continue
            if self._splice(x, y):
                parent[a] = b
                is_open[b] = is_open[a] or is_open[b]

    def _splices(self, label: Ints) -> list[tuple[float, int, int]]:
        """Pairs of half-edges of different trails at one node, by extra turning."""
        lowest = np.minimum.reduceat(label[self.order], self.begin)
        highest = np.maximum.reduceat(label[self.order], self.begin)
        found: list[tuple[float, int, int]] = []
        for group in np.flatnonzero(lowest != highest).tolist():
            ends = self._ends_at(group)
            # one half-edge stands for each pair
            heads = [h for h in ends if self.mate[h] == FREE or h < self.mate[h]]
            for k, y in enumerate(heads):
                found += [
                    (round(self._extra(x, y), 9), x, y) for x in heads[:k] if label[x] != label[y]
                ]
        return sorted(found)

    def _extra(self, x: int, y: int) -> float:
        p, q = int(self.mate[x]), int(self.mate[y])
        if p == FREE and q == FREE:
            return 0.0
        if FREE in (p, q):
            free, x, p = (x, y, q) if p == FREE else (y, x, p)
            return min(self._turn(free, x), self._turn(free, p)) - self._turn(x, p)
        now = self._turn(x, p) + self._turn(y, q)
        return min(self._turn(x, y) + self._turn(p, q), self._turn(x, q) + self._turn(p, y)) - now

    def _splice(self, x: int, y: int) -> bool:
        p, q = int(self.mate[x]), int(self.mate[y])
        if p == FREE and q == FREE:
            return False
        if FREE in (p, q):
            # an open end takes up a closed trail that passes its node
            free, x, p = (x, y, q) if p == FREE else (y, x, p)
            if self._turn(free, p) < self._turn(free, x):
                x, p = p, x
            self.mate[free], self.mate[x], self.mate[p] = x, free, FREE
            return True
        if self._turn(x, y) + self._turn(p, q) <= self._turn(x, q) + self._turn(p, y):
            self.mate[x], self.mate[y], self.mate[p], self.mate[q] = y, x, q, p
        else:
            self.mate[x], self.mate[q], self.mate[p], self.mate[y] = q, x, y, p
        return True

    def walk(self) -> list[tuple[Ints, Bools]]:
        """Read the trails off the mates, open ones first."""
        mate = self.mate.tolist()
        seen = bytearray(len(mate) // 2)
        free = np.flatnonzero(self.mate == FREE).tolist()
        trails = []
        for start in [*free, *range(0, len(mate), 2)]:
            if seen[start >> 1]:
                continue
            halves = []
            h = start
            while h != FREE and not seen[h >> 1]:
                seen[h >> 1] = 1
                halves.append(h)
                h = mate[h ^ 1]
            walked = np.array(halves, np.int64)
            trails.append((walked >> 1, walked % 2 == 0))
        return trails
