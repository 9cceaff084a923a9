"""Needle points: corners, evenness, ties, moves round what stands above."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.stitches.moves import closer_obstacles, obstacles, route
from loftline.stitches.placing import place_stitches
from loftline.values import KeepOut, Kind, Plan
from support_stitches import path_of


def plan_of(fills: list[dict[str, Any]], **more: Any) -> Plan:  # noqa: ANN401 - tables
    panel = {"shape": "rectangle", "width": 120, "height": 90}
    document: dict[str, Any] = {"format": 1, "name": "x", "panel": panel, "fills": fills}
    return make_plan(parse_project(document | more))


def test_a_line_of_whole_stitches() -> None:
    placed = place_stitches(path_of([(0, 0), (30, 0)], 3.0))
    assert placed.x.tolist() == list(range(0, 301, 30))
    assert not placed.y.any()


def test_corners_are_needle_points() -> None:
    path = path_of([(0, 0), (20, 0), (20, 13), (0, 13), (0, 5.05)], 2.5)
    placed = place_stitches(path)
    points = {(x, y) for x, y in zip(placed.x.tolist(), placed.y.tolist(), strict=True)}
    assert {(0, 0), (200, 0), (200, 130), (0, 130)} <= points


@pytest.mark.parametrize("radius", [3.0, 8.0, 25.0])
def test_curves_keep_to_the_chord_error(radius: float) -> None:
    turn = np.linspace(0, 2 * np.pi, 720)
    points = [(radius * np.cos(t), radius * np.sin(t)) for t in turn]
    placed = place_stitches(path_of(points, 4.0))
    sewn = shapely.LineString(np.column_stack([placed.x, placed.y]) / 10)
    drawn = shapely.LineString(points)
    assert shapely.hausdorff_distance(drawn, sewn) <= 0.15 + 1e-6
    step = np.hypot(np.diff(placed.x), np.diff(placed.y)) / 10
    assert step.max() <= 4.15
    assert step.min() >= 0.3


def test_ties_lock_both_ends_without_using_a_hole_twice() -> None:
    # machine quilters' teaching: 5 to 6 stitches of 0.5 mm at the ends of a run
    plan = plan_of([{"pattern": "channel", "angle": 0, "spacing": 30}], quilting={"edge": "none"})
    for run in range(plan.report.runs):
        mine = plan.sewn.run == run
        kind = plan.sewn.kind[mine]
        xy = np.column_stack([plan.sewn.x[mine], plan.sewn.y[mine]])
        tie = kind == Kind.TIE
        head, tail = int(tie.argmin()), int(tie[::-1].argmin())
        assert head == 6
        assert tail == 5
        step = np.hypot(*np.diff(xy, axis=0).T)
        assert np.abs(step[: head - 1] - 5).max() <= 1.5
        assert len(np.unique(xy, axis=0)) == len(xy)
        # the line begins where the tie ends: nothing of it is left out
        assert abs(xy[head - 1, 0] - xy[:, 0].min()) <= 1 or (
            abs(xy[head - 1, 0] - xy[:, 0].max()) <= 1
        )


def test_cloth_that_keeps_its_holes_gets_short_ties() -> None:
    fills = [{"pattern": "channel", "angle": 0, "spacing": 30}]
    plain = plan_of(fills)
    waxed = plan_of(fills, layers={"outer": {"kind": "waxed canvas"}})
    count = [int((plan.sewn.kind == Kind.TIE).sum()) for plan in (plain, waxed)]
    assert count[1] < count[0]


def test_stitches_per_inch() -> None:
    # 25.4 / 8 = 3.175 mm at most
    plan = plan_of([{"pattern": "channel", "angle": 0}], quilting={"stitches_per_inch": 8})
    same = np.diff(plan.sewn.run) == 0
    step = np.hypot(np.diff(plan.sewn.x), np.diff(plan.sewn.y))[same] / 10
    assert 2.9 < np.median(step) <= 3.175 + 0.1
    assert step.max() <= 3.175 + 0.15


def test_moves_go_round_what_stands_above() -> None:
    hard = shapely.box(40, 40, 60, 60)
    zone = KeepOut(name="k", outline=hard, clearance=5, reach=5, sits="above")
    area = obstacles((zone,))
    start, end = np.array([[0.0, 50.0], [0, 0]]), np.array([[100.0, 50.0], [100, 0]])
    via, move = route(start, end, area)
    assert set(move.tolist()) == {0}
    way = shapely.LineString([start[0], *(via / 10), end[0]])
    assert way.distance(hard) > 4.95
    assert way.length < 116
    low = KeepOut(name="k", outline=hard, clearance=5, reach=5, sits="inside")
    assert obstacles((low,)) is None


def test_a_move_takes_the_side_that_lies_in_the_field() -> None:
    hard = shapely.box(40, 40, 60, 60)
    zone = KeepOut(name="k", outline=hard, clearance=5, reach=5, sits="above")
    start, end = np.array([[0.0, 48.0]]), np.array([[100.0, 48.0]])
    below, _ = route(start, end, obstacles((zone,)))
    above, _ = route(start, end, obstacles((zone,)), field=(-5.0, 42.0, 105.0, 80.0))
    assert below[:, 1].max() < 480
    assert above[:, 1].min() > 480


def test_a_move_comes_closer_rather_than_leave_the_field() -> None:
    zone = KeepOut(
        name="k", outline=shapely.box(40, 40, 60, 60), clearance=12, reach=12, sits="above"
    )
    start, end = np.array([[0.0, 50.0]]), np.array([[100.0, 50.0]])
    field = (-5.0, 30.0, 105.0, 70.0)
    via, _ = route(start, end, obstacles((zone,)), closer_obstacles((zone,)), field)
    assert via[:, 1].min() > 300
    assert via[:, 1].max() < 700
    assert shapely.LineString([start[0], *(via / 10), end[0]]).distance(zone.outline) > 5.9


def pocket() -> tuple[KeepOut, ...]:
    """Four posts whose zones shut in the place between them: gaps of 20 mm, zones of 12."""
    corners = [(30, 30), (60, 30), (30, 60), (60, 60)]
    outlines = [shapely.box(x, y, x + 10, y + 10) for x, y in corners]
    return tuple(
        KeepOut(name="post", outline=outline, clearance=5, reach=12, sits="above")
        for outline in outlines
    )


def test_a_move_out_of_a_pocket_keeps_off_the_hard_edges() -> None:
    zones = pocket()
    start, end = np.array([[50.0, 50.0]]), np.array([[0.0, 0.0]])
    via, move = route(start, end, obstacles(zones), closer_obstacles(zones))
    assert set(move.tolist()) == {0}
    way = shapely.LineString([start[0], *(via / 10), end[0]])
    # half of the zones leaves 8 mm between them
    assert min(way.distance(zone.outline) for zone in zones) > 5.9


def test_whole_zones_leave_no_way_out_of_a_pocket() -> None:
    via, _ = route(np.array([[50.0, 50.0]]), np.array([[0.0, 0.0]]), obstacles(pocket()))
    assert len(via) == 0


def test_origin_is_the_centre_beside_what_stands_above() -> None:
    stud = {
        "name": "stud",
        "kind": "stud",
        "diameter": 20,
        "at": [60, 45],
        "sits": "above",
        "fitted": "before quilting",
    }
    fills = [{"pattern": "channel", "angle": 0}]
    plain, studded = plan_of(fills), plan_of(fills, hardware=[stud])
    assert abs(plain.sewn.origin[0] - 600) <= 1
    assert abs(plain.sewn.origin[1] - 450) <= 1
    place = shapely.Point(np.array(studded.sewn.origin) / 10)
    assert place.distance(shapely.Point(60, 45)) >= 10 + 6.35
    assert not [f for f in studded.findings if f.severity == "error"]
