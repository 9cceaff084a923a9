"""A bound by spanning trees, for panels where neither a sweep nor a programme comes to an end.

Every piece is reached, so what is walked between the pieces holds a tree of them; and every
piece is left as often as it is come to, so it holds one walk more than a tree has, and two
walks meet each piece. The least tree with one more walk is found in a moment. What it leaves
out, that two walks meet each piece and each branch, is put into the prices: a walk that
crosses the border of a set is made cheaper by the set's multiplier, which is told back twice.
Whatever the multipliers, no walk costs less; they are raised where too few cross, lowered
where more do (Held & Karp, Operations Research 18, 1970, and Mathematical Programming 1,
1971; the length of each change by Polyak, USSR Computational Mathematics and Mathematical
Physics 9, 1969).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.rural import Rural
from loftline.values import Floats, Ints

ROUNDS = 400
"""Trees that are looked at."""

_LENGTH, _SHORTEST = 1.0, 1e-4
"""Of a change of the multipliers, in parts of what would close the gap; at first, and at last."""

_IDLE = 15
"""After so many trees without a better bound changes are halved."""

_SURE = 0.1
"""Thousandths; costs are whole, and sums of multipliers far more exact than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pieces:
    """Pieces and the cheapest walk between each two that have one.

    Attributes:
        u, v: ``(m,)`` the two.
        cost: ``(m,)`` thousandths.
        count: how many pieces there are.
    """

    u: Ints
    v: Ints
    cost: Floats
    count: int


def least_tree(small: Rural, known: int, *, rounds: int = ROUNDS, step: Step) -> int:
    """What no walk costs less than, in thousandths; 0 where the pieces cannot all be joined.

    Args:
        small: a task, mostly a contracted one: its pieces are taken for single nodes.
        known: cost of the best walk known; no more than that is told.
        rounds: how many trees to look at; a thousand pieces take about a millisecond each.
        step: progress callback.
    """
    pieces = _pieces(small)
    if pieces is None:
        return 0
    crossed = _borders(pieces)
    multiplier = np.zeros(crossed.shape[0])
    best, length, idle = 0.0, _LENGTH, 0
    for k in range(rounds):
        step("proving", k, rounds)
        price = pieces.cost - crossed.T @ multiplier
        used = _least(pieces, price)
        bound = float(price @ used + 2 * multiplier.sum())
        idle = 0 if bound > best + _SURE else idle + 1
        best = max(best, bound)
        if best >= known - _SURE:
            break
        if idle >= _IDLE:
            length, idle = length / 2, 0
        short = 2.0 - crossed @ used
        # a set that is crossed often enough and tells nothing back cannot be lowered
        short[(multiplier <= 0) & (short < 0)] = 0.0
        size = float(short @ short)
        if size == 0 or length < _SHORTEST:
            break
        multiplier = np.maximum(0.0, multiplier + length * (known - bound) / size * short)
    return min(known, max(0, math.ceil(best - _SURE)))


def _pieces(small: Rural) -> _Pieces | None:
    """The pieces as single nodes, ways between them counted to a piece beside them."""
    spot = small.spot
    bare = small.pieces + np.arange(int(spot.max()) + 1 - small.pieces)
    name = np.arange(int(spot.max()) + 1)
    a, b = spot[small.u], spot[small.v]
    if len(bare):
        # to take places for one is to ask less of a walk
        inner = (a >= small.pieces) & (b >= small.pieces)
        label = components(len(name), a[inner], b[inner])
        out = np.flatnonzero((a >= small.pieces) != (b >= small.pieces))
        order = out[np.argsort(-small.cost[out], kind="stable")]
        beside = np.full(len(name), -1)
        # the last one written stays: the cheapest
        beside[label[np.maximum(a, b)[order]]] = np.minimum(a, b)[order]
        name[bare] = beside[label[bare]]
        a, b = name[a], name[b]
    apart = np.flatnonzero((a != b) & (a >= 0) & (b >= 0))
    key = np.minimum(a, b)[apart] * small.pieces + np.maximum(a, b)[apart]
    order = np.lexsort((small.cost[apart], key))
    kept = apart[order[np.append(True, np.diff(key[order]) > 0)[: len(order)]]]
    label = components(small.pieces, a[kept], b[kept])
    if small.pieces < 2 or (label != label[0]).any():
        return None
    return _Pieces(
        u=np.minimum(a, b)[kept],
        v=np.maximum(a, b)[kept],
        cost=small.cost[kept].astype(float),
        count=small.pieces,
    )


def _least(pieces: _Pieces, price: Floats) -> Floats:
    """``(m,)`` how often each walk is in the least tree with one walk more, each at most twice."""
    tree = _spanning(pieces, price)
    used = np.where(price < 0, 2.0, 0.0)
    used[tree] = np.maximum(used[tree], 1.0)
    if used.sum() < pieces.count:
        # the second time in the tree too
        used[int(price.argmin())] += 1.0
    return used


def _spanning(pieces: _Pieces, price: Floats) -> Ints:
    """Walks of a least spanning tree, by their numbers."""
    n = pieces.count
    # every tree has as many, so that all may be dearer by the same
    weight = price - price.min() + 1.0
    graph = csr_matrix((weight, (pieces.u, pieces.v)), shape=(n, n))
    found = minimum_spanning_tree(graph).tocoo()
    key = pieces.u * n + pieces.v
    order = np.argsort(key)
    asked = found.row.astype(np.int64) * n + found.col
    return np.asarray(order[np.searchsorted(key[order], asked)])


def _borders(pieces: _Pieces) -> csr_matrix:
    """``(s, m)`` which walks cross the border of each piece, and of each branch of a least tree."""
    n, m = pieces.count, len(pieces.u)
    tree = _spanning(pieces, pieces.cost)
    both = csr_matrix((np.ones(len(tree)), (pieces.u[tree], pieces.v[tree])), shape=(n, n))
    order, parent = breadth_first_order(both, 0, directed=False)
    depth = np.zeros(n, np.int64)
    for node in order[1:].tolist():
        depth[node] = depth[parent[node]] + 1
    # a walk leaves the branches that lie on its way through the tree
    branch, walk = [np.append(pieces.u, pieces.v)], [np.tile(np.arange(m), 2)]
    one, other, edge = pieces.u, pieces.v, np.arange(m)
    while len(edge):
        deep = depth[one] >= depth[other]
        top = np.where(deep, one, other)
        branch.append(n + top)
        walk.append(edge)
        above = parent[top]
        one, other = np.where(deep, above, one), np.where(deep, other, above)
        left = one != other
        one, other, edge = one[left], other[left], edge[left]
    row, column = np.concatenate(branch), np.concatenate(walk)
    every = csr_matrix((np.ones(len(row)), (row, column)), shape=(2 * n, m))
    leaf = np.bincount(parent[order[1:]], minlength=n) == 0
    # a branch of one piece is that piece, and all of them have no border
    kept = np.append(np.ones(n, bool), ~leaf & (depth > 0))
    return every[np.flatnonzero(kept)]
