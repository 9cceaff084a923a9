"""Promises of the run planner over random networks, against an integer programme."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from loftline.runs import plan_network
from loftline.runs.proof import prove
from loftline.runs.rural import make_rural
from support_postman import Net, least, nets, odd_nets, walked_cost


def _check(net: Net, cut: float | None, ends: np.ndarray | None) -> None:
    priced = np.full(net.nodes, cut / 2) if ends is None and cut is not None else ends
    walks = net.plan(cut, ends)
    wanted = least(net, priced)
    assert wanted is not None
    assert walks.cost == pytest.approx(walked_cost(net, walks, priced), abs=1e-6)
    assert walks.least_cost <= walks.cost
    # small networks are all closed
    assert walks.optimal
    assert walks.cost == pytest.approx(wanted, abs=1e-6)
    assert walks.least_cost == walks.cost


@settings(max_examples=60, deadline=None)
@given(net=nets())
def test_closed_tours_are_the_least(net: Net) -> None:
    _check(net, None, None)


@settings(max_examples=60, deadline=None)
@given(net=nets(), cut=st.integers(1, 30))
def test_runs_are_the_least(net: Net, cut: int) -> None:
    _check(net, float(cut), None)


@settings(max_examples=60, deadline=None)
@given(net=nets(), data=st.data())
def test_runs_are_the_least_where_ends_differ(net: Net, data: st.DataObject) -> None:
    ends = data.draw(
        st.lists(st.integers(1, 20), min_size=net.nodes, max_size=net.nodes), label="ends"
    )
    _check(net, None, np.array(ends, float))


@settings(max_examples=60, deadline=None)
@given(net=odd_nets(), data=st.data())
def test_networks_of_any_kind_are_planned_as_well_as_they_can_be(
    net: Net, data: st.DataObject
) -> None:
    price = st.sampled_from([1, 2, 7, 40, 3000])
    ends = data.draw(
        st.none() | st.lists(price, min_size=net.nodes, max_size=net.nodes), label="ends"
    )
    priced = None if ends is None else np.array(ends, float)
    # pieces that nothing joins are an answer with runs, and none without
    if least(net, priced) is None:
        assert ends is None
        with pytest.raises(ValueError, match="cannot be joined"):
            net.plan()
        return
    _check(net, None, priced)


@settings(max_examples=30, deadline=None)
@given(net=nets(), data=st.data())
def test_what_may_be_sewn_once_only_is_sewn_once(net: Net, data: st.DataObject) -> None:
    m = len(net.u)
    barred = np.array(data.draw(st.lists(st.booleans(), min_size=m, max_size=m), label="once"))
    barred &= net.required
    cut = float(data.draw(st.integers(1, 30), label="cut"))
    ends = np.full(net.nodes, cut / 2)
    walks = plan_network(net.u, net.v, net.cost, net.required, cut, once=barred)
    sewn = np.bincount(np.concatenate(walks.walks), minlength=m)
    assert (sewn[barred] == 1).all()
    assert walks.cost == pytest.approx(walked_cost(net, walks, ends), abs=1e-6)
    assert walks.cost == pytest.approx(least(net, ends, barred), abs=1e-6)
    assert walks.optimal


@settings(max_examples=25, deadline=None)
@given(net=nets(), cut=st.integers(1, 30))
def test_without_effort_the_bound_still_holds(net: Net, cut: int) -> None:
    walks = net.plan(float(cut), effort=0.0)
    wanted = least(net, np.full(net.nodes, cut / 2))
    assert wanted is not None
    assert walks.least_cost <= wanted + 1e-6
    assert walks.cost >= wanted - 1e-6
    if walks.optimal:
        assert walks.cost == pytest.approx(wanted, abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(net=nets(14), seed=st.integers(0, 5))
def test_the_same_seed_gives_the_same_walks(net: Net, seed: int) -> None:
    one, other = net.plan(9.0, seed=seed), net.plan(9.0, seed=seed)
    assert one == other


@settings(max_examples=25, deadline=None)
@given(net=nets(14), rounds=st.integers(1, 4))
def test_a_proof_cut_short_claims_no_more_than_is_true(net: Net, rounds: int) -> None:
    n = net.nodes
    degree = np.bincount(np.concatenate([net.u[net.required], net.v[net.required]]), minlength=n)
    graph: nx.Graph[int] = nx.Graph(
        list(zip(net.u[net.required].tolist(), net.v[net.required].tolist(), strict=True))
    )
    piece = np.full(n, -1)
    for k, part in enumerate(nx.connected_components(graph)):
        piece[list(part)] = k
    whole = np.rint(net.cost * 1000).astype(np.int64)
    rural = make_rural(net.u, net.v, whole, degree % 2 == 1, piece, None)
    effort = rounds * max(1, len(rural.u)) / 400_000
    found = prove(rural, 1 << 50, effort=effort, seed=0, step=lambda *_: None)
    wanted = least(net, None)
    assert wanted is not None
    extra = wanted - float(net.cost[net.required].sum())
    assert found.bound <= extra * 1000 + 1e-3
    assert found.cost >= extra * 1000 - 1e-3
