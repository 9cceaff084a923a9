"""Euler trails: every edge once, as few as can be, straight on."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import Cancelled
from loftline.runs.pairing import FREE, Meeting, pair_ends
from loftline.runs.trails import _neighbours, make_trails


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


def paired(headings: list[float], nodes: list[int] | None = None) -> set[frozenset[int]]:
    """Edges that follow each other at node 0, given the direction in which each leaves it."""
    count = len(headings)
    u = np.zeros(count, np.int64)
    v = np.arange(1, count + 1) if nodes is None else np.array(nodes)
    out = np.radians(headings)
    heading = np.column_stack([out, out + np.pi]).ravel()
    mate = pair_ends(Meeting.of(u, v), heading)
    return {frozenset((k, int(mate[2 * k]) // 2)) for k in range(count) if mate[2 * k] != FREE}


def test_three_lines_through_one_point_go_straight() -> None:
    assert paired([0, 61, 119, 180, 241, 299]) == {
        frozenset(pair) for pair in ((0, 3), (1, 4), (2, 5))
    }


def test_five_lines_through_one_point_go_straight() -> None:
    angles = [0.0, 30, 75, 100, 150]
    assert paired([*angles, *(a + 180 for a in angles)]) == {
        frozenset((k, k + 5)) for k in range(5)
    }


def test_the_sharpest_end_is_where_a_run_ends() -> None:
    assert paired([0, 180, 250]) == {frozenset((0, 1))}


def test_a_line_sewn_twice_is_not_turned_back_on() -> None:
    # edges 0 and 1 lie on each other, square to the straight pair 2, 3: the sums of the
    # two pairings' turns are equal, and one of them turns back
    found = paired([90, 90, 0, 180], [1, 1, 2, 3])
    assert frozenset((0, 1)) not in found


def test_many_loops_at_one_place_become_one_trail() -> None:
    # 2000 loops of two edges through node 0: pairs of all with all would be two million
    loops = np.arange(2000)
    u = np.concatenate([np.zeros(2000, np.int64), loops + 1])
    v = np.concatenate([loops + 1, np.zeros(2000, np.int64)])
    heading = np.random.default_rng(1).uniform(-np.pi, np.pi, 8000)
    meeting = Meeting.of(u, v)
    first, _ = _neighbours(pair_ends(meeting, heading), meeting)
    assert len(first) < 10 * len(u)
    assert len(make_trails(u, v, heading)) == 1


def test_reading_off_long_trails_can_be_stopped() -> None:
    n = 120_000
    around = np.arange(n)

    def stop(name: str, done: int, total: int) -> None:
        if (name, done, total) == ("trails", 100_000, n):
            raise Cancelled

    with pytest.raises(Cancelled):
        make_trails(around, (around + 1) % n, np.zeros(2 * n), stop)


@pytest.mark.parametrize(("travel", "straight"), [(0, (1, 2)), (1, (0, 2))])
def test_trails_are_joined_beside_travel(travel: int, straight: tuple[int, int]) -> None:
    # two rings cross at nodes 0 and 1: edges 0, 1, 2 over node 2, and edges 3 to 6
    u, v = np.array([0, 2, 1, 0, 3, 1, 4]), np.array([2, 1, 0, 3, 1, 4, 0])
    east, west, north, south = 0.0, np.pi, np.pi / 2, -np.pi / 2
    # at node 0 edges 0 and 2 go straight on and 3 and 6; at node 1 edges 1 and 2, and 4 and 5
    out = [(east, 0), (0, east), (west, west), (north, 0), (0, north), (south, 0), (0, south)]
    which = np.arange(7) == travel
    ((edges, _),) = make_trails(u, v, np.array(out).ravel(), travel=which)
    following = {frozenset(pair) for pair in pairwise([*edges.tolist(), edges[0]])}
    # the node away from the travel is still passed straight on
    assert frozenset(straight) in following
