"""The bound of rings and of what lies beside them, each by itself and added up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from loftline.errors import does_nothing
from loftline.runs import plan_network
from loftline.runs.apart import least_apart
from loftline.runs.nesting import inner_rings, rings_of
from loftline.runs.proof import UNKNOWN
from loftline.runs.task import Task
from support_rings import RingNetwork, least_walk, ring_networks


def bound_of(network: RingNetwork) -> int:
    task = Task(
        network.u, network.v, network.cost / 1000, network.required, network.end / 1000, None
    )
    rural = task.rural()
    inner = inner_rings(rural, rings_of(rural))
    return least_apart(task, rural, inner, UNKNOWN, step=does_nothing)


@settings(max_examples=80, deadline=None)
@given(network=ring_networks(beside=True))
def test_the_bound_is_no_higher_than_the_least_walk(network: RingNetwork) -> None:
    assert bound_of(network) <= least_walk(network, one_step=False)


def line_beside_rings(rings: int) -> RingNetwork:
    """An open line of three nodes, and rings of three beside each other, the first beside it."""
    u, v, cost, required = [0, 1], [1, 2], [20, 20], [True, True]
    for ring in range(rings):
        first = 3 + 3 * ring
        u += [first, first + 1, first + 2, first - 3]
        v += [first + 1, first + 2, first, first]
        cost += [50, 50, 50, 10]
        required += [True, True, True, False]
    return RingNetwork(
        u=np.array(u),
        v=np.array(v),
        cost=1000 * np.array(cost),
        required=np.array(required),
        piece=np.repeat(np.arange(rings + 1), 3),
        end=np.full(3 + 3 * rings, 60_000),
    )


def test_both_parts_are_added_up() -> None:
    # the line's own run, and the steps but the first, which is not inner: once to each inner ring
    assert bound_of(line_beside_rings(4)) >= 60_000 + 3 * 10_000


def test_a_large_network_is_told_this_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    network = line_beside_rings(12)

    def least() -> float:
        walks = plan_network(
            network.u,
            network.v,
            network.cost / 1000,
            network.required,
            120.0,
            effort=0.001,
        )
        return walks.least_cost

    monkeypatch.setattr("loftline.runs.solving._MOST_SWEPT", 0)
    monkeypatch.setattr("loftline.runs.solving._MOST_EDGES", 0)
    monkeypatch.setattr("loftline.runs.solving.join_rings", lambda *_args, **_more: None)
    told = least()
    monkeypatch.setattr("loftline.runs.solving.least_apart", lambda *_args, **_more: 0)
    assert told > least()
