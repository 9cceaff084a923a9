"""The parts of the proof: cuts, flows, regions, the smallest form of a task."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from loftline.errors import Cancelled, does_nothing
from loftline.runs.connected import components
from loftline.runs.cuts import broken_clusters, broken_joins, broken_odds, first_cuts
from loftline.runs.flows import Flows
from loftline.runs.proof import UNKNOWN, prove
from loftline.runs.regions import around
from loftline.runs.relaxation import Relaxation
from loftline.runs.rural import Rural, make_rural
from loftline.runs.starts import tree_walk
from loftline.runs.task import Task
from support_postman import Net, four_a_node, neighbours, street_grid

NETS = [street_grid(7, 7, 0.35, 1), four_a_node(50, 0.3, 2), neighbours(60, 0.35, 3)]


def rural_of(net: Net, end: float | None = None) -> Rural:
    n = net.nodes
    needed = net.required
    degree = np.bincount(np.concatenate([net.u[needed], net.v[needed]]), minlength=n)
    label = components(n, net.u[needed], net.v[needed])
    piece = np.full(n, -1)
    piece[degree > 0] = np.unique(label[degree > 0], return_inverse=True)[1]
    ends = None if end is None else np.full(n, round(end * 1000))
    cost = np.rint(net.cost * 1000).astype(np.int64)
    return make_rural(net.u, net.v, cost, degree % 2 == 1, piece, ends)


def columns_of(rural: Rural, walked: np.ndarray) -> np.ndarray:
    """A walk by columns: first walks first."""
    twin = np.arange(len(rural.column)) >= len(rural.u)
    return (walked[rural.column] > twin).astype(float)


@pytest.mark.parametrize("net", NETS)
@pytest.mark.parametrize("end", [None, 30.0])
def test_no_cut_cuts_off_a_walk(net: Net, end: float | None) -> None:
    # cuts that were found on the way to the optimum hold for quite other walks too
    rural = rural_of(net, end)
    relaxation = Relaxation(rural)
    for _ in range(8):
        if not relaxation.settled:
            relaxation.tighten(float(UNKNOWN))
    rng = np.random.default_rng(0)
    for _ in range(20):
        walked = tree_walk(rural, rural.cost * (1 + 3 * rng.random(len(rural.cost))))
        assert walked is not None
        assert rural.even(walked)
        assert rural.joined(walked)
        fulfilled = relaxation.sign @ columns_of(rural, walked)
        assert (fulfilled >= relaxation.least).all()


@pytest.mark.parametrize("net", NETS)
def test_what_is_called_broken_is(net: Net) -> None:
    rural = rural_of(net)
    rng = np.random.default_rng(1)
    for most, sparse in ((0.3, 1.0), (1.0, 0.4)):
        few = rng.random(len(rural.column)) < sparse
        x = most * rng.random(len(rural.column)) * few
        for find in (broken_clusters, broken_joins, broken_odds):
            cuts = find(rural, x)
            assert len(cuts) > 0 or sparse < 1
            assert (cuts.sign @ x < cuts.least).all()


def test_no_cut_is_broken_by_the_best_walk() -> None:
    rural = rural_of(NETS[0])
    best = prove(rural, UNKNOWN, effort=1.0, seed=0, step=does_nothing)
    assert best.walked is not None
    x = columns_of(rural, best.walked)
    for find in (broken_clusters, broken_joins, broken_odds):
        assert len(find(rural, x)) == 0
    cuts = first_cuts(rural)
    assert (cuts.sign @ x >= cuts.least).all()


def test_flows_agree_with_networkx() -> None:
    rng = np.random.default_rng(4)
    graph = nx.gnm_random_graph(14, 30, seed=4)
    ends = np.array(list(graph.edges))
    capacity = rng.random(len(ends))
    for (a, b), c in zip(ends.tolist(), capacity.tolist(), strict=True):
        graph[a][b]["capacity"] = c
    flows = Flows(14, ends[:, 0], ends[:, 1], capacity)
    seen = set()
    for s in range(14):
        for t in range(s):
            value = nx.maximum_flow_value(graph, s, t)
            side = flows.parted(s, t, 1.0)
            seen.add(side is None)
            assert (side is None) == (value >= 1.0)
            if side is not None:
                assert side[t]
                assert not side[s]
                across = side[ends[:, 0]] != side[ends[:, 1]]
                assert capacity[across].sum() == pytest.approx(value)
    assert seen == {True, False}


def test_a_region_put_back_is_a_walk_no_dearer() -> None:
    rural = rural_of(neighbours(150, 0.35, 8))
    walked = tree_walk(rural, rural.cost.astype(float))
    assert walked is not None
    gained = 0
    for node in range(0, 150, 10):
        region = around(rural, walked, node, 40)
        if region is None:
            continue
        found = prove(region.rural, region.cost, effort=0.1, seed=0, step=does_nothing)
        if found.walked is None:
            continue
        better = region.put_back(walked, found.walked)
        assert rural.even(better)
        assert rural.joined(better)
        assert rural.cost @ better - rural.cost @ walked == found.cost - region.cost
        gained += region.cost - found.cost
        walked = better
    assert gained > 0


def test_edges_dearer_than_a_way_round_are_left_out() -> None:
    # 0-1 is required; 0-2 costs 9, by 1 it costs 4; a dead end 2-3; 1-2 twice, 3 and 5
    u, v = np.array([0, 0, 1, 1, 2]), np.array([1, 2, 2, 2, 3])
    piece = np.array([0, 0, 1, -1])
    rural = make_rural(
        u, v, np.array([1, 9, 5, 3, 1]), np.array([True, True, False, False]), piece, None
    )
    assert sorted(rural.origin.tolist()) == [0, 3]


def test_a_known_cost_between_two_of_its_own_hides_no_better_walk() -> None:
    # a ring at 0 and a way for nothing to 1, where an end costs 7 against 8 here: walks of the
    # smallest form cost whole sevens, the plan that is known 16, and 14 is to be had
    net = Net(
        u=np.array([0, 0]),
        v=np.array([0, 1]),
        cost=np.array([5.0, 0.0]),
        required=np.array([True, False]),
    )
    ends = np.array([8.0, 7.0])
    rural = Task(net.u, net.v, net.cost, net.required, ends, None).rural()
    assert prove(rural, 16_000, effort=1.0, seed=0, step=does_nothing).cost == 14_000
    assert net.plan(ends=ends).cost == pytest.approx(5 + 14)


def test_proving_can_be_stopped() -> None:
    rural = rural_of(neighbours(60, 0.35, 3))
    calls = 0

    def stop(name: str, done: int, total: int) -> None:
        nonlocal calls
        assert 0 <= done <= total
        assert name in {"joining", "proving"}
        calls += 1
        if calls == 4:
            raise Cancelled

    with pytest.raises(Cancelled):
        prove(rural, UNKNOWN, effort=1.0, seed=0, step=stop)
    assert calls == 4
