"""Rings cut where a walk passes along them for nothing; walks completed and merged."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import does_nothing
from loftline.runs.between import least_parted, merged
from loftline.runs.completing import complete, joined
from loftline.runs.merging import merge_walks
from loftline.runs.refining import refine
from loftline.runs.rural import Rural, make_rural
from loftline.runs.stretched import Loop, Stretched
from loftline.values import Bools, Ints
from support_rings import RingNetwork, least_walk, odd_nodes, ring_networks


def rural_of(network: RingNetwork) -> Rural:
    return make_rural(
        network.u, network.v, network.cost, odd_nodes(network), network.piece, network.end
    )


def all_rings(rural: Rural) -> Bools:
    return np.append(np.ones(rural.pieces - 1, bool), False)


def rings_in_a_circle(count: int, step: int = 10) -> RingNetwork:
    """Rings of three nodes, each joined to the next by a step at its first node."""
    u, v, cost, required = [], [], [], []
    for ring in range(count):
        first = 3 * ring
        u += [first, first + 1, first + 2, first]
        v += [first + 1, first + 2, first, 3 * ((ring + 1) % count)]
        cost += [50, 50, 50, step]
        required += [True, True, True, False]
    return RingNetwork(
        u=np.array(u),
        v=np.array(v),
        cost=1000 * np.array(cost),
        required=np.array(required),
        piece=np.repeat(np.arange(count), 3),
        end=np.full(3 * count, 60_000),
    )


def every_walk(rural: Rural) -> Ints:
    """Each step twice and one end twice: good, and dear."""
    walked = np.where(rural.piece[rural.u] == rural.piece[rural.v], 0, rural.most)
    walked[rural.origin < 0] = 0
    walked[np.flatnonzero(rural.origin < 0)[0]] = 2
    return np.asarray(walked)


def refined(rural: Rural, walked: Ints, close: int = 0) -> tuple[int, int]:
    found = refine(
        rural,
        all_rings(rural),
        walked,
        parted=2,
        guide=lambda _parted, _walked: [],
        close=close,
        work=10**7,
        step=does_nothing,
    )
    assert rural.even(found.walked)
    assert rural.joined(found.walked)
    assert int(rural.cost @ found.walked) == found.cost
    return found.cost, found.bound


def plain_loop(costs: list[int]) -> Loop:
    n = len(costs)
    return Loop(
        first=0,
        nodes=np.arange(n),
        edge=np.arange(n),
        far=np.concatenate([[0], np.cumsum(costs)]),
        cut=np.zeros(n, bool),
    )


def test_places_round_a_loop_are_joined_the_cheaper_way() -> None:
    assert joined(plain_loop([5, 1, 5, 1]), np.arange(4)) == (2, [(1, 2), (3, 0)])


def test_an_odd_number_of_places_is_not_evened_out() -> None:
    assert joined(plain_loop([5, 1, 5, 1]), np.array([2]))[0] > 10**9


def test_a_loop_with_one_cut_is_one_stretch() -> None:
    loop = plain_loop([5, 1, 5, 1])
    loop.cut[2] = True
    assert loop.named(100).tolist() == [0, 0, 0, 0]


def test_two_cuts_part_a_loop_in_two() -> None:
    loop = plain_loop([5, 1, 5, 1])
    loop.cut[[0, 2]] = True
    assert loop.named(100).tolist() == [0, 101, 101, 0]


def test_rings_in_a_circle_are_joined_by_one_step_each() -> None:
    # the open chain of three: two steps, and both ends; a tree of single steps can do that too
    rural = rural_of(rings_in_a_circle(3))
    assert refined(rural, every_walk(rural)) == (140_000, 140_000)


def passed_between(*, across: int) -> RingNetwork:
    """A ring of four nodes with one ring beside its first node and one beside its third."""
    return RingNetwork(
        u=np.array([0, 1, 2, 3, 4, 5, 0, 2]),
        v=np.array([1, 2, 3, 0, 4, 5, 4, 5]),
        cost=1000 * np.array([across, across, across, across, 40, 40, 10, 10]),
        required=np.array([True] * 6 + [False] * 2),
        piece=np.array([0, 0, 0, 0, 1, 2]),
        end=np.full(6, 60_000),
    )


def test_a_ring_is_passed_along_where_that_is_cheap() -> None:
    rural = rural_of(passed_between(across=2))
    assert refined(rural, every_walk(rural)) == (144_000, 144_000)


def test_what_a_smaller_task_passes_for_nothing_is_told() -> None:
    rural = rural_of(passed_between(across=2))
    stretched = Stretched(rural, all_rings(rural), 0)
    parted = merged(rural, stretched.name)
    found = least_parted(parted.rural, 10**9, work=10**6, step=does_nothing)
    assert found.walked is not None
    passed = complete(stretched, parted, found.walked).passed
    assert [cost for cost, _, _ in passed] == [4000]


def test_cuts_that_were_not_kept_are_undone() -> None:
    rural = rural_of(passed_between(across=2))
    stretched = Stretched(rural, all_rings(rural), 0)
    before = stretched.name.tolist()
    stretched.keep()
    assert stretched.cut(stretched.loops[0], [(0, 2)])
    assert stretched.name.tolist() != before
    stretched.mend()
    assert stretched.name.tolist() == before


def chain_of_three() -> tuple[Rural, list[Ints]]:
    """Three pieces in a row, and two walks: each takes one step singly and the other twice."""
    network = RingNetwork(
        u=np.array([0, 1, 2, 0, 1]),
        v=np.array([0, 1, 2, 1, 2]),
        cost=1000 * np.array([50, 50, 50, 10, 10]),
        required=np.array([True, True, True, False, False]),
        piece=np.arange(3),
        end=np.full(3, 60_000),
    )
    rural = rural_of(network)
    walks = []
    for single in (0, 1):
        ends = [(single, single + 1, 1), (1 - single, 2 - single, 2)]
        ends += [(single, 3, 1), (single + 1, 3, 1)]
        walked = np.zeros(len(rural.u), np.int64)
        for a, b, count in ends:
            walked[(np.minimum(rural.u, rural.v) == a) & (np.maximum(rural.u, rural.v) == b)] = (
                count
            )
        assert int(rural.cost @ walked) == 150_000
        walks.append(walked)
    return rural, walks


def test_the_best_of_two_walks_takes_of_both() -> None:
    rural, walks = chain_of_three()
    better, _ = merge_walks(rural, walks, 150_000, work=10**6, step=does_nothing)
    assert better is not None
    assert int(rural.cost @ better) == 140_000


def test_of_one_walk_alone_no_better_is_made() -> None:
    rural, walks = chain_of_three()
    better, _ = merge_walks(rural, walks[:1], 150_000, work=10**6, step=does_nothing)
    assert better is None


@settings(max_examples=60, deadline=None)
@given(network=ring_networks(most=5, beside=True))
def test_the_least_walk_lies_between_bound_and_cost(network: RingNetwork) -> None:
    rural = rural_of(network)
    walked = every_walk(rural)
    if not rural.joined(walked) or not rural.even(walked):
        return
    cost, bound = refined(rural, walked)
    assert bound <= least_walk(network, one_step=False) <= cost


@settings(max_examples=40, deadline=None)
@given(network=ring_networks(most=5, beside=True), close=st.integers(0, 5))
def test_no_more_is_left_open_than_was_asked(network: RingNetwork, close: int) -> None:
    rural = rural_of(network)
    walked = every_walk(rural)
    if not rural.joined(walked) or not rural.even(walked):
        return
    cost, bound = refined(rural, walked, 1000 * close)
    # half a step's worth is not cut for
    assert cost - bound <= 1000 * close + 500 * rural.pieces


def test_refining_can_be_stopped() -> None:
    def stop(_name: str, _done: int, _total: int) -> None:
        raise KeyboardInterrupt

    rural = rural_of(passed_between(across=2))
    with pytest.raises(KeyboardInterrupt):
        refine(
            rural,
            all_rings(rural),
            every_walk(rural),
            parted=2,
            guide=lambda _parted, _walked: [],
            close=0,
            work=10**6,
            step=stop,
        )
