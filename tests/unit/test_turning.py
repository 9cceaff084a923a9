"""Sharp turns at the ends of lines, priced apart."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.runs import plan_network
from loftline.runs.turning import count_turns, sharp_surcharge

Floats = npt.NDArray[np.float64]

# two lines, 0 and 1, end at nodes 1 and 2 of an edge along x; the edge joins these straight
# (edge 2) and the other way round over node 3 (edges 3 and 4)
U = np.array([0, 4, 1, 3, 3])
V = np.array([1, 2, 2, 1, 2])
LINE = np.array([True, True, False, False, False])


def headings(degrees: list[tuple[float, float]]) -> Floats:
    """Radians in which each edge leaves its two ends."""
    radians: Floats = np.radians(np.array(degrees)).ravel()
    return radians


# both lines leave their upper ends towards the lower right, -45 degrees: going on to the left
# (180) is a turn of 45 degrees, to the right (0) one of 135
OUT = headings([(135, -45), (135, -45), (0, 180), (0, 180), (180, 0)])


def test_the_gentlest_side_is_free_and_the_sharp_one_pays() -> None:
    found = sharp_surcharge(U, V, LINE, OUT, 8.0)
    # edge 2 leaves node 1 to the right (sharp) and node 2 to the left (gentle)
    assert found[2] == pytest.approx(8.0)
    # edge 3 reaches node 1 from the left: gentle; edge 4 leaves node 2 to the right: sharp
    assert found[3:] == pytest.approx([0.0, 8.0])


def test_sewing_back_over_the_line_is_the_sharpest() -> None:
    assert sharp_surcharge(U, V, LINE, OUT, 8.0)[0] == pytest.approx(12.0)


def test_square_to_the_edge_both_sides_are_free() -> None:
    square = headings([(90, -90), (90, -90), (0, 180), (180, 0), (180, 0)])
    assert sharp_surcharge(U, V, LINE, square, 8.0)[2:] == pytest.approx(0.0)


def taken(price: float) -> list[int]:
    """Edges of the run, with a price on sharpness."""
    # the way from 1 to the right is 10 and sharp, to the left 10.5 and gentle on both sides
    gentle = headings([(135, -45), (45, -135), (0, 180), (0, 180), (180, 0)])
    cost = np.array([50.0, 50.0, 10.0, 5.0, 5.5])
    priced = cost + sharp_surcharge(U, V, LINE, gentle, price)
    return sorted(plan_network(U, V, priced, LINE, 40.0, heading=gentle).walks[0])


def test_a_gentler_way_is_taken_where_it_costs_little() -> None:
    assert taken(0.0) == [0, 1, 2]
    assert taken(2.0) == [0, 1, 3, 4]


@pytest.mark.parametrize("fill", [{"angle": 0}, {"angle": 30}, {"pattern": "grid"}])
def test_turns_are_counted_as_the_report_counts_them(fill: dict[str, Any]) -> None:
    panel = {"shape": "rectangle", "width": 200, "height": 140}
    fills = [{"pattern": "channel", "spacing": 20, **fill}]
    plan = make_plan(parse_project({"format": 1, "panel": panel, "fills": fills}))
    runs = plan.runs
    walks = [
        (runs.edges[a:b], runs.forward[a:b]) for a, b in itertools.pairwise(runs.starts.tolist())
    ]
    assert plan.report.turns > 0
    assert count_turns(plan.network, walks) == plan.report.turns
