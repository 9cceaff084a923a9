"""A panel larger than the hoop: lines cut, sewn on past the border, laid by marks."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.export import export
from loftline.hooping import Division, divisions, in_field
from loftline.hooping.marks import MISSED_MM, choose_marks, misplacing
from loftline.plan import make_plan, price_orders, price_undivided
from loftline.project import parse_project
from loftline.readers import read_stitch_file
from loftline.values import Hooping, Kind, Mark, Plan, Sewn, Way
from support_hoopings import astray, bare, beyond_field, hooped, sewn_length, steps

SHEET = {"shape": "rectangle", "width": 230, "height": 150, "seam_allowance": 8}
CHANNEL = {"pattern": "channel", "angle": 0, "spacing": 12}
HOOP = {"hoop": [130, 180]}
POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
    "seam_allowance": 8,
}


@cache
def grid_pouch() -> Plan:
    return hooped(POUCH, {"pattern": "grid", "angle": 45, "spacing": 24}, HOOP)


@cache
def channel_pouch() -> Plan:
    return hooped(POUCH, CHANNEL, HOOP)


@cache
def sheet() -> Plan:
    return hooped(SHEET, CHANNEL, HOOP)


@cache
def roomy() -> Plan:
    """Two hoopings with room for the whole overlap."""
    return hooped({**SHEET, "width": 200}, CHANNEL, {**HOOP, "basting": False})


def codes(plan: Plan) -> list[str]:
    return [finding.code for finding in plan.findings]


def test_a_panel_that_the_field_holds_is_one_placing() -> None:
    plan = hooped({**SHEET, "width": 100, "height": 100}, CHANNEL, HOOP)
    (hooping,) = plan.hoopings
    assert hooping.turn == 0
    assert hooping.cell is None


def test_a_panel_that_the_field_holds_when_turned_is_turned() -> None:
    plan = hooped({**SHEET, "width": 150, "height": 100}, CHANNEL, HOOP)
    assert [hooping.turn for hooping in plan.hoopings] == [90]


def test_without_a_hoop_nothing_is_divided() -> None:
    plan = hooped(SHEET, CHANNEL, {})
    assert [hooping.field for hooping in plan.hoopings] == [None]


def test_a_panel_guided_by_hand_is_not_divided() -> None:
    plan = hooped(SHEET, CHANNEL, {**HOOP, "guided": "hand"})
    assert len(plan.hoopings) == 1


def test_the_hoop_that_needs_the_fewest_placings_is_taken() -> None:
    plan = hooped(SHEET, CHANNEL, {"hoops": [[100, 100], [130, 180], [110, 110]]})
    assert {hooping.hoop for hooping in plan.hoopings} == {(130, 180)}


def test_of_rows_and_columns_the_cheaper_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    document = {"format": 1, "panel": {**SHEET, "width": 300, "height": 500}, "fills": [CHANNEL]}
    project = parse_project({**document, "machine": HOOP})
    taken = make_plan(project, effort="quick")
    costs = []
    for k in (0, 1):

        def one(*args: Any, k: int = k) -> tuple[Division, ...]:  # noqa: ANN401 - handed on
            return (divisions(*args)[k],)

        monkeypatch.setattr("loftline.hooped.divisions", one)
        costs.append(make_plan(project, effort="quick").runs.cost)
    # the first cuts as few lines, but its rows have more ends away from the rim
    assert costs[1] < 0.9 * costs[0]
    assert taken.runs.cost == costs[1]


def test_turning_can_be_forbidden() -> None:
    plan = hooped(SHEET, CHANNEL, {**HOOP, "hoop_turning": "none"})
    assert {hooping.turn for hooping in plan.hoopings} == {0}


def test_all_placings_sew_the_lines_and_nothing_else() -> None:
    plan = grid_pouch()
    assert len(plan.hoopings) == 8
    assert len(bare(plan)) == 0
    assert len(astray(plan)) == 0


def between_full_fields(rest: float) -> Plan:
    """Two fields of 55 x 70 mm on 140 mm of lines, some of which end a rest past the border."""
    # lines keep 0.2 mm more than the clearance of 1 mm away
    label = {"name": "label", "shape": "rectangle", "at": [25, 80.2 + rest], "clearance": 1}
    return hooped(
        {"shape": "rectangle", "width": 50, "height": 140, "seam_allowance": 0, "overhang": 0},
        {"pattern": "channel", "angle": 90, "spacing": 5},
        {"hoop": [60, 75], "hoop_turning": "none"},
        keep_outs=[{**label, "width": 20, "height": 18}],
    )


def test_a_rest_that_no_field_has_room_for_is_told() -> None:
    assert "rest-left" in codes(between_full_fields(0.25))


@pytest.mark.parametrize("rest", [0.04, 0.4, 1.0])
def test_no_other_rest_is_left(rest: float) -> None:
    plan = between_full_fields(rest)
    assert "rest-left" not in codes(plan)
    assert len(bare(plan, 0.1)) == 0


def test_what_is_bare_is_seen_where_a_placing_is_left_out() -> None:
    plan = sheet()
    assert len(bare(replace(plan, sewn=plan.sewn.part(plan.hoopings[0])))) > 100


@pytest.mark.parametrize("order", ["least cost", "one way", "centre out"])
def test_every_order_stays_in_its_fields(order: str) -> None:
    plan = hooped(POUCH, CHANNEL, HOOP, quilting={"order": order})
    for hooping in plan.hoopings:
        assert beyond_field(plan, hooping) <= 0.1


def test_the_later_placing_sews_two_stitches_past_the_border() -> None:
    plan = roomy()
    ends, kind = steps(plan, plan.hoopings[1])
    x = ends[kind == Kind.DOUBLE][:, :, 0]
    (border,) = {hooping.cell[2] for hooping in plan.hoopings[:1] if hooping.cell}
    assert len(x) > 0
    # 2.5 stitches of 3 mm, of which the half one lies on both sides of the border
    assert x.min() == pytest.approx(border - 7.5, abs=0.1)
    assert x.max() < border


def test_the_earlier_placing_sews_up_to_the_border() -> None:
    plan = roomy()
    ends, kind = steps(plan, plan.hoopings[0])
    (border,) = {hooping.cell[2] for hooping in plan.hoopings[:1] if hooping.cell}
    assert ends[kind == Kind.LINE][:, :, 0].max() == pytest.approx(border, abs=0.06)


def test_holes_of_the_overlap_lie_between_those_that_are_there() -> None:
    plan = roomy()
    first, second = (
        np.unique(ends[np.isin(kind, (Kind.LINE, Kind.DOUBLE))].reshape(-1, 2), axis=0)
        for ends, kind in (steps(plan, hooping) for hooping in plan.hoopings)
    )
    (border,) = {hooping.cell[2] for hooping in plan.hoopings[:1] if hooping.cell}
    overlap = second[second[:, 0] < border - 0.5]
    apart = np.hypot(*(overlap[:, None] - first).transpose(2, 0, 1)).min(axis=1)
    assert len(overlap) > 0
    assert apart.min() > 0.8


def test_a_border_is_no_way() -> None:
    plan = hooped(POUCH, {"pattern": "channel", "angle": 45, "spacing": 12}, HOOP)
    inside = shapely.buffer(plan.panel.outline, -1.0)
    ends, kind = steps(plan)
    travel = shapely.linestrings(ends[kind == Kind.TRAVEL])
    assert len(travel) > 0
    assert not shapely.intersects(inside, travel).any()
    assert not (plan.network.way == Way.STEP).any()


def test_lines_that_cross_at_a_border_are_cut_at_one_place() -> None:
    plan = grid_pouch()
    # the thread goes on from one line to the next there, so nothing is sewn over again
    assert sewn_length(plan, Kind.DOUBLE) == 0


def test_each_file_is_its_part_of_the_plan_in_the_hoops_directions(tmp_path: Path) -> None:
    plan = hooped(POUCH, CHANNEL, {**HOOP, "formats": ["dst"]})
    done = export(plan, tmp_path, ("dst",))
    assert [path.name for path in done.paths] == [f"spoke-pouch-{n}.dst" for n in range(1, 7)]
    for path, hooping in zip(done.paths, plan.hoopings, strict=True):
        read = read_stitch_file("dst", path.read_bytes())
        assert hooping.field is not None
        assert hooping.origin is not None
        assert np.abs(read.x).max() <= 5 * hooping.field[0] + 1
        assert np.abs(read.y).max() <= 5 * hooping.field[1] + 1
        part = plan.sewn.part(hooping)
        # turned by a quarter: the file's x runs along the panel's y
        assert hooping.turn == 90
        assert np.abs(read.x - (part.y - hooping.origin[1])).max() <= 1
        assert np.abs(read.y + (part.x - hooping.origin[0])).max() <= 1


def points_in(field: tuple[float, float, float, float], x: list[int]) -> list[int]:
    """Needle points at these tenths, as they are sewn in a field."""
    along, none = np.array(x), np.empty(0, np.int64)
    sewn = Sewn(
        x=along, y=0 * along, run=0 * along, kind=0 * along, via=none.reshape(0, 2), via_run=none
    )
    held = in_field(Hooping(field=(70.0, 18.0), place=field), sewn)
    return [int(tenths) for tenths in held.x]


def test_rounding_leads_no_needle_point_out_of_its_field() -> None:
    # 0.05 and 69.95 mm may be rounded to 0.0 and 70.0, which are 70 mm apart
    assert points_in((0.05, -9.0, 69.95, 9.0), [0, 30, 700]) == [1, 30, 699]


def test_what_lies_farther_out_of_a_field_stays_to_be_found() -> None:
    assert points_in((0.0, -9.0, 70.0, 9.0), [-2, 30, 702]) == [-2, 30, 702]


def test_files_are_centred_on_the_hoop() -> None:
    plan = channel_pouch()
    for hooping in plan.hoopings:
        sewn = plan.sewn.in_hoop(hooping)
        assert hooping.origin is not None
        assert abs(sewn.x.min() + sewn.x.max() - 2 * hooping.origin[0]) <= 1
        assert abs(sewn.y.min() + sewn.y.max() - 2 * hooping.origin[1]) <= 1


def test_turning_there_and_back_is_nothing() -> None:
    plan = sheet()
    part = plan.sewn.part(plan.hoopings[0])
    for degrees in (90, 180, 270):
        back = part.turned(degrees).turned(-degrees)
        assert np.array_equal(back.x, part.x)
        assert np.array_equal(back.y, part.y)


def test_a_quarter_turn_is_counter_clockwise() -> None:
    one = Sewn(
        x=np.array([30]),
        y=np.array([0]),
        run=np.array([0]),
        kind=np.array([0]),
        via=np.array([[20, 5]]),
        via_run=np.array([0]),
        origin=(10, 0),
    ).turned(90)
    assert (one.x[0], one.y[0]) == (10, 20)
    assert one.via.tolist() == [[5, 10]]


def test_crosses_stand_in_the_overhang() -> None:
    plan = grid_pouch()
    ends, kind = steps(plan)
    crosses = shapely.linestrings(ends[kind == Kind.REGISTRATION])
    assert len(crosses) > 0
    assert not shapely.intersects(plan.panel.outline, crosses).any()
    length = np.hypot(*np.diff(ends[kind == Kind.REGISTRATION], axis=1)[:, 0].T)
    assert length.min() >= 5
    assert length.max() <= 6


def test_crosses_are_sewn_before_anything_else() -> None:
    plan = grid_pouch()
    for hooping in plan.hoopings:
        kinds = plan.sewn.part(hooping).kind
        rank = {Kind.REGISTRATION: 0, Kind.BASTING: 1}
        order = [rank.get(Kind(kind), 2) for kind in kinds.tolist()]
        assert order == sorted(order)


WAXED: dict[str, Any] = {"layers": {"outer": {"kind": "waxed canvas"}}}


def test_cloth_that_keeps_holes_gets_none_inside_but_those_of_the_quilting() -> None:
    plan = hooped(POUCH, CHANNEL, HOOP, **WAXED)
    ends, kind = steps(plan)
    loose = ends[np.isin(kind, (Kind.REGISTRATION, Kind.BASTING))]
    assert (kind == Kind.BASTING).any()
    assert not shapely.intersects(plan.panel.outline, shapely.linestrings(loose)).any()


def test_a_thin_panel_is_clamped_and_not_basted() -> None:
    thin = {
        "outer": {"kind": "cotton", "thickness": 0.3},
        "foam": {"kind": "fleece", "thickness": 1.5},
    }
    plan = hooped(SHEET, CHANNEL, HOOP, layers=thin)
    assert sewn_length(plan, Kind.BASTING) == 0


def test_a_thick_panel_is_floated_and_basted() -> None:
    assert sewn_length(sheet(), Kind.BASTING) > 0


def test_basting_can_be_left_out() -> None:
    plan = hooped(SHEET, CHANNEL, {**HOOP, "basting": False})
    assert sewn_length(plan, Kind.BASTING) == 0


def test_without_overhang_it_is_a_note() -> None:
    plan = hooped({**SHEET, "overhang": 0}, CHANNEL, HOOP)
    (note,) = [finding for finding in plan.findings if finding.code == "nothing-to-trim"]
    assert note.severity == "note"
    assert plan.clean


def test_later_placings_are_laid_by_what_is_sewn() -> None:
    plan = sheet()
    first, second = plan.hoopings
    assert first.true_points == 0
    assert first.misplacing is None
    assert second.true_points >= 2
    assert second.misplacing is not None


def test_marks_lie_where_the_needle_reaches_them() -> None:
    plan = grid_pouch()
    for hooping in plan.hoopings:
        assert hooping.place is not None
        x0, y0, x1, y1 = hooping.place
        for mark in hooping.marks:
            assert x0 - 0.01 <= mark.at[0] <= x1 + 0.01
            assert y0 - 0.01 <= mark.at[1] <= y1 + 0.01


def sewn_marks(*places: tuple[float, float]) -> list[Mark]:
    return [Mark(at=at, kind="cross", sewn=True) for at in places]


@cache
def shifted() -> Plan:
    """A hooping whose lines end short of its field, so that the hoop moves to their middle."""
    pouch = {
        "shape": "folded pouch",
        "width": 200,
        "body": 110,
        "flap": 80,
        "corner_radius": 60,
        "seam_allowance": 8,
    }
    return hooped(pouch, {"pattern": "echo", "spacing": 12}, {"hoop": [100, 100], "basting": False})


def test_a_field_is_drawn_about_the_zero_of_its_file() -> None:
    for plan in (shifted(), sheet(), roomy()):
        for hooping in plan.hoopings:
            assert hooping.place is not None
            assert hooping.origin is not None
            x0, y0, x1, y1 = hooping.place
            assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx(np.array(hooping.origin) / 10)


def test_the_needle_reaches_every_mark_from_where_the_hoop_stands() -> None:
    """The zero of the file is the middle of the hoop."""
    plan = shifted()
    sewn = [(mark.at, h) for h in plan.hoopings for mark in h.marks if mark.sewn]
    assert len(sewn) > 3
    for at, hooping in sewn:
        assert hooping.origin is not None
        assert hooping.seen is not None
        off = np.abs(np.array(at) - np.array(hooping.origin) / 10)
        assert (off <= np.array(hooping.seen) / 2 + 1e-6).all()


def test_two_marks_missed_swing_what_lies_beyond_them() -> None:
    # At a far end of a line through both, one missed square to it by e: half of e from the
    # shift, and e / 100 for each mm from the middle; at 150 mm from there 0.5 e + 1.5 e.
    off = misplacing(sewn_marks((0, 0), (100, 0)), (200.0, 0.0, 200.0, 0.0))
    assert off == pytest.approx(2.0 * MISSED_MM)


def test_at_a_mark_itself_no_more_than_the_miss_is_lost() -> None:
    off = misplacing(sewn_marks((0, 0), (100, 0)), (100.0, 0.0, 100.0, 0.0))
    assert off == pytest.approx(MISSED_MM)


def test_the_figure_agrees_with_a_fit_of_moved_points() -> None:
    """Against Kabsch's fit of rigid bodies (1976), by singular values, of a hair's miss."""
    marks = [(0.0, 0.0), (90.0, 10.0), (40.0, 120.0), (-20.0, 60.0)]
    corner, tiny = np.array([140.0, 130.0]), 1e-4
    there = np.array(marks)
    worst = 0.0
    for k in range(4):
        for way in np.linspace(0, 2 * np.pi, 720):
            moved = there.copy()
            moved[k] += tiny * np.array([np.cos(way), np.sin(way)])
            centre, goal = there.mean(axis=0), moved.mean(axis=0)
            u, _, vt = np.linalg.svd((there - centre).T @ (moved - goal))
            turn = vt.T @ np.diag([1, np.sign(np.linalg.det(vt.T @ u.T))]) @ u.T
            worst = max(worst, float(np.hypot(*(turn @ (corner - centre) + goal - corner))))
    found = misplacing(sewn_marks(*marks), (140.0, 130.0, 140.0, 130.0))
    assert found == pytest.approx(MISSED_MM * worst / tiny, abs=0.006)


def test_one_mark_holds_no_angle() -> None:
    assert misplacing(sewn_marks((0, 0)), (0.0, 0.0, 9.0, 9.0)) is None


def test_ends_of_lines_are_chosen_far_apart() -> None:
    ends = np.array([(0.0, 0.0), (1.0, 0.0), (50.0, 0.0), (99.0, 0.0), (100.0, 0.0)])
    chosen = choose_marks([], ends, [])
    assert {(0.0, 0.0), (100.0, 0.0)} <= {mark.at for mark in chosen}


def test_a_hoop_too_wide_for_the_throat_is_turned_round() -> None:
    wide = {**SHEET, "width": 300}
    plan = hooped(wide, CHANNEL, {"hoop": [130, 180], "hoop_turning": "none", "throat": 240})
    assert {hooping.turn for hooping in plan.hoopings} == {0, 180}
    assert "hoop-throat" not in codes(plan)


def test_a_throat_too_small_either_way_is_told() -> None:
    wide = {**SHEET, "width": 300}
    plan = hooped(wide, CHANNEL, {"hoop": [130, 180], "hoop_turning": "none", "throat": 150})
    assert "hoop-throat" in codes(plan)


MAGNET = {"name": "left magnet", "kind": "sew-in magnet", "at": [60, 75], "diameter": 18}


def test_a_magnetic_frame_is_kept_from_magnets() -> None:
    plan = hooped(SHEET, CHANNEL, {**HOOP, "frame": "magnetic"}, hardware=[MAGNET])
    assert "frame-and-magnets" in codes(plan)
    plain = hooped(SHEET, CHANNEL, HOOP, hardware=[MAGNET])
    assert "frame-and-magnets" not in codes(plain)


def test_nothing_hard_lies_under_a_clamping_frame() -> None:
    # the border between the hoopings lies near 115, so the second's frame presses on x = 60 to 110
    beside = {**MAGNET, "at": [90, 75]}
    clamped = hooped(SHEET, CHANNEL, {**HOOP, "held": "clamped"}, hardware=[beside])
    assert "frame-on-hardware" in codes(clamped)
    floated = hooped(SHEET, CHANNEL, {**HOOP, "held": "floated"}, hardware=[beside])
    assert "frame-on-hardware" not in codes(floated)


def test_a_clamping_frame_that_stands_beside_the_cloth_is_told() -> None:
    bare = {**SHEET, "overhang": 0}
    (found,) = [
        finding
        for finding in hooped(bare, CHANNEL, {**HOOP, "held": "clamped"}).findings
        if finding.code == "frame-off-cloth"
    ]
    # two hoopings side by side: the cloth goes on from the one to the other
    sides = ["hooping 1 at the left, bottom and top", "hooping 2 at the right, bottom and top"]
    assert found.where == "; ".join(sides)


def test_a_floated_panel_needs_no_cloth_under_the_frame() -> None:
    bare = {**SHEET, "overhang": 0}
    assert "frame-off-cloth" not in codes(hooped(bare, CHANNEL, {**HOOP, "held": "floated"}))


def test_a_clamping_frame_on_the_overhang_has_something_to_hold() -> None:
    wide = {**SHEET, "overhang": 60}
    assert "frame-off-cloth" not in codes(hooped(wide, CHANNEL, {**HOOP, "held": "clamped"}))


def test_the_placings_are_told_with_what_is_proved() -> None:
    plan = sheet()
    (note,) = [finding for finding in plan.findings if finding.code == "several-hoopings"]
    assert "2 times, and no arrangement could do with fewer" in note.message
    assert plan.report.extra["hoopings"] == 2
    assert plan.report.extra["least_hoopings"] == 2


def test_the_undivided_plan_costs_no_more() -> None:
    plan = channel_pouch()
    undivided = price_undivided(plan)
    assert undivided is not None
    assert undivided.cost < plan.runs.cost
    assert price_undivided(hooped(SHEET, CHANNEL, {})) is None


def test_orders_of_a_divided_panel_are_priced_in_their_placings() -> None:
    plan = channel_pouch()
    prices = {price.report.order: price.report for price in price_orders(plan)}
    ordered = parse_project(
        {"format": 1, "name": "Spoke pouch", "panel": POUCH, "fills": [CHANNEL], "machine": HOOP}
        | {"quilting": {"order": "one way"}}
    )
    assert prices["one way"].cost == pytest.approx(make_plan(ordered).report.cost)


def test_thread_ends_between_placings_are_no_thread_cuts() -> None:
    plan = channel_pouch()
    assert plan.report.cuts == plan.report.runs - len(plan.hoopings)


def test_time_counts_every_placing() -> None:
    plan = sheet()
    assert plan.report.times[0].parts["placings"] == pytest.approx(2 * 6.0)


def test_centre_out_begins_with_the_cell_nearest_the_middle() -> None:
    rows = {**SHEET, "width": 100, "height": 450}
    plan = hooped(rows, CHANNEL, {**HOOP, "hooping_order": "centre out"})
    assert plan.hoopings[0].row == 1


def test_along_the_panel_goes_to_and_fro() -> None:
    plan = channel_pouch()
    order = [(hooping.row, hooping.column) for hooping in plan.hoopings]
    assert order == [(0, 0), (0, 1), (1, 1), (1, 0), (2, 0), (2, 1)]


def test_the_order_of_work_says_how_often_the_panel_is_hooped() -> None:
    (hoop,) = [step for step in channel_pouch().report.work if step.title == "Hoop"]
    assert "Do so 6 times" in hoop.sentences[1]


ROOM = {"left": 4, "right": 10, "front": 0, "back": 6}


def test_room_for_the_foot_is_kept_by_side() -> None:
    plan = hooped(SHEET, CHANNEL, {**HOOP, "hoop_room": ROOM, "hoop_turning": "none"})
    assert {hooping.field for hooping in plan.hoopings} == {(111.0, 169.0)}
    for hooping in plan.hoopings:
        sewn = plan.sewn.in_hoop(hooping)
        x, y = (sewn.x - sewn.origin[0]) / 10, (sewn.y - sewn.origin[1]) / 10
        # the zero is the middle of the hoop, 65 and 90 mm from its sides, less the margin of 2.5
        assert x.min() >= -65 + 2.5 + 4 - 0.1
        assert x.max() <= 65 - 2.5 - 10 + 0.1
        assert y.min() >= -90 + 2.5 - 0.1
        assert y.max() <= 90 - 2.5 - 6 + 0.1


def test_room_for_the_foot_turns_with_the_hoop() -> None:
    plan = hooped(POUCH, CHANNEL, {**HOOP, "hoop_room": ROOM})
    assert {hooping.turn for hooping in plan.hoopings} == {90}
    for hooping in plan.hoopings:
        sewn = plan.sewn.in_hoop(hooping)
        x = (sewn.x - sewn.origin[0]) / 10
        assert x.min() >= -65 + 2.5 + 4 - 0.1
        assert x.max() <= 65 - 2.5 - 10 + 0.1
