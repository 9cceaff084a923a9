"""Euler trails: every edge once, as few as can be, straight on."""

from __future__ import annotations

import networkx as nx
import numpy as np
from hypothesis import given, settings, strategies as st

from loftline.runs.trails import make_trails


@st.composite
def multigraphs(draw: st.DrawFn) -> tuple[list[int], list[int]]:
    nodes = draw(st.integers(1, 8))
    ends = st.integers(0, nodes - 1)
    edges = draw(st.lists(st.tuples(ends, ends), min_size=1, max_size=30))
    return [a for a, _ in edges], [b for _, b in edges]


@settings(max_examples=300, deadline=None)
@given(graph=multigraphs(), seed=st.integers(0, 100))
def test_trails_cover_every_edge_once(graph: tuple[list[int], list[int]], seed: int) -> None:
    u, v = (np.array(ends) for ends in graph)
    heading = np.random.default_rng(seed).uniform(-np.pi, np.pi, 2 * len(u))
    trails = make_trails(u, v, heading)
    edges = np.concatenate([edges for edges, _ in trails])
    assert sorted(edges.tolist()) == list(range(len(u)))
    for walked, forward in trails:
        begin = np.where(forward, u[walked], v[walked])
        end = np.where(forward, v[walked], u[walked])
        assert (begin[1:] == end[:-1]).all()
    # Euler 1736: a component with 2 k odd nodes needs max(1, k) trails
    g: nx.MultiGraph[int] = nx.MultiGraph(list(zip(u.tolist(), v.tolist(), strict=True)))
    wanted = 0
    for component in nx.connected_components(g):
        odd = sum(g.degree(node) % 2 for node in component)
        wanted += max(1, odd // 2)
    assert len(trails) == wanted


def test_a_cross_is_sewn_straight() -> None:
    # two lines through node 0; four ends
    u, v = np.array([0, 0, 0, 0]), np.array([1, 2, 3, 4])
    out = np.array([0.0, np.pi, np.pi / 2, -np.pi / 2])
    heading = np.column_stack([out, out + np.pi]).ravel()
    trails = make_trails(u, v, heading)
    assert sorted(sorted(edges.tolist()) for edges, _ in trails) == [[0, 1], [2, 3]]
