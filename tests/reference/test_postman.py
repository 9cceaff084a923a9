"""Postman tours with published or closed-form answers."""

from __future__ import annotations

import doctest
from collections.abc import Sequence
from pathlib import Path

import networkx as nx
import numpy as np
import pytest

from loftline.runs import Walks, plan_network

Edge = tuple[int, int, float]


def solve(
    edges: Sequence[Edge], required: Sequence[bool] | None = None, cut: float | None = None
) -> Walks:
    """Plan, and see for oneself that the walks are walks, sew all and cost what is said."""
    ends = np.array([(a, b) for a, b, _ in edges])
    cost = np.array([c for _, _, c in edges], float)
    must = np.ones(len(edges), bool) if required is None else np.array(required)
    answer = plan_network(ends[:, 0], ends[:, 1], cost, must, cut)
    sewn = np.zeros(len(edges), int)
    for walk, directions in zip(answer.walks, answer.directions, strict=True):
        here = None
        for edge, forward in zip(walk, directions, strict=True):
            a, b = ends[edge] if forward else ends[edge][::-1]
            assert here is None or here == a
            here = b
            sewn[edge] += 1
    assert (sewn[must] >= 1).all()
    total = float(cost @ sewn) + (cut or 0.0) * len(answer.walks)
    assert answer.cost == pytest.approx(total, abs=1e-6)
    assert answer.least_cost <= answer.cost + 1e-6
    if cut is None:
        assert len(answer.walks) == 1
        walk, directions = answer.walks[0], answer.directions[0]
        start = ends[walk[0]][0 if directions[0] else 1]
        end = ends[walk[-1]][1 if directions[-1] else 0]
        assert start == end
    return answer


def lettered(text: str) -> list[Edge]:
    """Edges written as ``AB5``."""
    return [(ord(t[0]) - 65, ord(t[1]) - 65, float(t[2:])) for t in text.split()]


PUBLISHED = [
    # Euler 1736, the seven bridges of Koenigsberg: two must be walked twice
    ("AB1 AB1 AC1 AC1 AD1 BD1 CD1", 9),
    # the same with lengths: README of the PyPI package postman-problems
    ("AB3 AB5 AC2 AC10 AD1 BD9 CD3", 39),
    # worked example, github Hanseeka-Dhingana/Sem-7, 01-graph-theory/chinese-postman.md
    ("AB5 AC9 AD6 BC5 CD4 CF18 DE7 EF4 FG6 GH7 FH12 EH10", 109),
    # github LLaMas-TM/ChinesePostmanProblem, tests.py: three networks
    ("BC4 BD3 BF10 CD2 CE3 DE3 EF9", 40),
    ("AB3 BC4 CD5 DA2 AC1", 16),
    ("BC8 BF4 BI3 CD9 CH6 DE5 DG3 EF5 EG1 FG2 FH3 HI1", 64),
]


@pytest.mark.parametrize(("text", "expected"), PUBLISHED)
def test_published_tours(text: str, expected: float) -> None:
    answer = solve(lettered(text))
    assert answer.cost == pytest.approx(expected)
    assert answer.optimal


CLASSICAL = [
    # cubic graphs with a perfect matching: every second edge end once more, m + n / 2
    (nx.tetrahedral_graph(), 8),
    (nx.cubical_graph(), 16),
    (nx.petersen_graph(), 20),
    (nx.dodecahedral_graph(), 40),
    # five edges at each of 12 nodes: 30 + 6; four at each of 6: Eulerian
    (nx.icosahedral_graph(), 36),
    (nx.octahedral_graph(), 12),
    # street grids, counted by hand
    (nx.grid_2d_graph(2, 3), 8),
    (nx.grid_2d_graph(3, 3), 16),
    (nx.grid_2d_graph(3, 4), 22),
    (nx.grid_2d_graph(4, 4), 28),
]


@pytest.mark.parametrize(("graph", "expected"), CLASSICAL)
def test_classical_graphs(graph: nx.Graph[object], expected: float) -> None:
    plain = nx.convert_node_labels_to_integers(graph)
    answer = solve([(a, b, 1.0) for a, b in plain.edges])
    assert answer.cost == expected
    assert answer.optimal


def ladder(rungs: int, length: float, gap: float) -> tuple[list[Edge], list[bool]]:
    """Rungs that must be sewn, rails that may be."""
    edges: list[Edge] = [(2 * k, 2 * k + 1, length) for k in range(rungs)]
    for k in range(rungs - 1):
        edges += [(2 * k, 2 * k + 2, gap), (2 * k + 1, 2 * k + 3, gap)]
    return edges, [True] * rungs + [False] * 2 * (rungs - 1)


@pytest.mark.parametrize(("rungs", "expected"), [(2, 22), (3, 44), (4, 46), (5, 68), (6, 70)])
def test_ladder_closed(rungs: int, expected: float) -> None:
    # closed form: k L + 2 (k - 1) g for even k, one L more for odd k; rungs lie apart, so a
    # T-join alone leaves several tours
    edges, required = ladder(rungs, 10, 1)
    assert solve(edges, required).cost == pytest.approx(expected)


@pytest.mark.parametrize("gap", [8.5, 100.0])
@pytest.mark.parametrize("rungs", [1, 2, 3, 5, 8])
def test_ladder_with_cuts(rungs: int, gap: float) -> None:
    # closed form: one run, and each gap is sewn or cut, whichever is cheaper
    cut = 72.0
    edges, required = ladder(rungs, 10, gap)
    answer = solve(edges, required, cut)
    assert answer.cost == pytest.approx(10 * rungs + cut + (rungs - 1) * min(gap, cut))


def test_nothing_to_join_with() -> None:
    apart = [(0, 1, 1.0), (2, 3, 1.0)]
    with pytest.raises(ValueError, match="cannot be joined"):
        solve(apart)
    assert len(solve(apart, cut=5.0).walks) == 2


@pytest.mark.parametrize(
    ("u", "v", "cost", "required", "message"),
    [
        ([0], [1], [1.0], [False], "no edge is required"),
        ([0], [1], [-1.0], [True], "at least 0"),
        ([0], [1], [np.nan], [True], "finite"),
        ([0, 1], [1], [1.0], [True], "one length"),
        ([-1], [1], [1.0], [True], "numbered from 0"),
    ],
)
def test_bad_networks(
    u: list[int], v: list[int], cost: list[float], required: list[bool], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        plan_network(np.array(u), np.array(v), np.array(cost), np.array(required))


def test_the_example_in_the_docs_is_true() -> None:
    page = Path(__file__).parents[2] / "docs" / "runs.md"
    found = doctest.testfile(str(page), module_relative=False)
    assert found.attempted > 0
    assert found.failed == 0
