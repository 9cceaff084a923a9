"""The bound by spanning trees, against an integer programme and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from loftline.errors import does_nothing
from loftline.runs.between import contracted
from loftline.runs.rural import Rural, make_rural
from loftline.runs.trees import least_tree
from support_rings import RingNetwork, least_walk, odd_nodes, ring_networks

KNOWN = 10**9


def bound_of(network: RingNetwork, known: int = KNOWN) -> int:
    rural = make_rural(
        network.u, network.v, network.cost, odd_nodes(network), network.piece, network.end
    )
    return least_tree(contracted(rural).rural, known, step=does_nothing)


def closed_tour(pairs: list[tuple[int, int]], count: int) -> Rural:
    """Pieces of one node each, steps of 1 mm between some."""
    u, v = np.array(pairs).T
    return make_rural(u, v, np.full(len(u), 1000), np.zeros(count, bool), np.arange(count), None)


@settings(max_examples=40, deadline=None)
@given(network=ring_networks(beside=True))
def test_the_bound_is_no_higher_than_the_least_walk(network: RingNetwork) -> None:
    least = least_walk(network, one_step=False)
    assert bound_of(network, known=2 * least) <= least


@pytest.mark.nightly
@settings(max_examples=3000, deadline=None)
@given(network=ring_networks(beside=True))
def test_on_thousands_the_bound_is_no_higher_than_the_least_walk(network: RingNetwork) -> None:
    least = least_walk(network, one_step=False)
    assert bound_of(network, known=2 * least) <= least


@pytest.mark.parametrize("count", [3, 8, 30])
def test_pieces_in_a_circle_take_one_step_each(count: int) -> None:
    small = closed_tour([(k, (k + 1) % count) for k in range(count)], count)
    assert least_tree(small, 3000 * count, step=does_nothing) == 1000 * count


@pytest.mark.parametrize("count", [2, 5, 12])
def test_pieces_in_a_row_take_each_step_twice_there_and_back(count: int) -> None:
    small = closed_tour([(k, k + 1) for k in range(count - 1)], count)
    found = least_tree(small, 4000 * count, rounds=3000, step=does_nothing)
    assert found >= 0.99 * 2000 * (count - 1)


def test_a_star_takes_each_step_twice() -> None:
    small = closed_tour([(0, k) for k in range(1, 7)], 7)
    assert least_tree(small, 20_000, rounds=3000, step=does_nothing) >= 0.99 * 12_000


def test_the_petersen_graph_is_told_ten() -> None:
    # no tour of ten (Petersen 1898), but every multiplier of Held and Karp tells ten at most
    outer = [(k, (k + 1) % 5) for k in range(5)]
    inner = [(5 + k, 5 + (k + 2) % 5) for k in range(5)]
    small = closed_tour(outer + inner + [(k, 5 + k) for k in range(5)], 10)
    assert least_tree(small, 20_000, step=does_nothing) == 10_000


def test_more_trees_tell_more() -> None:
    # or the multipliers would be of no use
    small = closed_tour([(k, k + 1) for k in range(11)], 12)
    few, many = (least_tree(small, 40_000, rounds=n, step=does_nothing) for n in (1, 500))
    assert few < many


def test_pieces_that_nothing_joins_are_told_nothing() -> None:
    small = closed_tour([(0, 1), (2, 3)], 4)
    assert least_tree(small, KNOWN, step=does_nothing) == 0


def test_a_way_between_pieces_is_no_piece() -> None:
    # two pieces, joined over a place without sewing
    u, v = np.array([0, 2]), np.array([2, 1])
    rural = make_rural(u, v, np.full(2, 1000), np.zeros(3, bool), np.array([0, 1, -1]), None)
    assert least_tree(rural, KNOWN, step=does_nothing) <= 4000
