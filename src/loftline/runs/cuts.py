"""Cuts: what every tour fulfils and a relaxed one may not.

Across the border of a set of nodes a tour that needs to get from piece to piece walks at
least twice, and at least once where the set holds an odd number of odd nodes (Edmonds &
Johnson 1973; Corberan & Sanchis, European Journal of Operational Research 79, 1994). And as
borders are walked an even number of times in all, an odd number of edges cannot be all that
is walked there: either one of them is not, or one more is (the cocircuit inequalities of
Ghiani & Laporte, Mathematical Programming 87, 2000).

Sets that a relaxed tour breaks are looked for first among the clusters of a greatest
spanning tree of the relaxed values, which is quick; where none is found, by flows: a least
cut between pieces, and a least odd cut by Padberg & Rao (Mathematics of Operations Research
7, 1982) on a tree of least cuts by Gusfield (SIAM Journal on Computing 19, 1990).

A relaxed tour is given by columns of :class:`~loftline.runs.rural.Rural`, each 0 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftline.runs.connected import components, find
from loftline.runs.flows import Flows
from loftline.runs.rural import Rural
from loftline.values import Bools, Floats, Ints

_BROKEN = 1e-3
"""A cut counts as broken where it falls short by more than this."""

JOIN, ODD = 2, 1

Sets = list[Bools]
Signs = NDArray[np.int8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cuts:
    """Rows ``sign @ x >= least`` over the columns.

    Attributes:
        sign: ``(k, c)`` 1, -1 or 0.
        least: ``(k,)``.
    """

    sign: Signs
    least: Ints

    def __len__(self) -> int:
        return len(self.least)

    def __add__(self, other: Cuts) -> Cuts:
        return Cuts(
            sign=np.concatenate([self.sign, other.sign]),
            least=np.concatenate([self.least, other.least]),
        )


def first_cuts(rural: Rural) -> Cuts:
    """Cuts by growing neighbourhoods of the cheapest edges."""
    columns = len(rural.column)
    # no walk at all breaks every cut
    none, near = np.zeros(columns), -rural.cost[rural.column].astype(float)
    cuts = _joins(rural, _join_clusters(rural, none, near))
    return cuts + _odds(rural, _odd_clusters(rural, rural.odd, none, near), none)


def in_order(rural: Rural, twins: Ints) -> Cuts:
    """An edge is walked once before it is walked twice."""
    order = np.zeros((len(twins), len(rural.column)), np.int8)
    order[np.arange(len(twins)), rural.column[twins]] = 1
    order[np.arange(len(twins)), twins] = -1
    return Cuts(sign=order, least=np.zeros(len(twins), np.int64))


def broken_clusters(rural: Rural, x: Floats) -> Cuts:
    """Broken cuts among the clusters of the strongest relaxed edges."""
    on = np.where(x > 1e-9, x, 0.0)
    strength = np.where(x > 1e-9, x, -np.inf)
    cuts = _joins(rural, _join_clusters(rural, on, strength))
    cuts += _odds(rural, _odd_clusters(rural, rural.odd, on, strength), np.zeros(len(x)))
    odd, weak, much = _toggled(rural, x)
    if much.any():
        strength = np.where(weak > 1e-9, weak, -np.inf)
        cuts += _odds(rural, _odd_clusters(rural, odd, weak, strength), much)
    return cuts


def broken_joins(rural: Rural, x: Floats) -> Cuts:
    """Broken cuts between pieces, by least cuts; none where there are none."""
    return _joins(rural, _least_joins(rural, x))


def broken_odds(rural: Rural, x: Floats) -> Cuts:
    """Broken odd cuts, by least odd cuts; none where there are none."""
    plain = _odds(rural, _least_odds(rural, rural.odd, x), np.zeros(len(x)))
    odd, weak, much = _toggled(rural, x)
    return plain + _odds(rural, _least_odds(rural, odd, weak), much) if much.any() else plain


def _toggled(rural: Rural, x: Floats) -> tuple[Bools, Floats, Bools]:
    """Nodes that are odd once what is walked mostly is walked, and how far all is from that."""
    much = x > 0.5
    odd = rural.odd.astype(np.int64)
    np.add.at(odd, rural.u[rural.column[much]], 1)
    np.add.at(odd, rural.v[rural.column[much]], 1)
    weak = np.minimum(x, 1.0 - x)
    return odd % 2 == 1, np.where(weak > 1e-9, weak, 0.0), much


def _borders(rural: Rural, sets: Sets) -> Bools:
    if not sets:
        return np.zeros((0, len(rural.column)), bool)
    inside = np.array(sets)
    across = inside[:, rural.u] != inside[:, rural.v]
    return np.asarray(across[:, rural.column])


def _joins(rural: Rural, sets: Sets) -> Cuts:
    border = _borders(rural, sets)
    return Cuts(sign=border.astype(np.int8), least=np.full(len(border), JOIN))


def _odds(rural: Rural, sets: Sets, much: Floats | Bools) -> Cuts:
    border = _borders(rural, sets)
    taken = border & (much > 0)
    sign = border.astype(np.int8)
    sign[taken] = -1
    return Cuts(sign=sign, least=ODD - taken.sum(axis=1))


def _join_clusters(rural: Rural, x: Floats, strength: Floats) -> Sets:
    if rural.pieces < 2:
        return []
    spot = rural.spot
    spots = int(spot.max()) + 1
    holds = np.zeros(spots, np.int64)
    holds[: rural.pieces] = 1
    a, b = spot[rural.u[rural.column]], spot[rural.v[rural.column]]
    found = _merging(spots, a, b, x, strength, holds, rural.pieces, JOIN)
    return [mask[spot] for mask in _masks(spots, found)]


def _odd_clusters(rural: Rural, odd: Bools, x: Floats, strength: Floats) -> Sets:
    a, b = rural.u[rural.column], rural.v[rural.column]
    found = _merging(rural.size, a, b, x, strength, odd.astype(np.int64), 0, ODD)
    return _masks(rural.size, found)


def _masks(n: int, found: list[list[int]]) -> Sets:
    masks = []
    for members in found:
        mask = np.zeros(n, bool)
        mask[members] = True
        masks.append(mask)
    return masks


def _merging(
    n: int, a: Ints, b: Ints, x: Floats, strength: Floats, holds: Ints, whole: int, least: int
) -> list[list[int]]:
    """Clusters met while merging along the strongest edges whose border is too weak."""
    use = np.flatnonzero((a != b) & (strength > -np.inf))
    order = use[np.argsort(-strength[use], kind="stable")]
    clusters = _Clusters(n, a[use], b[use], x[use], holds)
    need = least - _BROKEN

    def broken(c: int) -> bool:
        held = clusters.held[c]
        part = held % 2 == 1 if least == ODD else 0 < held < whole
        return part and clusters.border[c] < need

    found = [[i] for i in range(n) if broken(i)]
    for p, q in zip(a[order].tolist(), b[order].tolist(), strict=True):
        merged = clusters.merge(p, q)
        if merged >= 0 and broken(merged):
            found.append(list(clusters.members[merged]))
    return found


class _Clusters:
    """Clusters of nodes with the weight of their borders, merged in place."""

    def __init__(self, n: int, a: Ints, b: Ints, weight: Floats, holds: Ints) -> None:
        self.around: list[dict[int, float]] = [{} for _ in range(n)]
        for p, q, w in zip(a.tolist(), b.tolist(), weight.tolist(), strict=True):
            self.around[p][q] = self.around[p].get(q, 0.0) + w
            self.around[q][p] = self.around[q].get(p, 0.0) + w
        self.border = [sum(near.values()) for near in self.around]
        self.held: list[int] = holds.tolist()
        self.members = [[i] for i in range(n)]
        self.parent = list(range(n))

    def merge(self, p: int, q: int) -> int:
        """Merge the clusters of two nodes; the one that remains, -1 if they are one already."""
        p, q = find(self.parent, p), find(self.parent, q)
        if p == q:
            return -1
        around = self.around
        if len(around[p]) > len(around[q]):
            p, q = q, p
        self.parent[p] = q
        between = around[q].pop(p, 0.0)
        for r, w in around[p].items():
            if r != q:
                around[q][r] = around[q].get(r, 0.0) + w
                near = around[r]
                near[q] = near.get(q, 0.0) + near.pop(p)
        self.border[q] += self.border[p] - 2 * between
        self.held[q] += self.held[p]
        self.members[q] += self.members[p]
        around[p] = {}
        return q


def _least_joins(rural: Rural, x: Floats) -> Sets:
    spot = rural.spot
    n = int(spot.max()) + 1
    total = rural.by_edge(x)
    a, b = spot[rural.u], spot[rural.v]
    firm = total >= JOIN - 1e-6
    label = components(n, a[firm], b[firm])
    count = int(label.max()) + 1
    flows = Flows(count, label[a], label[b], total)
    home = int(label[0])
    done = np.zeros(count, bool)
    done[home] = True
    found: Sets = []
    for goal in np.unique(label[: rural.pieces]).tolist():
        if done[goal]:
            continue
        side = flows.parted(home, goal, JOIN - _BROKEN)
        if side is not None:
            found.append(side[label][spot])
            done |= side
    return found


def _least_odds(rural: Rural, odd: Bools, x: Floats) -> Sets:
    total = rural.by_edge(x)
    firm = total >= ODD - 1e-6
    label = components(rural.size, rural.u[firm], rural.v[firm])
    count = int(label.max()) + 1
    odd = np.bincount(label, odd, count) % 2 == 1
    ends = np.flatnonzero(odd).tolist()
    if not ends:
        return []
    flows = Flows(count, label[rural.u], label[rural.v], total)
    up = dict.fromkeys(ends[1:], ends[0])
    found: Sets = []
    for k, t in enumerate(ends[1:], 2):
        # two that cannot be parted count as one
        side = flows.parted(up[t], t, ODD - _BROKEN)
        if side is None:
            continue
        if int((odd & side).sum()) % 2 == 1:
            found.append(side[label])
        for later in ends[k:]:
            if side[later] and up[later] == up[t]:
                up[later] = t
    return found
