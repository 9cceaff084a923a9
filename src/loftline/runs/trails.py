"""Euler trails that go straight on where they can.

At every node the edge ends are paired, straightest first; that splits the multigraph into
trails. Closed trails are then merged into others at shared nodes by pairing two pairs anew
(Hierholzer's splicing). Which nodes are taken is a least spanning tree over the trails, by
extra turning; the least turning in all is NP-hard to find (Ellis-Monaghan et al., Natural
Computing 14(3), 2015). Near-linear in the number of edges.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra, minimum_spanning_tree

from loftline.errors import Step, does_nothing
from loftline.geometry import ranges
from loftline.runs.connected import components
from loftline.runs.pairing import FREE, Meeting, bother, pair_ends
from loftline.values import Bools, Floats, Ints

_BESIDE = 8
"""At a crowded node each trail is held against so many others: enough to merge them all."""

_ALIKE = 0.1
"""Radians: turns that differ by less are alike, and the place decides."""

_STRIDE = 50_000
"""Edges walked between two progress steps."""


def make_trails(
    u: Ints,
    v: Ints,
    heading: Floats,
    step: Step = does_nothing,
    *,
    travel: Bools | None = None,
) -> list[tuple[Ints, Bools]]:
    """Cover every edge once with as few trails as there can be.

    Args:
        u: ``(m,)`` one end of each edge of a multigraph.
        v: ``(m,)`` the other end.
        heading: ``(2 m,)`` direction in radians in which each half-edge leaves its node.
        step: progress callback.
        travel: ``(m,)`` edges that are travel. Where several nodes would do, trails are
            spliced at the one nearest to travel, by the number of edges to it: a corner in
            the waste beside the edge is easier sewn, and shows less, than one inside.

    Returns:
        Trails as edge indices and whether each is walked from u to v. A component with
        ``2 k`` odd nodes gets ``max(1, k)`` trails.
    """
    if not len(u):
        return []
    meeting = Meeting.of(u, v)
    mate = pair_ends(meeting, heading)
    step("trails", 0, 3)
    _merge(mate, meeting, heading, step, partial(_hops, u, v, travel))
    step("trails", 2, 3)
    return _walk(mate, step)


def _merge(
    mate: Ints, meeting: Meeting, heading: Floats, step: Step, hops: Callable[[Ints], Ints]
) -> None:
    """Splice closed trails into others where they share a node; in place."""
    count, label = _labels(mate)
    open_trail = np.zeros(count, bool)
    open_trail[label[mate == FREE]] = True
    if open_trail.all() or count == 1:
        return
    x, y = _neighbours(mate, meeting)
    apart = label[x] != label[y]
    x, y = x[apart], y[apart]
    extra = _extra(x, y, mate, heading)
    step("trails", 1, 3)
    order = np.lexsort((y, x, extra, hops(x), np.round(extra / _ALIKE)))
    x, y = x[order], y[order]
    chosen = _tree(label[x], label[y], open_trail)
    for a, b in zip(x[chosen].tolist(), y[chosen].tolist(), strict=True):
        _splice(a, b, mate, heading)


def _labels(mate: Ints) -> tuple[int, Ints]:
    """Number of trails, and the trail each half-edge lies in."""
    n = len(mate)
    even = np.arange(0, n, 2)
    paired = np.flatnonzero(mate > np.arange(n))
    rows = np.concatenate([even, paired])
    columns = np.concatenate([even + 1, mate[paired]])
    label = components(n, rows, columns)
    return int(label.max(initial=-1)) + 1, label


def _neighbours(mate: Ints, meeting: Meeting) -> tuple[Ints, Ints]:
    """Half-edges of two pairs at one node; the lower half-edge stands for its pair."""
    group = np.repeat(np.arange(len(meeting.begin)), meeting.degree)
    heads = (mate == FREE) | (np.arange(len(mate)) < mate)
    at = np.flatnonzero(heads[meeting.order])
    head, group = meeting.order[at], group[at]
    rank = np.arange(len(head)) - np.searchsorted(group, group)
    before = np.minimum(rank, _BESIDE)
    y = np.repeat(np.arange(len(head)), before)
    x = ranges(np.arange(len(head)) - before, before)
    return head[x], head[y]


def _extra(x: Ints, y: Ints, mate: Ints, heading: Floats) -> Floats:
    """Bother added by splicing the trails of x and y at their node."""
    p, q = mate[x], mate[y]
    # an open end takes up the other trail: name it x
    swap = (q == FREE) & (p != FREE)
    x, y, p, q = (np.where(swap, b, a) for a, b in ((x, y), (y, x), (p, q), (q, p)))
    at_x, at_y, at_p, at_q = heading[x], heading[y], heading[p], heading[q]
    across = np.minimum(
        bother(at_x, at_y) + bother(at_p, at_q), bother(at_x, at_q) + bother(at_p, at_y)
    )
    taken = np.minimum(bother(at_x, at_y), bother(at_x, at_q))
    now = bother(at_y, at_q)
    extra = np.where(p == FREE, taken - now, across - now - bother(at_x, at_p))
    extra[(p == FREE) & (q == FREE)] = 0.0
    return np.asarray(np.round(extra, 9))


def _hops(u: Ints, v: Ints, travel: Bools | None, halves: Ints) -> Ints:
    """Number of edges from each half-edge's node to the nearest travel; 0 without travel."""
    if travel is None or not travel.any():
        return np.zeros(len(halves), np.int64)
    n = int(max(u.max(), v.max())) + 1
    graph = csr_matrix((np.ones(len(u)), (u, v)), shape=(n, n))
    places = np.unique(np.concatenate([u[travel], v[travel]]))
    far = dijkstra(graph, directed=False, indices=places, unweighted=True, min_only=True)
    at = np.where(halves % 2 == 0, u[halves >> 1], v[halves >> 1])
    return np.where(np.isfinite(far[at]), far[at], n).astype(np.int64)


