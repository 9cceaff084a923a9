"""Matchings by clusters, against networkx on the whole."""

from __future__ import annotations

import networkx as nx
import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import Cancelled
from loftline.runs.matching import pairs_of_least_cost, pairs_of_most_gain

Ints = npt.NDArray[np.int64]


@st.composite
def pairs(draw: st.DrawFn) -> tuple[int, Ints, Ints, Ints]:
    """An even number of places, some pairs of them, and a number above 0 for each pair."""
    count = 2 * draw(st.integers(1, 6))
    every = [(a, b) for a in range(count) for b in range(a + 1, count)]
    some = draw(st.lists(st.sampled_from(every), max_size=20, unique=True))
    worth = draw(st.lists(st.integers(1, 9), min_size=len(some), max_size=len(some)))
    a, b = np.array(some, np.int64).reshape(-1, 2).T
    return count, a, b, np.array(worth, np.int64)


@settings(max_examples=400, deadline=None)
@given(given=pairs())
def test_most_gain_with_two_left_single(given: tuple[int, Ints, Ints, Ints]) -> None:
    count, first, second, gain = given
    links = pairs_of_most_gain(count, first, second, gain)
    taken = [place for link in links for place in link]
    assert len(set(taken)) == len(taken) <= count - 2
    worth = dict(zip(zip(first.tolist(), second.tolist(), strict=True), gain.tolist(), strict=True))
    # two more places, worth more than any pair, take the two that are left
    whole: nx.Graph[int] = nx.Graph()
    for (a, b), each in worth.items():
        whole.add_edge(a, b, weight=each)
    for extra in (count, count + 1):
        for place in range(count):
            whole.add_edge(place, extra, weight=100)
    best = nx.max_weight_matching(whole)
    assert sum(worth[link] for link in links) == sum(whole[a][b]["weight"] for a, b in best) - 200


@settings(max_examples=400, deadline=None)
@given(given=pairs())
def test_least_cost_with_none_left_single(given: tuple[int, Ints, Ints, Ints]) -> None:
    count, first, second, cost = given
    links = pairs_of_least_cost(count, first, second, cost)
    whole: nx.Graph[int] = nx.Graph()
    whole.add_nodes_from(range(count))
    for a, b, each in zip(first.tolist(), second.tolist(), cost.tolist(), strict=True):
        whole.add_edge(a, b, weight=each)
    best = nx.min_weight_matching(whole)
    if links is None:
        assert 2 * len(best) < count
    else:
        assert sorted(place for link in links for place in link) == list(range(count))
        assert sum(whole[a][b]["weight"] for a, b in links) == sum(
            whole[a][b]["weight"] for a, b in best
        )


def test_matching_can_be_stopped_between_clusters() -> None:
    def stop(name: str, done: int, total: int) -> None:
        if (name, done, total) == ("links", 3, 5):
            raise Cancelled

    even = np.arange(0, 10, 2)
    with pytest.raises(Cancelled):
        pairs_of_most_gain(10, even, even + 1, np.ones(5, np.int64), stop)
