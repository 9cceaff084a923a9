"""The sweep over narrow networks, against an integer programme, closed forms and the relaxation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import Cancelled, does_nothing
from loftline.runs import sweep as sweeping
from loftline.runs.fronts import Front, Stage, find_front
from loftline.runs.proof import UNKNOWN
from loftline.runs.relaxation import Relaxation
from loftline.runs.rural import Rural
from loftline.runs.starts import tree_walk
from loftline.runs.sweep import Prices, Swept, sweep
from loftline.runs.task import Task
from loftline.values import Floats
from support_postman import Net, least, neighbours, nets, street_grid

ALL = 10_000_000


def task_of(net: Net, end: float | None) -> Task:
    ends = None if end is None else np.full(net.nodes, end)
    return Task(net.u, net.v, net.cost, net.required, ends, None)


def front_of(rural: Rural) -> Front:
    front = find_front(rural)
    assert front is not None
    return front


def swept(
    rural: Rural, known: int = UNKNOWN, work: int = ALL, prices: Prices | None = None
) -> Swept:
    return sweep(rural, front_of(rural), known, prices=prices, work=work, step=does_nothing)


def optimum(net: Net, end: float | None) -> int:
    """Thousandths besides the required edges, by the tests' integer programme."""
    found = least(net, None if end is None else np.full(net.nodes, end))
    assert found is not None
    return round(1000 * (found - float(net.cost[net.required].sum())))


def ladder(rungs: int, gap: float, length: float) -> Net:
    """Required rungs side by side, two rails of optional edges."""
    k = np.arange(rungs - 1)
    u = np.concatenate([2 * np.arange(rungs), 2 * k, 2 * k + 1])
    v = np.concatenate([2 * np.arange(rungs) + 1, 2 * k + 2, 2 * k + 3])
    cost = np.concatenate([np.full(rungs, length), np.full(2 * (rungs - 1), gap)])
    return Net(u=u, v=v, cost=cost, required=np.arange(len(u)) < rungs)


@settings(max_examples=60, deadline=None)
@given(net=nets(), end=st.sampled_from([None, 2.0, 7.0]))
def test_a_sweep_finds_the_least(net: Net, end: float | None) -> None:
    rural = task_of(net, end).rural()
    if rural.pieces < 2 or find_front(rural) is None:
        return
    found = swept(rural)
    assert found.walked is not None
    assert rural.even(found.walked)
    assert rural.joined(found.walked)
    assert found.bound == int(rural.cost @ found.walked) == optimum(net, end)


@pytest.mark.parametrize("end", [None, 4.0])
def test_a_sweep_finds_the_least_of_a_street_grid(end: float | None) -> None:
    net = street_grid(6, 6, 0.35, 1)
    assert swept(task_of(net, end).rural()).bound == optimum(net, end)


@pytest.mark.parametrize("rungs", [8, 400])
def test_the_ladder_with_cuts_costs_what_it_must(rungs: int) -> None:
    # one run up and down the rungs: a cut and a gap between each two
    rural = task_of(ladder(rungs, 8.5, 100.0), 36.0).rural()
    assert swept(rural).bound == 1000 * 72 + 8500 * (rungs - 1)


@pytest.mark.parametrize(("rungs", "more"), [(6, 0.0), (7, 100.0), (400, 0.0)])
def test_the_closed_ladder_costs_what_it_must(rungs: int, more: float) -> None:
    rural = task_of(ladder(rungs, 8.5, 100.0), None).rural()
    assert swept(rural).bound == 1000 * (2 * (rungs - 1) * 8.5 + more)


def test_what_is_known_to_be_the_least_is_proved() -> None:
    net = street_grid(6, 6, 0.35, 1)
    found = swept(task_of(net, 4.0).rural(), known=optimum(net, 4.0))
    assert found.walked is None
    assert found.bound == optimum(net, 4.0)


def few_states(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweeping, "_FIRST", 3)


@pytest.mark.parametrize("work", [1, 300, 1000])
def test_a_sweep_that_ends_early_is_honest(work: int, monkeypatch: pytest.MonkeyPatch) -> None:
    few_states(monkeypatch)
    net = street_grid(6, 6, 0.35, 1)
    rural = task_of(net, 4.0).rural()
    found = swept(rural, work=work)
    assert found.bound < optimum(net, 4.0)
    if found.walked is not None:
        assert rural.even(found.walked)
        assert rural.joined(found.walked)
        assert int(rural.cost @ found.walked) >= optimum(net, 4.0)


def test_wider_sweeps_close_what_a_narrow_one_leaves_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few_states(monkeypatch)
    net = street_grid(6, 6, 0.35, 1)
    assert swept(task_of(net, 4.0).rural()).bound == optimum(net, 4.0)


