"""Postman networks to plan, and an integer programme of the tests' own to judge the plans by."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
import numpy as np
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

from loftline.runs import Walks, plan_network
from loftline.values import Bools, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """A network with what must be walked."""

    u: Ints
    v: Ints
    cost: Floats
    required: Bools

    @property
    def nodes(self) -> int:
        """One more than the highest number."""
        return int(max(self.u.max(), self.v.max())) + 1

    def plan(self, cut: float | None = None, ends: Floats | None = None, **more: float) -> Walks:
        """Plan it."""
        return plan_network(
            self.u,
            self.v,
            self.cost,
            self.required,
            cut,
            end_cost=ends,
            **more,  # type: ignore[arg-type]
        )


def least(net: Net, ends: Floats | None, once: Bools | None = None) -> float | None:
    """The least cost, by HiGHS with connectivity cuts as they are missed.

    Any integer number of extra walks along each edge, none along those of ``once``; of run
    ends at each node; every node even; every piece joined to the rest, or to the hub where
    runs begin and end.
    """
    n, m = net.nodes, len(net.u)
    hub = ends is not None
    u = np.concatenate([net.u, np.arange(n)]) if hub else net.u
    v = np.concatenate([net.v, np.full(n, n)]) if hub else net.v
    cost = np.concatenate([net.cost, ends]) if hub else net.cost
    nodes, edges = n + hub, len(u)
    degree = np.bincount(
        np.concatenate([net.u[net.required], net.v[net.required]]), minlength=nodes
    )
    parity = lil_matrix((nodes, edges + nodes))
    for e in range(edges):
        parity[u[e], e] += 1
        parity[v[e], e] += 1
    for node in range(nodes):
        parity[node, edges + node] = -2
    rules = [LinearConstraint(parity.tocsr(), -degree, -degree)]
    most = np.concatenate([np.full(edges, 4), np.full(nodes, 4 * edges)])
    if once is not None:
        most[:m][once] = 0
    while True:
        answer = milp(
            np.concatenate([cost, np.zeros(nodes)]),
            constraints=rules,
            integrality=np.ones(edges + nodes, int),
            bounds=Bounds(0, most),
            options={"mip_rel_gap": 0.0},
        )
        if answer.x is None:
            return None
        walked = np.rint(answer.x[:edges]).astype(int)
        graph: nx.Graph[int] = nx.Graph()
        graph.add_nodes_from(np.flatnonzero(degree).tolist() + ([n] if hub else []))
        on = np.flatnonzero((walked > 0) | np.append(net.required, np.zeros(edges - m, bool)))
        graph.add_edges_from(zip(u[on].tolist(), v[on].tolist(), strict=True))
        parts = list(nx.connected_components(graph))
        sewn = [part for part in parts if degree[list(part)].any() or (hub and n in part)]
        if len(sewn) == 1:
            return float(answer.fun) + float(net.cost[net.required].sum())
        for part in sewn:
            inside = np.zeros(nodes, bool)
            inside[list(part)] = True
            row = np.append((inside[u] != inside[v]).astype(float), np.zeros(nodes))
            rules.append(LinearConstraint(row[None, :], 2, np.inf))


def walked_cost(net: Net, walks: Walks, ends: Floats | None) -> float:
    """What a plan costs, from the walks alone; asserts that they are walks and sew all."""
    sewn = np.zeros(len(net.u), int)
    total = 0.0
    for walk, directions in zip(walks.walks, walks.directions, strict=True):
        edges, forward = np.array(walk), np.array(directions)
        begin = np.where(forward, net.u[edges], net.v[edges])
        end = np.where(forward, net.v[edges], net.u[edges])
        assert (begin[1:] == end[:-1]).all()
        if ends is None:
            assert begin[0] == end[-1]
        else:
            total += float(ends[begin[0]] + ends[end[-1]])
        np.add.at(sewn, edges, 1)
    assert (sewn[net.required] >= 1).all()
    assert len(walks.walks) == 1 or ends is not None
    return total + float(net.cost @ sewn)


@st.composite
def nets(draw: st.DrawFn, most_nodes: int = 10) -> Net:
    """Small networks, connected, with parallel edges and several pieces of required ones."""
    n = draw(st.integers(2, most_nodes))
    edges = [(draw(st.integers(0, k - 1)), k) for k in range(1, n)]
    spare = st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)).filter(lambda e: e[0] != e[1])
    edges += draw(st.lists(spare, max_size=2 * n))
    m = len(edges)
    cost = draw(st.lists(st.integers(1, 12), min_size=m, max_size=m))
    required = draw(st.lists(st.sampled_from([True, False, False]), min_size=m, max_size=m))
    if not any(required):
        required[draw(st.integers(0, m - 1))] = True
    ends = np.array(edges, np.int64)
    return Net(u=ends[:, 0], v=ends[:, 1], cost=np.array(cost, float), required=np.array(required))


@st.composite
def odd_nets(draw: st.DrawFn, most_nodes: int = 8) -> Net:
    """Small networks of any kind: in parts without ways between, with loops, with edges that
    cost nothing or as much as all others together, of one edge alone."""
    n = draw(st.integers(1, most_nodes))
    node = st.integers(0, n - 1)
    edges = draw(st.lists(st.tuples(node, node), min_size=1, max_size=3 * n))
    m = len(edges)
    price = draw(
        st.sampled_from(
            [st.integers(0, 3), st.integers(1, 12), st.sampled_from([0, 1, 2, 5000, 10**6])]
        )
    )
    cost = draw(st.lists(price, min_size=m, max_size=m))
    required = draw(st.lists(st.booleans(), min_size=m, max_size=m))
    if not any(required):
        required[draw(st.integers(0, m - 1))] = True
    ends = np.array(edges, np.int64)
    return Net(u=ends[:, 0], v=ends[:, 1], cost=np.array(cost, float), required=np.array(required))


def street_grid(rows: int, columns: int, part: float, seed: int) -> Net:
    """A grid of streets with costs 1 to 10, a part of them required."""
    rng = np.random.default_rng(seed)
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(rows, columns))
    return _of(graph, rng.integers(1, 11, graph.number_of_edges()).astype(float), part, rng)


def four_a_node(nodes: int, part: float, seed: int) -> Net:
    """Places at random, four roads at each."""
    rng = np.random.default_rng(seed)
    graph = nx.random_regular_graph(4, nodes, seed=seed)
    places = rng.uniform(0, 1000, (nodes, 2))
    ends = np.array(list(graph.edges))
    return _of(graph, np.ceil(np.hypot(*(places[ends[:, 0]] - places[ends[:, 1]]).T)), part, rng)


def neighbours(nodes: int, part: float, seed: int) -> Net:
    """Places at random, roads to the nearest, joined by a least tree."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(0, 1000, (nodes, 2))
    away = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))
    graph: nx.Graph[int] = nx.Graph()
    for i in range(nodes):
        near = np.argsort(away[i])[1 : int(rng.integers(2, 4)) + 1]
        graph.add_edges_from((i, int(j)) for j in near)
    whole: nx.Graph[int] = nx.Graph()
    whole.add_weighted_edges_from((i, j, float(away[i, j])) for i in range(nodes) for j in range(i))
    graph.add_edges_from(nx.minimum_spanning_tree(whole).edges)
    ends = np.array(list(graph.edges))
    return _of(graph, np.ceil(away[ends[:, 0], ends[:, 1]]), part, rng)


def _of(graph: nx.Graph[int], cost: Floats, part: float, rng: np.random.Generator) -> Net:
    ends = np.array(list(graph.edges), np.int64)
    return Net(u=ends[:, 0], v=ends[:, 1], cost=cost, required=rng.random(len(ends)) < part)
