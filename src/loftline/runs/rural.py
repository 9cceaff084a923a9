"""The rural postman's task in its smallest form: which edges to walk besides the required.

What is asked of those edges is little: every node even, every piece of required sewing
joined. Runs that may be cut are the same task with one more node, the hub, where every run
begins and ends; the hub is a piece of its own, so that there is at least one run.

Reductions that lose no optimum: parallel edges but the cheapest, edges dearer than another
way, and dead ends without sewing are left out; an edge within a piece is walked at most once
more; and where every node carries sewing, only the edges of one least spanning tree between
the pieces are ever walked twice (Christofides et al., as used by Ghiani & Laporte,
Mathematical Programming 87, 2000).
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.runs.connected import components, find
from loftline.values import Bools, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Rural:
    """Edges that may be walked, and what their choice must fulfil.

    Attributes:
        u, v: ``(m,)`` ends of each edge.
        cost: ``(m,)`` in thousandths.
        most: ``(m,)`` how often an edge is walked at most, 1 or 2.
        odd: ``(n,)`` nodes with an odd number of required edges.
        piece: ``(n,)`` the piece each node belongs to; -1 where no sewing touches it.
        pieces: how many there are.
        origin: ``(m,)`` the edge's number in the network; -1 for the hub's.
        column: ``(c,)`` edge of each choice of yes or no: every edge once, and those that may
            be walked twice again.
    """

    u: Ints
    v: Ints
    cost: Ints
    most: Ints
    odd: Bools
    piece: Ints
    pieces: int
    origin: Ints
    column: Ints

    @property
    def size(self) -> int:
        """Number of nodes."""
        return len(self.odd)

    @property
    def spot(self) -> Ints:
        """``(n,)`` names of nodes where each piece is one."""
        out = self.piece.copy()
        bare = np.flatnonzero(out < 0)
        out[bare] = self.pieces + np.arange(len(bare))
        return out

    def by_edge(self, x: Floats) -> Floats:
        """Sums over the columns of each edge."""
        return np.asarray(np.bincount(self.column, x, len(self.u)), float)

    def joined(self, walked: Ints) -> bool:
        """Whether a choice (``(m,)`` counts) joins all pieces."""
        spot = self.spot
        on = np.flatnonzero(walked > 0)
        label = components(int(spot.max()) + 1, spot[self.u[on]], spot[self.v[on]])
        return bool((label[: self.pieces] == label[0]).all())

    def even(self, walked: Ints) -> bool:
        """Whether a choice makes every node even."""
        degree = self.odd.astype(np.int64)
        np.add.at(degree, self.u, walked)
        np.add.at(degree, self.v, walked)
        return bool((degree % 2 == 0).all())


def make_rural(
    u: Ints,
    v: Ints,
    cost: Ints,
    odd: Bools,
    piece: Ints,
    end_cost: Ints | None,
    *,
    origin: Ints | None = None,
) -> Rural:
    """Reduce a network to its task.

    Args:
        u: ``(m,)`` ends of all edges of the network.
        v: the other ends.
        cost: ``(m,)`` thousandths, at least 0.
        odd: ``(n,)`` nodes of odd degree among the required edges.
        piece: ``(n,)`` piece of each node, -1 for none.
        end_cost: ``(n,)`` what a run's end costs at each node; ``None`` asks for a closed tour.
        origin: ``(m,)`` numbers to know the edges by, at first 0, 1, ...
    """
    n = len(odd)
    origin = np.arange(len(u)) if origin is None else origin
    pieces = int(piece.max()) + 1
    if end_cost is not None:
        u = np.concatenate([u, np.arange(n)])
        v = np.concatenate([v, np.full(n, n)])
        cost = np.concatenate([cost, end_cost])
        origin = np.concatenate([origin, np.full(n, -1)])
        odd = np.append(odd, False)
        piece = np.append(piece, pieces)
        pieces += 1
        n += 1
    kept = _cheapest(n, u, v, cost)
    kept = kept[_direct(n, u[kept], v[kept], cost[kept], hub=end_cost is not None)]
    kept = kept[_alive(u[kept], v[kept], piece)]
    u, v, cost, origin = u[kept], v[kept], cost[kept], origin[kept]
    most = _most(u, v, cost, piece)
    return Rural(
        u=u,
        v=v,
        cost=cost,
        most=most,
        odd=odd,
        piece=piece,
        pieces=pieces,
        origin=origin,
        column=np.concatenate([np.arange(len(u)), np.flatnonzero(most == 2)]),
    )


def _cheapest(n: int, u: Ints, v: Ints, cost: Ints) -> Ints:
    """The cheapest of parallel edges, no loops."""
    key = np.minimum(u, v) * n + np.maximum(u, v)
    order = np.lexsort((np.arange(len(u)), cost, key))
    order = order[u[order] != v[order]]
    fresh = np.append(True, np.diff(key[order]) > 0)[: len(order)]
    return np.sort(order[fresh])


def _direct(n: int, u: Ints, v: Ints, cost: Ints, *, hub: bool) -> Ints:
    """Edges that are no dearer than any other way between their ends.

    Args:
        n: number of nodes.
        u: ends of the edges, of which no two are parallel.
        v: the other ends.
        cost: thousandths.
        hub: whether the last node is the hub. It lies beside every place, so ways over it
            are told apart: a search that met it would go everywhere.
    """
    cost = np.maximum(cost, 1)
    keep = np.ones(len(u), bool)
    plain = np.ones(len(u), bool)
    if hub:
        graph = coo_matrix((cost.astype(float), (u, v)), shape=(n, n)).tocsr()
        far = dijkstra(graph, directed=False, indices=[n - 1])[0]
        # the hub's own distance is 0, so this asks the same of its edges
        keep = cost <= far[u] + far[v]
        plain = (u < n - 1) & (v < n - 1)
    # another way leaves each end by another edge
    ends = np.concatenate([u[plain], v[plain]])
    both = np.concatenate([cost[plain], cost[plain]])
    order = np.lexsort((both, ends))
    fresh = np.append(True, np.diff(ends[order]) > 0)[: len(order)]
    least = np.full((2, n), np.iinfo(np.int64).max // 4)
    least[0, ends[order][fresh]] = both[order][fresh]
    second = np.flatnonzero(~fresh & np.append(False, fresh[:-1])[: len(order)])
    least[1, ends[order][second]] = both[order][second]
    others = [np.where(cost <= least[0, at], least[1, at], least[0, at]) for at in (u, v)]
    doubtful = np.flatnonzero(plain & keep & (cost > others[0] + others[1]))
    if len(doubtful):
        around: list[list[tuple[int, int]]] = [[] for _ in range(n)]
        for a, b, c in zip(u[plain].tolist(), v[plain].tolist(), cost[plain].tolist(), strict=True):
            around[a].append((b, c))
            around[b].append((a, c))
        for e in doubtful.tolist():
            keep[e] = not _way_below(around, int(u[e]), int(v[e]), int(cost[e]))
    return np.flatnonzero(keep)


def _way_below(around: list[list[tuple[int, int]]], start: int, goal: int, limit: int) -> bool:
    """Whether a way is cheaper than a limit, by a search that goes no farther (Dijkstra 1959)."""
    known = {start: 0}
    queue = [(0, start)]
    while queue:
        cost, node = heappop(queue)
        if cost > known[node]:
            continue
        for beside, more in around[node]:
            there = cost + more
            if there < limit and there < known.get(beside, limit):
                if beside == goal:
                    return True
                known[beside] = there
                heappush(queue, (there, beside))
    return False


def _alive(u: Ints, v: Ints, piece: Ints) -> Ints:
    """Edges that do not lead to a dead end without sewing."""
    kept = np.arange(len(u))
    while True:
        degree = np.bincount(np.concatenate([u[kept], v[kept]]), minlength=len(piece))
        dead = (degree == 1) & (piece < 0)
        bad = dead[u[kept]] | dead[v[kept]]
        if not bad.any():
            return kept
        kept = kept[~bad]


def _most(u: Ints, v: Ints, cost: Ints, piece: Ints) -> Ints:
    between = (piece[u] != piece[v]) | (piece[u] < 0)
    most = np.where(between, 2, 1)
    touched = np.zeros(len(piece), bool)
    touched[u] = touched[v] = True
    if (piece[touched] < 0).any():
        return most
    tree = spanning_tree(piece[u], piece[v], cost)
    most[:] = 1
    most[tree] = 2
    return most


def spanning_tree(a: Ints, b: Ints, weight: Ints | Floats) -> Ints:
    """Edges of a least spanning forest, the first of equals."""
    top = int(max(a.max(initial=-1), b.max(initial=-1))) + 1
    parent = list(range(top))
    chosen = []
    order = np.argsort(weight, kind="stable")
    order = order[a[order] != b[order]]
    for e, x, y in zip(order.tolist(), a[order].tolist(), b[order].tolist(), strict=True):
        one, other = find(parent, x), find(parent, y)
        if one != other:
            parent[one] = other
            chosen.append(e)
    return np.array(chosen, np.int64)