def relaxed(rural: Rural, rounds: int) -> Relaxation:
    relaxation = Relaxation(rural)
    for _ in range(rounds):
        if not relaxation.settled:
            relaxation.tighten(float(UNKNOWN))
    return relaxation


@pytest.mark.parametrize("rounds", [1, 6, 40])
def test_the_prices_of_cuts_bound_every_walk(rounds: int) -> None:
    rural = task_of(neighbours(40, 0.35, 3), 30.0).rural()
    prices = relaxed(rural, rounds).prices
    rng = np.random.default_rng(0)
    for _ in range(30):
        walked = tree_walk(rural, rural.cost * (1 + 3 * rng.random(len(rural.cost))))
        assert walked is not None
        price = prices.once @ (walked > 0) + prices.again @ (walked > 1) + prices.base
        assert price <= rural.cost @ walked + 0.01


@pytest.mark.parametrize("net", [street_grid(6, 6, 0.35, 1), neighbours(40, 0.35, 3)])
@pytest.mark.parametrize("end", [None, 4.0])
def test_the_prices_of_cuts_leave_the_least_where_it_is(net: Net, end: float | None) -> None:
    rural = task_of(net, end).rural()
    assert swept(rural, prices=relaxed(rural, 40).prices).bound == optimum(net, end)


def test_the_prices_of_cuts_leave_fewer_states(monkeypatch: pytest.MonkeyPatch) -> None:
    net = street_grid(6, 6, 0.35, 1)
    rural = task_of(net, 4.0).rural()
    looked_at = []
    go_over = sweeping._States.go_over

    def counted(states: sweeping._States, stage: Stage, rest: Floats) -> int:
        looked_at.append(go_over(states, stage, rest))
        return looked_at[-1]

    monkeypatch.setattr(sweeping._States, "go_over", counted)
    known = optimum(net, 4.0) + 1
    swept(rural, known=known)
    plain = sum(looked_at)
    looked_at.clear()
    swept(rural, known=known, prices=relaxed(rural, 40).prices)
    assert sum(looked_at) < plain / 2


def test_prices_that_are_too_high_are_not_believed_by_these_tests() -> None:
    # what the tests above rest on: wrong prices give a wrong answer
    net = street_grid(6, 6, 0.35, 1)
    rural = task_of(net, 4.0).rural()
    prices = relaxed(rural, 40).prices
    wrong = replace(prices, base=prices.base + 1000.0)
    known = optimum(net, 4.0) + 1000
    assert swept(rural, known=known, prices=wrong).bound > optimum(net, 4.0)


@pytest.mark.parametrize("end", [None, 4.0])
def test_a_front_goes_over_every_edge_once(end: float | None) -> None:
    rural = task_of(street_grid(6, 6, 0.35, 1), end).rural()
    edges = [stage.edge for stage in front_of(rural).stages]
    assert sorted(edges) == list(range(len(rural.u)))


def test_channels_have_a_narrow_front_at_any_size() -> None:
    front = front_of(task_of(ladder(1000, 8.5, 100.0), 36.0).rural())
    assert (front.nodes, front.spots) == (3, 3)


def test_a_wide_network_has_no_front() -> None:
    assert find_front(task_of(street_grid(30, 30, 0.35, 1), None).rural()) is None


def test_a_sweep_can_be_stopped() -> None:
    rural = task_of(ladder(400, 8.5, 100.0), 36.0).rural()
    calls = 0

    def stop(name: str, done: int, total: int) -> None:
        nonlocal calls
        assert name == "joining"
        assert 0 <= done <= total
        calls += 1
        if calls == 3:
            raise Cancelled

    with pytest.raises(Cancelled):
        sweep(rural, front_of(rural), UNKNOWN, work=ALL, step=stop)
    assert calls == 3


def test_little_is_done_between_two_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    # counted in states: some five million are looked at in a second
    rural = task_of(street_grid(7, 7, 0.35, 1), 4.0).rural()
    since, most = 0, 0
    go_over = sweeping._States.go_over

    def counted(states: sweeping._States, stage: Stage, rest: Floats) -> int:
        nonlocal since, most
        here = go_over(states, stage, rest)
        since += here
        most = max(most, since)
        return here

    def told(name: str, done: int, total: int) -> None:
        nonlocal since
        assert name == "joining"
        assert 0 <= done <= total
        since = 0

    monkeypatch.setattr(sweeping._States, "go_over", counted)
    sweep(rural, front_of(rural), UNKNOWN, work=200_000, step=told)
    assert 0 < most < 100_000