def _tree(one: Ints, other: Ints, open_trail: Bools) -> Ints:
    """Which splices of trails ``one`` and ``other`` to make, given the best first.

    A root joined to every open trail by the least edges keeps two open trails from being
    spliced into each other: each tree below it then holds one open trail at most.
    """
    count = len(open_trail)
    low, high = np.minimum(one, other), np.maximum(one, other)
    # the first of each pair of trails is its best
    _, first = np.unique(low * count + high, return_index=True)
    root = np.flatnonzero(open_trail)
    rows = np.concatenate([root, low[first]])
    columns = np.concatenate([np.full(len(root), count), high[first]])
    # ranks for weights: no ties, and no zero that scipy would take for no edge
    weight = np.concatenate([np.arange(len(root)), len(root) + first]) + 1.0
    graph = csr_matrix((weight, (rows, columns)), shape=(count + 1, count + 1))
    chosen = np.sort(minimum_spanning_tree(graph).data).astype(np.int64) - 1 - len(root)
    return chosen[chosen >= 0]


def _splice(x: int, y: int, mate: Ints, heading: Floats) -> None:
    """Pair two pairs of different trails anew, the straighter way; in place."""

    def turn(a: int, b: int) -> float:
        return float(bother(heading[a], heading[b]))

    p, q = int(mate[x]), int(mate[y])
    if FREE in (p, q):
        # an open end takes up a closed trail that passes its node
        free, x, p = (x, y, q) if p == FREE else (y, x, p)
        if turn(free, p) < turn(free, x):
            x, p = p, x
        mate[free], mate[x], mate[p] = x, free, FREE
    elif turn(x, y) + turn(p, q) <= turn(x, q) + turn(p, y):
        mate[x], mate[y], mate[p], mate[q] = y, x, q, p
    else:
        mate[x], mate[q], mate[p], mate[y] = q, x, y, p


def _walk(mate: Ints, step: Step) -> list[tuple[Ints, Bools]]:
    """Read the trails off the mates, open ones first."""
    follows: list[int] = mate.tolist()
    count = len(follows) // 2
    seen = bytearray(count)
    free = np.flatnonzero(mate == FREE).tolist()
    trails = []
    walked, told = 0, _STRIDE
    for start in [*free, *range(0, len(follows), 2)]:
        if seen[start >> 1]:
            continue
        halves = []
        h = start
        while h != FREE and not seen[h >> 1]:
            seen[h >> 1] = 1
            halves.append(h)
            h = follows[h ^ 1]
            if walked + len(halves) >= told:
                step("trails", told, count)
                told += _STRIDE
        walked += len(halves)
        taken = np.array(halves, np.int64)
        trails.append((taken >> 1, taken % 2 == 0))
    return trails
