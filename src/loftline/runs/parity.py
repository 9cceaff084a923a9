"""The least T-join with a hub: which odd nodes to link, and where runs begin and end.

A run may begin and end anywhere at a price, so thread cuts are one more node, the hub,
joined to every node by an edge that costs what a run's end costs there (half a cut where
all places are alike). Runs are then closed walks
through the hub, and a network whose required edges hang together is solved exactly by the
least T-join of its odd nodes (Edmonds & Johnson 1973), found as a matching. Two hub
terminals that must be used see to it that there is at least one run.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from loftline.errors import Step, does_nothing
from loftline.runs.direct import direct_pairs, direct_pairs_within
from loftline.runs.matching import pairs_of_least_cost, pairs_of_most_gain
from loftline.runs.nearby import pairs_within, paths_within
from loftline.values import Bools, Ints

MICRO = 1000
"""Costs are matched as whole thousandths: exact, and the same on every machine."""

HUB = -1
"""Stands for the hub where a link's other end is no node."""


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


def make_graph(n: int, u: Ints, v: Ints, cost: Ints, barred: Bools | None = None) -> Graph:
    """Merge parallel edges (the cheapest wins, the first of equals); drop loops and barred ones."""
    low, high = np.minimum(u, v), np.maximum(u, v)
    key = low * n + high
    proper = np.flatnonzero(u != v if barred is None else (u != v) & ~barred)
    order = proper[np.lexsort((proper, cost[proper], key[proper]))]
    first = np.append(True, np.diff(key[order]) > 0) if len(order) else np.empty(0, bool)
    chosen = order[first]
    # scipy takes a stored zero for no edge
    weight = np.maximum(cost[chosen], 1).astype(np.float64)
    rows = np.concatenate([low[chosen], high[chosen]])
    columns = np.concatenate([high[chosen], low[chosen]])
    matrix = csr_matrix((np.concatenate([weight, weight]), (rows, columns)), shape=(n, n))
    return Graph(matrix=matrix, edge=key[chosen], cheapest=chosen)


def near_pairs(graph: Graph, terminals: Ints, limit: float, step: Step = does_nothing) -> Near:
    """All pairs of terminals nearer than ``limit`` (thousandths), each once, first < second."""
    first, second, cost = pairs_within(graph.matrix, terminals, limit, step)
    return Near(first=first, second=second, cost=cost)


def needed_pairs(
    graph: Graph, odd: Ints, near: Near, limit: float, step: Step = does_nothing
) -> Near:
    """Those near pairs of the odd nodes that the least T-join may need; far fewer."""
    pairs = (near.first, near.second, near.cost)
    first, second, cost = direct_pairs(graph.matrix, odd, pairs, limit, step)
    return Near(first=first, second=second, cost=cost)


def needed_near_pairs(graph: Graph, odd: Ints, limit: float, step: Step = does_nothing) -> Near:
    """The same of all pairs nearer than the limit."""
    first, second, cost = direct_pairs_within(graph.matrix, odd, limit, step)
    return Near(first=first, second=second, cost=cost)


def match_with_hub(
    count: int, near: Near, ends: Ints, step: Step = does_nothing
) -> list[tuple[int, int]]:
    """Links of least cost over ``count`` odd terminals; a run end is a link to :data:`HUB`.

    Left alone, each terminal is a run end at its price (``ends``, thousandths); a pair
    linked instead gains both prices less its cost. So the least T-join is the matching of
    greatest gain that leaves two ends of one run at least.
    """
    gain = ends[near.first] + ends[near.second] - near.cost
    good = gain > 0
    links = pairs_of_most_gain(count, near.first[good], near.second[good], gain[good], step)
    linked = {t for pair in links for t in pair}
    return links + [(t, HUB) for t in range(count) if t not in linked]


def match_closed(count: int, near: Near, step: Step = does_nothing) -> list[tuple[int, int]] | None:
    """Links of least cost that pair all ``count`` odd terminals; ``None`` when none can."""
    return pairs_of_least_cost(count, near.first, near.second, near.cost, step)


def trace(
    graph: Graph, links: list[tuple[int, int]], limit: float, step: Step = does_nothing
) -> list[Ints]:
    """The edges of a cheapest way for each link ``(node, node)``; none is dearer than ``limit``."""
    paths = paths_within(graph.matrix, np.array(links, np.int64).reshape(-1, 2), limit, step)
    edges = []
    for nodes in paths:
        key = np.minimum(nodes[1:], nodes[:-1]) * graph.size + np.maximum(nodes[1:], nodes[:-1])
        edges.append(graph.cheapest[np.searchsorted(graph.edge, key)])
    return edges
