"""The least T-join with a hub: which odd nodes to link, and where runs begin and end.

A run may begin and end anywhere at the same price, so thread cuts are one more node, the
hub, joined to every node by an edge of half a cut's cost. Runs are then closed walks
through the hub, and a network whose required edges hang together is solved exactly by the
least T-join of its odd nodes (Edmonds & Johnson 1973), found as a matching. Two hub
terminals that must be used see to it that there is at least one run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import rustworkx
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.values import Ints

MICRO = 1000
"""Costs are matched as whole thousandths: exact, and the same on every machine."""

HUB = -1
"""Stands for the hub where a link's other end is no node."""

_CHUNK = 128
"""Sources searched at once; a full table of distances would not fit at 160 000 nodes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Graph:
    """Cheapest ways between nodes, parallel edges merged.

    Attributes:
        matrix: symmetric costs in thousandths.
        edge: key ``lower * n + higher`` of each merged edge, sorted.
        cheapest: the edge that won, for each key.
    """

    matrix: csr_matrix
    edge: Ints
    cheapest: Ints

    @property
    def size(self) -> int:
        """Number of nodes."""
        return int(self.matrix.shape[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Terminal pairs nearer than a limit: indices into the terminals, cost in thousandths."""

    first: Ints
    second: Ints
    cost: Ints


def make_graph(n: int, u: Ints, v: Ints, cost: Ints) -> Graph:
    """Merge parallel edges (the cheapest wins, the first of equals) and drop loops."""
    low, high = np.minimum(u, v), np.maximum(u, v)
    key = low * n + high
    proper = np.flatnonzero(u != v)
    order = proper[np.lexsort((proper, cost[proper], key[proper]))]
    first = np.append(True, np.diff(key[order]) > 0) if len(order) else np.empty(0, bool)
    chosen = order[first]
    # scipy takes a stored zero for no edge
    weight = np.maximum(cost[chosen], 1).astype(np.float64)
    rows = np.concatenate([low[chosen], high[chosen]])
    columns = np.concatenate([high[chosen], low[chosen]])
    matrix = csr_matrix((np.concatenate([weight, weight]), (rows, columns)), shape=(n, n))
    return Graph(matrix=matrix, edge=key[chosen], cheapest=chosen)


def near_pairs(graph: Graph, terminals: Ints, limit: float) -> Near:
    """All pairs of terminals nearer than ``limit`` (thousandths), each once, first < second."""
    first: list[Ints] = []
    second: list[Ints] = []
    cost: list[Ints] = []
    for start in range(0, len(terminals), _CHUNK):
        sources = terminals[start : start + _CHUNK]
        table = dijkstra(graph.matrix, directed=False, indices=sources, limit=limit)
        table = np.atleast_2d(table)[:, terminals]
        i, j = np.nonzero(table < limit)
        keep = j > i + start
        first.append(i[keep] + start)
        second.append(j[keep])
        cost.append(np.rint(table[i[keep], j[keep]]).astype(np.int64))
    if not first:
        none = np.empty(0, np.int64)
        return Near(first=none, second=none, cost=none)
    return Near(
        first=np.concatenate(first), second=np.concatenate(second), cost=np.concatenate(cost)
    )


def match_with_hub(count: int, near: Near, cut: int) -> list[tuple[int, int]]:
    """Links of least cost over ``count`` odd terminals; a run end is a link to :data:`HUB`.

    Left alone, each terminal is a run end at half a cut; a pair linked instead gains the
    cut less its cost. So the least T-join is the matching of greatest gain. The two hub
    terminals gain half a cut each for taking one run's ends, so that one run remains.
    """
    graph = rustworkx.PyGraph(multigraph=False)
    graph.add_nodes_from(range(count + 2))
    gain = 2 * (cut - near.cost)
    graph.add_edges_from(
        list(zip(near.first.tolist(), near.second.tolist(), gain.tolist(), strict=True))
    )
    hub = [(t, count + h, cut) for h in (0, 1) for t in range(count)]
    graph.add_edges_from(hub)
    pairs = rustworkx.max_weight_matching(
        graph, max_cardinality=False, weight_fn=int, verify_optimum=False
    )
    links = sorted((min(p), max(p)) for p in pairs if max(p) < count)
    linked = {t for pair in links for t in pair}
    return links + [(t, HUB) for t in range(count) if t not in linked]


def match_closed(count: int, near: Near) -> list[tuple[int, int]] | None:
    """Links of least cost that pair all ``count`` odd terminals; ``None`` when none can."""
    if count == 0:
        return []
    graph = rustworkx.PyGraph(multigraph=False)
    graph.add_nodes_from(range(count))
    most = int(near.cost.max(initial=0)) + 1
    graph.add_edges_from(
        list(
            zip(near.first.tolist(), near.second.tolist(), (most - near.cost).tolist(), strict=True)
        )
    )
    pairs = rustworkx.max_weight_matching(graph, max_cardinality=True, weight_fn=int)
    if 2 * len(pairs) < count:
        return None
    return sorted((min(p), max(p)) for p in pairs)


def trace(graph: Graph, links: list[tuple[int, int]], limit: float) -> list[Ints]:
    """The edges of a cheapest way for each link ``(node, node)``; none is dearer than ``limit``."""
    paths: list[Ints] = [np.empty(0, np.int64)] * len(links)
    by_source: dict[int, list[int]] = {}
    for i, (a, _) in enumerate(links):
        by_source.setdefault(a, []).append(i)
    sources = sorted(by_source)
    n = graph.size
    for start in range(0, len(sources), _CHUNK):
        chunk = np.array(sources[start : start + _CHUNK])
        _, before = dijkstra(
            graph.matrix,
            directed=False,
            indices=chunk,
            return_predecessors=True,
            limit=limit + 1,
        )
        for row, source in zip(np.atleast_2d(before), chunk.tolist(), strict=True):
            for i in by_source[source]:
                keys = []
                node = links[i][1]
                while node != source:
                    previous = int(row[node])
                    keys.append(min(previous, node) * n + max(previous, node))
                    node = previous
                at = np.searchsorted(graph.edge, np.array(keys, np.int64))
                paths[i] = graph.cheapest[at]
    return paths
