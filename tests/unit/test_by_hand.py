"""Guided by hand: room beside the needle, what a walking foot can do, ends without ties."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from loftline.checks import check_tight
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.values import Kind, Lines, Plan

PANEL = {"shape": "rectangle", "width": 300, "height": 180, "overhang": 20}
LEVEL = {"pattern": "channel", "angle": 0, "spacing": 20}
MIDDLE = {"name": "k", "shape": "circle", "diameter": 50, "at": [150, 90]}


def plan_of(machine: dict[str, Any], **tables: Any) -> Plan:  # noqa: ANN401 - tables
    machine = {"guided": "hand", **machine}
    document = {"format": 1, "name": "x", "panel": PANEL, "fills": [LEVEL], "machine": machine}
    return make_plan(parse_project({**document, **tables}))


def found(plan: Plan, code: str) -> list[str]:
    return [finding.message for finding in plan.findings if finding.code == code]


def curve(points: npt.NDArray[np.float64]) -> Lines:
    return Lines(
        points=points,
        starts=np.array([0, len(points)]),
        fill=np.array([0]),
        family=np.array([0]),
        angle=np.array([np.nan]),
        closed=np.array([True]),
    )


def ring(radius: float) -> Lines:
    turn = np.linspace(0, 2 * np.pi, 200)
    return curve(radius * np.column_stack([np.cos(turn), np.sin(turn)]))


def test_a_throat_with_room_for_all_of_it_says_nothing() -> None:
    # 220 mm with the overhang: from the outermost line, at 10 mm, 210 to the far side
    plan = plan_of({"throat": 210}, quilting={"order": "one way"})
    assert found(plan, "throat-too-small") == []


def test_a_throat_too_small_is_told_with_the_room_that_is_needed() -> None:
    # one way: of nine lines, at 10 to 170 mm, one side or the other grows to 190 mm
    (message,) = found(plan_of({"throat": 130}, quilting={"order": "one way"}), "throat-too-small")
    assert message.startswith("along 3 lines the panel needs up to 190 mm of room")


def test_where_the_order_leaves_it_free_the_wide_side_lies_outside() -> None:
    plan = plan_of({"throat": 130}, quilting={"order": "centre out"})
    assert found(plan, "throat-too-small") == []
    tight = plan_of({"throat": 100}, quilting={"order": "centre out"})
    (message,) = found(tight, "throat-too-small")
    # the middle line has 110 mm on both sides
    assert message.startswith("along 1 line the panel needs up to 110 mm of room")


def remedy(order: str, **machine: Any) -> str:  # noqa: ANN401 - keys of a table
    plan = plan_of({"throat": 100, **machine}, quilting={"order": order})
    (told,) = [f.remedy for f in plan.findings if f.code == "throat-too-small"]
    return told


@pytest.mark.parametrize("order", ["least cost", "alternate", "one way"])
def test_where_the_throat_is_too_small_an_order_is_named_that_needs_less(order: str) -> None:
    assert remedy(order) == 'roll up what lies there, or write order = "centre out"'
    # that order leaves one line, each of these more
    tight = plan_of({"throat": 100}, quilting={"order": order})
    (message,) = found(tight, "throat-too-small")
    assert not message.startswith("along 1 line ")


def test_a_guide_bar_at_the_left_keeps_the_wide_side_outside() -> None:
    order = "beside the last line"
    assert remedy(order) == 'roll up what lies there, or write guide_bar = "left"'
    left = plan_of({"throat": 100, "guide_bar": "left"}, quilting={"order": order})
    (message,) = found(left, "throat-too-small")
    # the middle line alone has more than half of the panel on both sides
    assert message.startswith("along 1 line ")


def test_no_other_order_is_named_where_none_needs_less() -> None:
    assert remedy("centre out") == "roll up what lies there"


def test_a_curve_tighter_than_the_walking_foot_follows_is_named() -> None:
    (finding,) = check_tight(ring(10.0), 12.0)
    assert finding.code == "too-tight-for-foot"
    assert "1 line bends tighter than the 12 mm" in finding.message
    assert finding.message.endswith("down to 10 mm")
    assert check_tight(ring(10.0), 9.5) == ()


def test_lines_are_named_by_a_place_on_each_the_worst_first() -> None:
    (finding,) = [
        f
        for f in plan_of({"throat": 130}, quilting={"order": "one way"}).findings
        if f.code == "throat-too-small"
    ]
    # straight lines have their place in the middle, 190, 170 and 150 mm from the far side
    heights = [170, 150, 130] if "(150, 170)" in finding.where else [10, 30, 50]
    told = ", ".join(f"(150, {height})" for height in heights)
    assert finding.where == f"machine.throat, lines at {told}"


def test_corners_are_turned_under_the_needle() -> None:
    square = np.array([(0, 0), (40, 0), (40, 40), (0, 40), (0, 0)], float)
    assert check_tight(curve(square), 25.0) == ()


def test_straight_lines_are_never_too_tight() -> None:
    plan = plan_of({"foot_kind": "walking foot"}, keep_outs=[MIDDLE])
    assert found(plan, "too-tight-for-foot") == []


def test_a_meander_is_no_work_for_a_walking_foot() -> None:
    meander = [{"pattern": "meander", "spacing": 15}]
    assert len(found(plan_of({"foot_kind": "walking foot"}, fills=meander), "too-tight-for-foot"))
    assert not found(
        plan_of({"foot_kind": "free-motion foot"}, fills=meander), "too-tight-for-foot"
    )


@pytest.mark.parametrize("foot", ["walking foot", "free-motion foot"])
def test_only_a_walking_foot_ties_without_going_back(foot: str) -> None:
    plan = plan_of(
        {"foot_kind": foot},
        keep_outs=[MIDDLE],
        quilting={"order": "one way"},
        costs={"keep_out": 500},
    )
    x, y = np.diff(plan.sewn.x), np.diff(plan.sewn.y)
    same = plan.sewn.run[1:] == plan.sewn.run[:-1]
    back = (x[1:] * x[:-1] + y[1:] * y[:-1] < 0) & same[1:] & same[:-1]
    ties = plan.sewn.kind == Kind.TIE
    assert ties.any()
    assert (back & ties[2:]).any() == (foot != "walking foot")


def test_small_stitches_of_a_walking_foot_lie_on_the_first_and_last_stitch() -> None:
    plan = plan_of(
        {"foot_kind": "walking foot"},
        keep_outs=[MIDDLE],
        quilting={"order": "one way", "edge": "none"},
        panel={**PANEL, "seam_allowance": 0},
    )
    for run in np.unique(plan.sewn.run).tolist():
        mine = plan.sewn.run == run
        kind = plan.sewn.kind[mine]
        step = np.hypot(np.diff(plan.sewn.x[mine]), np.diff(plan.sewn.y[mine]))
        # 6 stitches of 0.5 mm in place of one of 3 mm, at both ends
        assert kind.tolist() == [
            *[Kind.TIE] * 7,
            *[Kind.LINE] * (len(kind) - 13),
            *[Kind.TIE] * 6,
        ]
        assert np.abs(step[[*range(6), *range(-6, 0)]] - 5).max() <= 1.5


def test_by_hand_a_run_that_ends_off_the_edge_is_not_tied() -> None:
    plain = plan_of({})
    assert plain.report.runs == 1
    assert not (plain.sewn.kind == Kind.TIE).any()


def test_by_hand_a_run_that_ends_inside_is_tied() -> None:
    plan = plan_of({"foot_kind": "walking foot"}, keep_outs=[MIDDLE])
    ends = np.flatnonzero(np.diff(plan.sewn.run, prepend=-1, append=plan.report.runs) > 0)
    inside = 0
    for first, after in zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True):
        for at in (first, after - 1):
            x, y = plan.sewn.x[at] / 10, plan.sewn.y[at] / 10
            beside_zone = 10 < x < 290 and 10 < y < 170
            assert (plan.sewn.kind[at] == Kind.TIE) == beside_zone
            inside += beside_zone
    assert inside


def test_without_a_seam_allowance_nothing_catches_the_ends() -> None:
    plan = plan_of({}, panel={**PANEL, "seam_allowance": 0})
    assert (plan.sewn.kind == Kind.TIE).any()
