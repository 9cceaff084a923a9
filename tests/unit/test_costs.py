"""What travel, thread cuts and turns cost, and how the prices rule the plan."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.runs import BY_HAND, BY_MACHINE, costs_of
from loftline.runs.laying import ends_of
from loftline.values import Plan

PANEL = {"shape": "rectangle", "width": 300, "height": 180}
LEVEL = {"pattern": "channel", "angle": 0, "spacing": 20}
MIDDLE = {"name": "k", "shape": "circle", "diameter": 50, "at": [150, 90]}
HAND = {"guided": "hand"}


def plan_of(**tables: Any) -> Plan:  # noqa: ANN401 - tables
    document = {"format": 1, "name": "x", "panel": PANEL, "fills": [LEVEL], **tables}
    return make_plan(parse_project(document))


def ends_inside(plan: Plan) -> int:
    """Run ends that lie farther inside the panel than lines run off."""
    network, runs = plan.network, plan.runs
    count = 0
    for a, b in zip(runs.starts[:-1], runs.starts[1:], strict=True):
        for node in ends_of(network, (runs.edges[a:b], runs.forward[a:b])):
            x, y = network.nodes[node]
            count += bool(0 < x < 300 and 0 < y < 180)
    return count


def test_prices_follow_who_guides_the_panel() -> None:
    project = parse_project({"panel": PANEL, "fills": [LEVEL]})
    by_hand = parse_project({"panel": PANEL, "fills": [LEVEL], "machine": HAND})
    assert costs_of(project) == BY_MACHINE
    assert costs_of(by_hand) == BY_HAND


def test_by_hand_a_cut_off_the_edge_is_cheap_one_inside_dear_and_turns_count() -> None:
    # reference 35c: off the edge no tie is needed, inside the ends are knotted and buried
    assert BY_HAND.cut < BY_MACHINE.cut < BY_MACHINE.cut_inside < BY_HAND.cut_inside
    assert BY_HAND.turn > BY_MACHINE.turn == 0


def test_a_dearer_cut_means_one_inside_too() -> None:
    project = parse_project({"panel": PANEL, "fills": [LEVEL], "costs": {"cut": 700}})
    assert costs_of(project).cut_inside == 700


def test_a_walking_foot_shuts_the_ways_round_keep_outs() -> None:
    walking = plan_of(keep_outs=[MIDDLE], machine={**HAND, "foot_kind": "walking foot"})
    free = plan_of(keep_outs=[MIDDLE], machine={**HAND, "foot_kind": "free-motion foot"})
    assert walking.runs.parts["keep_out"] == 0
    assert free.runs.parts["keep_out"] > 0


def test_cheap_travel_joins_what_dear_travel_cuts() -> None:
    # 8 gaps of 20 mm, at 0.5 a millimetre 10 each, at 10 a millimetre 200: more than a cut
    cheap, dear = plan_of(), plan_of(costs={"edge": 10})
    assert (cheap.report.runs, dear.report.runs) == (1, 9)
    assert cheap.runs.cost == pytest.approx(80)
    assert dear.runs.cost == pytest.approx(8 * 120)


def test_runs_end_at_the_edge_where_that_is_all_the_difference() -> None:
    plan = plan_of(keep_outs=[MIDDLE], costs={"keep_out": 500, "edge": 500})
    alike = {"keep_out": 500, "edge": 500, "cut": 120, "cut_inside": 5000}
    dear = plan_of(keep_outs=[MIDDLE], costs={**alike, "double": 5})
    # every line by itself, ends inside and all; then a line is rather sewn back to the edge
    assert ends_inside(plan) > 0
    assert ends_inside(dear) == 0
    assert dear.runs.parts["double"] > 0


@pytest.mark.parametrize("order", ["least cost", "one way", "centre out"])
@pytest.mark.parametrize("machine", [{}, HAND])
def test_the_parts_of_the_cost_add_up_to_it(order: str, machine: dict[str, Any]) -> None:
    report = plan_of(keep_outs=[MIDDLE], quilting={"order": order}, machine=machine).report
    assert sum(mm for part, mm in report.cost_parts.items() if part != "turns") == pytest.approx(
        report.cost
    )
    assert report.cost_parts["turns"] == (20 * report.turns if machine else 0)


def test_a_run_end_inside_is_no_thread_cut() -> None:
    plan = plan_of(keep_outs=[MIDDLE], costs={"keep_out": 500, "edge": 500})
    assert plan.runs.parts["cuts"] == pytest.approx(120 * plan.report.cuts)
    # an end inside is 2 mm dearer than one at the edge
    assert plan.runs.parts["inside"] == pytest.approx(2 * ends_inside(plan))
    assert plan.runs.ends_inside == ends_inside(plan)


def test_dear_turns_are_saved_by_cutting() -> None:
    # two turns at each of 8 gaps: dearer than a cut, which needs none
    plan = plan_of(machine=HAND, costs={"turn": 80})
    usual = plan_of(machine=HAND)
    assert (usual.report.runs, usual.report.turns) == (1, 16)
    assert (plan.report.runs, plan.report.turns) == (9, 0)
    # the cost is that of sewing alone, and no longer the least
    assert plan.runs.cost == pytest.approx(800)
    assert plan.runs.least_cost == pytest.approx(usual.runs.cost) == pytest.approx(80)
    assert not plan.runs.optimal


def test_ends_at_the_edge_are_those_within_reach_of_its_way() -> None:
    plan = plan_of(keep_outs=[MIDDLE], machine=HAND)
    network = plan.network
    assert network.end_cost is not None
    on_edge = (
        (network.nodes < -1).any(axis=1) | (network.nodes[:, 0] > 301) | (network.nodes[:, 1] > 181)
    )
    assert np.array_equal(network.end_cost == BY_HAND.cut / 2, on_edge)


def test_an_end_on_the_edge_is_cheap_where_there_is_no_travel_too() -> None:
    plan = plan_of(machine=HAND, quilting={"edge": "none"})
    assert plan.report.runs == 9
    assert plan.runs.cost == pytest.approx(8 * BY_HAND.cut)


def test_an_end_beside_a_closed_fold_lies_inside() -> None:
    fold = {"name": "middle", "from": [150, 0], "to": [150, 180], "closed_to": "both"}
    plan = plan_of(machine=HAND, panel={**PANEL, "folds": [fold]}, quilting={"order": "one way"})
    network = plan.network
    assert network.end_cost is not None
    beside_fold = np.abs(network.nodes[:, 0] - 150) < 20
    on_edge = (network.nodes < -1).any(axis=1) | (network.nodes > (301, 181)).any(axis=1)
    inside = beside_fold & ~on_edge
    assert inside.any()
    assert (network.end_cost[inside] == BY_HAND.cut_inside / 2).all()
