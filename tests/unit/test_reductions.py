"""The smallest form of a task, and borders that are walked too little, against plain ways."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.runs.flows import Flows
from loftline.runs.rural import make_rural

SEEDS = range(40)


@pytest.mark.parametrize("hub", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_an_edge_is_left_out_where_another_way_is_cheaper(seed: int, *, hub: bool) -> None:
    rng = np.random.default_rng(seed)
    n = 12
    u, v = rng.integers(0, n, (2, 40))
    cost = rng.integers(1, 60, 40)
    ends = rng.integers(1, 60, n) if hub else None
    # every node is a piece of its own, so that no edge leads to a dead end
    rural = make_rural(u, v, cost, np.zeros(n, bool), np.arange(n), ends)
    if ends is not None:
        u, v = np.append(u, np.arange(n)), np.append(v, np.full(n, n))
        cost = np.append(cost, ends)
    table = np.full((n + hub, n + hub), np.inf)
    np.minimum.at(table, (u, v), cost)
    np.minimum.at(table, (v, u), cost)
    near, far = np.nonzero(np.isfinite(table))
    way = dijkstra(coo_matrix((table[near, far], (near, far)), shape=table.shape).tocsr())
    expected = {
        (a, b)
        for a, b in zip(near.tolist(), far.tolist(), strict=True)
        if a < b and table[a, b] <= way[a, b]
    }
    found = {
        (min(a, b), max(a, b)) for a, b in zip(rural.u.tolist(), rural.v.tolist(), strict=True)
    }
    assert found == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_no_weak_border_is_missed_though_nodes_are_merged(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = 14
    a, b = rng.integers(0, n, (2, 30))
    capacity = rng.integers(1, 4, 30) / 2
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(n))
    for p, q, x in zip(a.tolist(), b.tolist(), capacity.tolist(), strict=True):
        if p != q:
            before = graph.edges[p, q]["capacity"] if graph.has_edge(p, q) else 0.0
            graph.add_edge(p, q, capacity=before + x)
    flows = Flows(n, a, b, capacity)
    for node in range(1, n):
        side = flows.parted(0, node, 2.0)
        assert (side is not None) == (nx.minimum_cut_value(graph, 0, node) < 2.0)
