"""Rural postman networks of a published set, with their published optima.

A. Corberan, I. Plana, J. M. Sanchis: A branch and cut algorithm for the windy general routing
problem and special cases, Networks 49, 2007. Their sets UR500, UR750 and UR1000 are 36
networks of 298 to 1000 places and 597 to 3083 edges, the required ones in up to 204 pieces.
The files in ``rural/`` hold five: of each set the one with the most pieces, and two more. The
optima count the required edges in. The planner was not tuned on them.
"""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import numpy as np
import pytest

from loftline.runs import Walks
from support_postman import Net, walked_cost

PUBLISHED = {"ur532": 17277, "ur535": 23635, "ur542": 17830, "ur732": 21114, "ur132": 23913}
"""Optimum of each."""

SIZES = {
    "ur532": (298, 206, 391, 99),
    "ur542": (343, 268, 594, 85),
    "ur732": (452, 321, 594, 140),
    "ur132": (605, 411, 711, 204),
}
"""Nodes, required and other edges, and pieces, as published with them."""

MEAN, WORST = 0.005, 0.02
"""Gaps to the optimum, in parts of it, that are the aim."""


def read(name: str) -> Net:
    table = np.loadtxt(Path(__file__).parent / "rural" / f"{name}.csv", np.int64, delimiter=",")
    start, end, cost, required = table.T
    return Net(u=start, v=end, cost=cost.astype(float), required=required == 1)


@pytest.fixture(scope="module")
def planned() -> dict[str, Walks]:
    return {name: read(name).plan() for name in PUBLISHED}


def gap(name: str, walks: Walks) -> float:
    return (walks.cost - PUBLISHED[name]) / PUBLISHED[name]


@pytest.mark.parametrize("name", SIZES)
def test_the_files_hold_what_was_published(name: str) -> None:
    net = read(name)
    sewn: nx.Graph[int] = nx.Graph(
        list(zip(net.u[net.required].tolist(), net.v[net.required].tolist(), strict=True))
    )
    found = (
        len(np.unique([net.u, net.v])),
        int(net.required.sum()),
        int((~net.required).sum()),
        nx.number_connected_components(sewn),
    )
    assert found == SIZES[name]


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_optimum_lies_between_bound_and_cost(name: str, planned: dict[str, Walks]) -> None:
    walks = planned[name]
    assert walks.least_cost <= PUBLISHED[name] <= walks.cost
    if walks.optimal:
        assert walks.cost == PUBLISHED[name]


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_walk_costs_what_it_says(name: str, planned: dict[str, Walks]) -> None:
    assert planned[name].cost == walked_cost(read(name), planned[name], None)


def test_no_cost_is_far_from_the_optimum(planned: dict[str, Walks]) -> None:
    gaps = [gap(name, walks) for name, walks in planned.items()]
    assert max(gaps) <= WORST
    assert sum(gaps) / len(gaps) <= MEAN


@pytest.mark.nightly
@pytest.mark.parametrize("name", ["ur532", "ur535", "ur542"])
def test_with_patience_the_optimum_is_found_and_proved(name: str) -> None:
    walks = read(name).plan(effort=30.0)
    assert walks.optimal
    assert walks.cost == PUBLISHED[name]
