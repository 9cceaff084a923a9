"""Plans that once went wrong."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.values import Kind, Plan


def plan_of(panel: dict[str, Any], fills: list[dict[str, Any]], **more: Any) -> Plan:  # noqa: ANN401 - tables
    return make_plan(
        parse_project({"format": 1, "name": "x", "panel": panel, "fills": fills} | more)
    )


def test_the_bound_holds_for_every_order() -> None:
    zone = {"name": "z", "shape": "rectangle", "at": [75, 50], "width": 80, "height": 60}
    plans = [
        plan_of(
            {"shape": "rectangle", "width": 150, "height": 100},
            [{"pattern": "channel", "angle": 0, "spacing": 20}],
            keep_outs=[zone],
            quilting={"edge": "none", "order": order},
        )
        for order in ("least cost", "fewest cuts")
    ]
    cheap, few = (plan.report for plan in plans)
    assert few.runs < cheap.runs
    assert few.least_cost <= cheap.cost < few.cost
    assert not few.optimal


def test_an_edge_beside_half_a_line_does_not_take_all_of_it() -> None:
    points = [[0, 0], [280, 0], [280, 100], [140, 100], [140, 220], [0, 220]]
    plan = plan_of(
        {"shape": "polygon", "points": points},
        [{"pattern": "channel", "angle": 90, "spacing": 28}],
    )
    at = np.unique(plan.lines.points[:, 0].round(3))
    assert np.diff(at).max() == pytest.approx(28)


def test_a_line_that_two_fills_draw_is_sewn_once() -> None:
    panel = {"shape": "rectangle", "width": 200, "height": 150}
    grid = {"pattern": "grid", "angle": 45, "spacing": 12}
    channel = {"pattern": "channel", "angle": 45, "spacing": 12}
    both, alone = plan_of(panel, [channel, grid]), plan_of(panel, [grid])
    assert both.report.length["line"] == pytest.approx(alone.report.length["line"], rel=1e-3)
    assert "lines-twice" in [finding.code for finding in both.findings]


def test_lines_through_shared_crossings_stay_even() -> None:
    points = [[0, 0], [201.7346, 0], [127.2648, 294.5612]]
    plan = plan_of(
        {"shape": "polygon", "points": points},
        [{"pattern": "grid", "angle": [30, 90, 150], "spacing": 10.303}],
    )
    xy = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    step = np.diff(xy, axis=0)
    length = np.hypot(*step.T)
    heading = np.degrees(np.arctan2(step[:, 1], step[:, 0])) % 180
    line = plan.sewn.kind[1:] == Kind.LINE
    # inside a line: both neighbours go on the same way
    same = np.abs((heading[1:] - heading[:-1] + 90) % 180 - 90) < 4
    pairs = line[1:] & line[:-1] & same
    assert pairs.sum() > 1000
    uneven = np.abs(length[1:] - length[:-1])[pairs]
    assert uneven.max() <= 0.1 * 3 + 0.15


def test_a_move_looks_only_at_what_is_in_its_way() -> None:
    rivets = [
        {
            "name": f"rivet {i}-{j}",
            "kind": "stud",
            "diameter": 9,
            "at": [30 + 45 * i, 30 + 45 * j],
            "sits": "above",
            "fitted": "before quilting",
        }
        for i in range(6)
        for j in range(6)
    ]
    plan = plan_of(
        {"shape": "rectangle", "width": 285, "height": 285},
        [{"pattern": "channel", "angle": 20, "spacing": 10}],
        hardware=rivets,
        quilting={"edge": "none"},
    )
    assert plan.clean
    assert len(plan.sewn.via)
    hard = shapely.union_all([zone.outline for zone in plan.panel.keep_outs])
    xy = np.column_stack([plan.sewn.x, plan.sewn.y])
    for run in range(1, plan.report.runs):
        first = int((plan.sewn.run == run).argmax())
        via = plan.sewn.via[plan.sewn.via_run == run]
        move = shapely.LineString(np.vstack([xy[first - 1], via, xy[first]]) / 10)
        assert not move.crosses(hard)
