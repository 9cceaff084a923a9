"""What else would answer the same networks: plain ways to sew all lines, to measure against.

Both are priced like plans: travel and sewing over again by the network's own costs, thread
cuts after the first run by the same price.
"""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.values import Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Cost of travel, sewing over again and thread cuts after the first run; number of runs."""

    cost: float
    runs: int


def eulerized(network: Network) -> Answer:
    """networkx's ``eulerize`` and ``eulerian_path`` over lines and ways alike.

    ``eulerize`` needs one connected graph, and what is in it is sewn: so all ways that touch
    the lines are sewn too, and it doubles edges by their number, not by their length.
    """
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    for e, (u, v) in enumerate(zip(network.u.tolist(), network.v.tolist(), strict=True)):
        graph.add_edge(u, v, number=e)
    cheapest: dict[tuple[int, int], float] = {}
    for u, v, e in graph.edges(data="number"):
        key = (min(u, v), max(u, v))
        cheapest[key] = min(cheapest.get(key, np.inf), float(network.cost[e]))
    cost = -float(network.cost[network.required].sum())
    runs = 0
    for part in nx.connected_components(graph):
        closed = nx.eulerize(graph.subgraph(part))
        for u, v, key in nx.eulerian_path(closed, keys=True):
            edge = closed[u][v][key].get("number")
            # the edges that were doubled carry no number
            cost += cheapest[min(u, v), max(u, v)] if edge is None else float(network.cost[edge])
        runs += 1
    return Answer(cost=cost, runs=runs)


def nearest_end(network: Network, cut: float) -> Answer:
    """Line after line, always on to the nearest end of a line that is left.

    Travel by the cheapest way, over lines too; where none is cheaper than a thread cut, a cut.
    """
    required = np.flatnonzero(network.required)
    n = len(network.nodes)
    order = np.lexsort((-network.cost, network.u, network.v))
    u, v, cost = network.u[order], network.v[order], network.cost[order]
    key = np.minimum(u, v) * n + np.maximum(u, v)
    _, first = np.unique(key[::-1], return_index=True)
    kept = len(key) - 1 - first
    matrix = csr_matrix((np.maximum(cost[kept], 1e-9), (u[kept], v[kept])), shape=(n, n))
    line = network.line[required]
    begin = network.u[required[np.unique(line, return_index=True)[1]]]
    end = network.v[required[len(line) - 1 - np.unique(line[::-1], return_index=True)[1]]]
    ends = np.concatenate([begin, end])
    count = len(begin)
    places = np.unique(ends)
    near: dict[int, list[tuple[float, int]]] = {}
    for start in range(0, len(places), 128):
        chunk = places[start : start + 128]
        table = dijkstra(matrix, directed=False, indices=chunk, limit=cut)[:, ends]
        for place, row in zip(chunk.tolist(), table, strict=True):
            reached = np.flatnonzero(row < cut)
            near[place] = sorted(zip(row[reached].tolist(), reached.tolist(), strict=True))
    left = np.ones(count, bool)
    spot = network.nodes[ends]
    here, total, runs = -1, 0.0, 0
    for _ in range(count):
        best = None
        if here >= 0:
            best = next(((c, k) for c, k in near[here] if left[k % count]), None)
        if best is None:
            at = network.nodes.min(axis=0) if here < 0 else network.nodes[here]
            apart = np.hypot(*(spot - at).T)
            apart[~np.tile(left, 2)] = np.inf
            best = (cut if here >= 0 else 0.0, int(apart.argmin()))
            runs += 1
        total += best[0]
        k = best[1]
        left[k % count] = False
        here = int(ends[(k + count) % (2 * count)])
    return Answer(cost=total, runs=runs)
