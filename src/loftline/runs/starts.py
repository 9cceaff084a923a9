"""Walks to begin with: a spanning tree between the pieces, then a least T-join.

Frederickson's construction (Journal of the ACM 26, 1979) on any weights: with those of a
relaxed walk it becomes a rounding of it, and with the walk known so far made cheaper, a
search around it.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.runs.connected import components
from loftline.runs.parity import Near, match_closed
from loftline.runs.rural import Rural, spanning_tree
from loftline.values import Bools, Floats, Ints

_NEAREST = 10
_LEAST = 1e-3


def tree_walk(rural: Rural, weight: Floats) -> Ints | None:
    """A walk by tree and T-join on given weights, thinned on true costs.

    Args:
        rural: the task.
        weight: ``(m,)`` what each edge shall count, at least 0.

    Returns:
        ``(m,)`` how often each edge is walked; ``None`` where the pieces cannot be joined.
    """
    spot = rural.spot
    tree = spanning_tree(spot[rural.u], spot[rural.v], weight)
    tree = tree[_needed(rural, tree)]
    walked = np.zeros(len(rural.u), np.int64)
    walked[tree] = 1
    if not rural.joined(walked):
        return None
    joins = tree_join(rural, _odd(rural, walked), weight)
    if joins is None:
        return None
    walked += joins
    return thin(rural, walked)


def tree_join(rural: Rural, odd: Bools, weight: Floats) -> Ints | None:
    """How often each edge is walked in a T-join of the odd nodes on given weights.

    Least among the pairs of nodes that are near each other; ``None`` where there is none.
    """
    ends = np.flatnonzero(odd)
    walked = np.zeros(len(rural.u), np.int64)
    if not len(ends):
        return walked
    n = rural.size
    whole = np.rint(np.maximum(weight, 1.0)).astype(np.int64)
    graph = coo_matrix((whole.astype(float), (rural.u, rural.v)), shape=(n, n)).tocsr()
    way, before = dijkstra(graph, directed=False, indices=ends, return_predecessors=True)
    table = way[:, ends]
    near = _near(table, min(_NEAREST, len(ends) - 1))
    pairs = match_closed(len(ends), near)
    if pairs is None:
        pairs = match_closed(len(ends), _near(table, len(ends) - 1))
    if pairs is None:
        return None
    key = np.minimum(rural.u, rural.v) * n + np.maximum(rural.u, rural.v)
    order = np.argsort(key)
    at = np.array(pairs, np.int64)
    row, node = at[:, 0], ends[at[:, 1]]
    while len(row):
        last = before[row, node].astype(np.int64)
        asked = np.minimum(last, node) * n + np.maximum(last, node)
        np.add.at(walked, order[np.searchsorted(key[order], asked)], 1)
        on = last != ends[row]
        row, node = row[on], last[on]
    return walked


def thin(rural: Rural, walked: Ints) -> Ints:
    """Leave out pairs of walks along one edge that nothing hangs on, the dearest first."""
    walked = np.where(walked > 2, 2 - walked % 2, walked)
    spot = rural.spot
    a, b = spot[rural.u], spot[rural.v]
    twice = np.flatnonzero(walked == 2)
    # what lies in one piece hangs together anyway
    walked[twice[a[twice] == b[twice]]] = 0
    once = walked == 1
    label = components(int(spot.max()) + 1, a[once], b[once])
    twice = np.flatnonzero(walked == 2)
    if not len(twice):
        return walked
    keep = twice[spanning_tree(label[a[twice]], label[b[twice]], rural.cost[twice])]
    walked[np.setdiff1d(twice, keep)] = 0
    # branches that end in no piece
    while True:
        on = np.flatnonzero(walked)
        degree = np.bincount(np.concatenate([rural.u[on], rural.v[on]]), minlength=rural.size)
        bare = (degree == 1) & (rural.piece < 0)
        leaf = on[(bare[rural.u[on]] | bare[rural.v[on]]) & (walked[on] == 2)]
        if not len(leaf):
            return walked
        walked[leaf] = 0


def _needed(rural: Rural, tree: Ints) -> Bools:
    """Edges of a tree that lead to a piece."""
    kept = np.ones(len(tree), bool)
    while True:
        on = tree[kept]
        degree = np.bincount(np.concatenate([rural.u[on], rural.v[on]]), minlength=rural.size)
        bare = (degree == 1) & (rural.piece < 0)
        dead = kept & (bare[rural.u[tree]] | bare[rural.v[tree]])
        if not dead.any():
            return kept
        kept &= ~dead


def _odd(rural: Rural, walked: Ints) -> Bools:
    degree = rural.odd.astype(np.int64)
    np.add.at(degree, rural.u, walked)
    np.add.at(degree, rural.v, walked)
    return np.asarray(degree % 2 == 1)


def _near(table: Floats, count: int) -> Near:
    n = len(table)
    table = table.copy()
    table[np.arange(n), np.arange(n)] = np.inf
    if count >= n - 1:
        i, j = np.nonzero(np.isfinite(table))
    else:
        j = np.argpartition(table, count - 1, axis=1)[:, :count].ravel()
        i = np.repeat(np.arange(n), count)
        # neighbours by number, so that all can be paired whatever the near ones allow
        i = np.append(i, np.arange(0, n - 1, 2))
        j = np.append(j, np.arange(1, n, 2))
        finite = np.isfinite(table[i, j])
        i, j = i[finite], j[finite]
    first, second = np.minimum(i, j), np.maximum(i, j)
    key = np.unique(first * n + second)
    first, second = key // n, key % n
    return Near(first=first, second=second, cost=np.rint(table[first, second]).astype(np.int64))
