"""Shortest ways found by looking only where they can lie, and the pairs a matching needs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings, strategies as st
from scipy.sparse.csgraph import dijkstra

from loftline.errors import Cancelled
from loftline.runs import direct, nearby
from loftline.runs.direct import direct_pairs, direct_pairs_within
from loftline.runs.nearby import Pairs, pairs_within, paths_within
from loftline.runs.parity import (
    HUB,
    Graph,
    Near,
    make_graph,
    match_closed,
    match_with_hub,
)

Ints = npt.NDArray[np.int64]
FAR = 1e15


@pytest.fixture(autouse=True)
def cut_down_always() -> Iterator[None]:
    """Small networks are searched whole; here they are not."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nearby, "_SMALL", 0)
        patch.setattr(direct, "_FEW", 0)
        patch.setattr(nearby, "_BLOCK", 3)
        yield


@st.composite
def networks(draw: st.DrawFn) -> tuple[Graph, Ints, float]:
    """Any small network, or a ring with spokes to a second ring as keep-outs have; places."""
    if draw(st.booleans()):
        n = draw(st.integers(2, 12))
        ends = st.integers(0, n - 1)
        edges = draw(st.lists(st.tuples(ends, ends), min_size=1, max_size=24))
    else:
        k = draw(st.integers(3, 7))
        n = 2 * k
        rim = [(i, (i + 1) % k) for i in range(k)]
        edges = rim + [(a + k, b + k) for a, b in rim] + [(i, i + k) for i in range(k)]
    cost = draw(st.lists(st.integers(1, 9), min_size=len(edges), max_size=len(edges)))
    u, v = np.array(edges).T
    places = draw(st.permutations(range(n)))[: 2 * draw(st.integers(1, n // 2))]
    limit = draw(st.sampled_from([4.0, 10.0, 22.0, FAR]))
    graph = make_graph(n, u, v, np.array(cost))
    return graph, np.sort(np.array(places, np.int64)), limit


def _all_pairs(graph: Graph, places: Ints, limit: float) -> list[tuple[int, int, int]]:
    table = dijkstra(graph.matrix, directed=False, indices=places)[:, places]
    return [
        (a, b, round(table[a, b]))
        for a in range(len(places))
        for b in range(a + 1, len(places))
        if table[a, b] < limit and np.isfinite(table[a, b])
    ]


def _rows(pairs: Pairs) -> list[tuple[int, int, int]]:
    return [tuple(row) for row in np.column_stack(pairs).tolist()]


@settings(max_examples=150, deadline=None)
@given(network=networks())
def test_near_pairs_are_those_of_a_full_search(network: tuple[Graph, Ints, float]) -> None:
    graph, places, limit = network
    assert _rows(pairs_within(graph.matrix, places, limit)) == _all_pairs(graph, places, limit)


@settings(max_examples=300, deadline=None)
@given(network=networks())
def test_direct_pairs_hold_a_least_matching(network: tuple[Graph, Ints, float]) -> None:
    graph, places, limit = network
    near = pairs_within(graph.matrix, places, limit)
    needed = direct_pairs(graph.matrix, places, near, limit)
    assert set(_rows(needed)) <= set(_rows(near))
    cost = {(a, b): c for a, b, c in _rows(near)}
    found: list[float | None] = []
    for first, second, each in (near, needed):
        pairs = Near(first=first, second=second, cost=each)
        if limit == FAR:
            links = match_closed(len(places), pairs)
            found.append(None if links is None else sum(cost[link] for link in links))
        else:
            ends = np.full(len(places), int(limit / 2))
            links = match_with_hub(len(places), pairs, ends)
            found.append(sum(limit / 2 if b == HUB else cost[a, b] for a, b in links))
    assert found[1] == found[0]


@pytest.mark.parametrize("few", [0, 7])
@settings(max_examples=150, deadline=None)
@given(network=networks())
def test_direct_pairs_found_block_by_block_are_the_same(
    few: int, network: tuple[Graph, Ints, float]
) -> None:
    graph, places, limit = network
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(direct, "_FEW", few)
        near = pairs_within(graph.matrix, places, limit)
        at_once = _rows(direct_pairs(graph.matrix, places, near, limit))
        assert _rows(direct_pairs_within(graph.matrix, places, limit)) == at_once


def test_a_ring_needs_neighbours_only() -> None:
    # 30 lines end on a ring with a gap of 2 each, their inner ends far away
    ring = np.arange(30)
    u, v = np.concatenate([ring, ring]), np.concatenate([(ring + 1) % 30, ring + 30])
    graph = make_graph(60, u, v, np.where(np.arange(60) < 30, 2, 50))
    near = pairs_within(graph.matrix, ring, 25)
    assert len(near[0]) == 30 * 12
    assert len(direct_pairs(graph.matrix, ring, near, 25)[0]) == 30


@settings(max_examples=100, deadline=None)
@given(network=networks())
def test_paths_are_shortest(network: tuple[Graph, Ints, float]) -> None:
    graph, places, limit = network
    pairs = _all_pairs(graph, places, limit)
    ends = np.array([(places[a], places[b]) for a, b, _ in pairs], np.int64).reshape(-1, 2)
    paths = paths_within(graph.matrix, ends, limit)
    for (a, b), path, (_, _, cost) in zip(ends.tolist(), paths, pairs, strict=True):
        assert (path[0], path[-1]) == (a, b)
        assert sum(graph.matrix[p, q] for p, q in pairwise(path)) == cost


def test_a_search_can_be_stopped() -> None:
    ring = np.arange(12)
    graph = make_graph(12, ring, (ring + 1) % 12, np.ones(12, np.int64))

    def stop(name: str, done: int, total: int) -> None:
        if (name, done, total) == ("links", 9, 12):
            raise Cancelled

    with pytest.raises(Cancelled):
        pairs_within(graph.matrix, ring, 5, stop)


def test_a_pair_beyond_the_limit_is_refused() -> None:
    graph = make_graph(5, np.arange(4), np.arange(1, 5), np.full(4, 10))
    with pytest.raises(ValueError, match="farther apart"):
        paths_within(graph.matrix, np.array([(0, 4)]), 20)
