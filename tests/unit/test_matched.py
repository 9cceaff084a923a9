"""Designs that run on over the closed bag, measured on the flat panel by its own geometry."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.fills.loose_ends import first_piece
from loftline.fills.run_on import fitting_spacing
from loftline.geometry import axes
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Floats, Lines

WIDTH, BODY = 250, 150
POUCH = {
    "shape": "folded pouch",
    "width": WIDTH,
    "body": BODY,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
    "seam_allowance": 8,
}
LABEL = {"name": "label", "shape": "rectangle", "at": [125, 130], "width": 60, "height": 25}
CHANNEL = {"pattern": "channel", "angle": 45, "spacing": 12}


def spoke_pouch(*fills: dict[str, Any]) -> Project:
    return parse_project(
        {"format": 1, "name": "Spoke pouch", "panel": POUCH, "keep_outs": [LABEL], "fills": fills}
    )


def lines_of(*fills: dict[str, Any]) -> Lines:
    project = spoke_pouch(*fills)
    panel = make_panel(project)
    return make_lines(project, panel, make_fields(project, panel))


def on_part(lines: Lines, low: float, high: float) -> list[Floats]:
    """Lines that lie between two heights of the flat panel."""
    every = [lines.line(i) for i in range(len(lines))]
    return [c for c in every if c[:, 1].min() > low - 1e-6 and c[:, 1].max() < high + 1e-6]


def across(curves: list[Floats], angle: float, moved: Floats) -> Floats:
    """How far straight lines, moved, lie across an angle, mm."""
    _, square = axes(angle)
    return np.array([(curve[0] + moved) @ square for curve in curves])


def apart(one: Floats, other: Floats, spacing: float) -> Floats:
    """How far each of some lines is from the nearest of others, all of one spacing."""
    gap = (one[:, None] - other[None, :]) % spacing
    return np.asarray(np.minimum(gap, spacing - gap).max(axis=1))


def said(lines: Lines) -> dict[str, str]:
    return {finding.code: finding.message + finding.remedy for finding in lines.findings}


class TestPlainChannels:
    def test_they_miss_by_what_the_reference_says(self) -> None:
        # reference 35e, geometry: 300 mm at 45 degrees and 12 mm misses by 3.87 mm
        assert "up to 3.87 mm" in said(lines_of(CHANNEL))["lines-miss"]

    def test_the_spacing_that_fits_is_named(self) -> None:
        assert "spacing = 11.785 mm" in said(lines_of(CHANNEL))["lines-miss"]

    def test_upright_ones_run_on_anyway(self) -> None:
        assert "lines-miss" not in said(lines_of({**CHANNEL, "angle": 90}))

    def test_two_designs_side_by_side_are_not_meant_to_meet(self) -> None:
        flap, front = {**CHANNEL, "part": "flap"}, {**CHANNEL, "part": "front", "spacing": 9}
        assert "lines-miss" not in said(lines_of(flap, front))


class TestOnTheClosedBag:
    lines = lines_of({**CHANNEL, "match": "closed"})
    front = on_part(lines, -50, BODY)
    back = on_part(lines, BODY, 2 * BODY)
    flap = on_part(lines, 2 * BODY, 500)

    def test_every_line_lies_on_one_part(self) -> None:
        assert len(self.front) + len(self.back) + len(self.flap) == len(self.lines)
        assert min(map(len, (self.front, self.back, self.flap))) > 10

    def test_the_flap_goes_on_where_the_front_ends(self) -> None:
        # folded over both folds, a point of the flap lies on the front 2 x 150 mm below
        flap = across(self.flap, 45, np.array([0.0, -2 * BODY]))
        front = across(self.front, 45, np.zeros(2))
        assert apart(flap, front, 12).max() < 1e-6

    def test_a_line_moved_by_a_millimetre_would_be_seen(self) -> None:
        flap = across(self.flap, 45, np.array([0.0, 1.5 - 2 * BODY]))
        front = across(self.front, 45, np.zeros(2))
        assert apart(flap, front, 12).min() > 1

    def test_the_front_shows_the_angle_of_the_file(self) -> None:
        # the flat front stands on its head in the closed bag: 45 degrees stay 45
        steps = np.array([curve[-1] - curve[0] for curve in self.front])
        assert np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180 == pytest.approx(45)

    def test_the_back_shows_it_mirrored(self) -> None:
        steps = np.array([curve[-1] - curve[0] for curve in self.back])
        assert np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180 == pytest.approx(135)

    @pytest.mark.parametrize("fold", [BODY, 2 * BODY])
    def test_lines_go_on_over_each_fold(self, fold: float) -> None:
        ends = np.concatenate([c[[0, -1]] for c in (*self.front, *self.back, *self.flap)])
        at_fold = np.sort(ends[np.abs(ends[:, 1] - fold) < 1e-6][:, 0])
        # the flap is 3 mm narrower each side: beyond it the back's lines end alone
        at_fold = at_fold[(at_fold > 0) & (at_fold < WIDTH)]
        assert len(at_fold) > 20
        assert at_fold[::2] == pytest.approx(at_fold[1::2], abs=1e-6)

    @pytest.mark.parametrize("seam", [8, WIDTH - 8])
    def test_front_and_back_meet_at_the_side_seams(self, seam: float) -> None:
        heights = []
        for curves, up in ((self.front, -1), (self.back, 1)):
            a, b = (np.array([curve[k] for curve in curves]) for k in (0, -1))
            share = (seam - a[:, 0]) / (b[:, 0] - a[:, 0])
            y = (a + share[:, None] * (b - a))[(share > 0) & (share < 1)][:, 1]
            heights.append(np.sort(up * (y - BODY)))
        front, back = ([h for h in found if 0 < h < BODY - 8] for found in heights)
        assert front == pytest.approx(back, abs=1e-6)

    def test_the_miss_is_reported(self) -> None:
        report = make_plan(spoke_pouch({**CHANNEL, "match": "closed"}), effort="quick").report
        assert report.extra["lines_miss"] == 0

    def test_it_takes_no_thread_cut(self) -> None:
        plan = make_plan(spoke_pouch({**CHANNEL, "match": "closed"}), effort="quick")
        assert plan.report.cuts == 0


OTHERS: dict[str, dict[str, Any]] = {
    "grid": {"pattern": "grid", "setting": "diamond", "spacing": 14},
    "triangle": {"pattern": "grid", "setting": "triangle", "spacing": 18},
    "waves": {**CHANNEL, "wave_height": 6, "wave_length": 40},
    "uneven": {**CHANNEL, "uneven": 1},
    "pairs": {**CHANNEL, "paired": 3},
    "echo": {"pattern": "echo", "spacing": 11},
    "echo in rings": {"pattern": "echo", "spacing": 11, "joined": False},
    "spiral": {"pattern": "spiral", "spacing": 12},
    "rays": {"pattern": "rays", "spacing": 12},
    "clamshell": {"pattern": "motif", "motif": "clamshell"},
    "orange peel": {"pattern": "motif", "motif": "orange peel"},
    "from a place": {**CHANNEL, "start_at": [100, 300]},
}


@pytest.mark.parametrize("fill", OTHERS)
def test_every_design_runs_on(fill: str) -> None:
    lines = lines_of({**OTHERS[fill], "match": "closed"})
    assert lines.miss is not None
    assert lines.miss < 0.5


@pytest.mark.parametrize("fill", ["grid", "triangle", "waves", "pairs"])
def test_the_same_without_match_does_not(fill: str) -> None:
    assert "lines-miss" in said(lines_of(OTHERS[fill]))


@pytest.mark.parametrize("fill", OTHERS)
def test_no_matched_line_leaves_what_may_be_sewn(fill: str) -> None:
    project = spoke_pouch({**OTHERS[fill], "match": "closed"})
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel))
    drawn = [shapely.LineString(lines.line(i)) for i in range(len(lines))]
    assert len(drawn) > 1
    assert shapely.covers(panel.sewable.buffer(1e-6), drawn).all()


def test_one_place_starts_the_design_on_every_part() -> None:
    # (100, 300 + 40) of the flap lies over (100, 40) of the front
    lines = lines_of({**CHANNEL, "match": "closed", "start_at": [100, 340]})
    front = across(on_part(lines, -50, BODY), 45, np.array([-100.0, -40.0])) / 12
    assert front == pytest.approx(np.round(front), abs=1e-6)


@pytest.mark.parametrize("start", ["left", [330, 120], [-90, 300]])
@pytest.mark.parametrize("pattern", ["spiral", "rays", "channel"])
def test_two_lines_meet_wherever_one_comes_to_a_fold(pattern: str, start: object) -> None:
    # from a place beside it each part shows another sector of a spiral
    lines = lines_of({"pattern": pattern, "spacing": 11, "start_at": start, "match": "closed"})
    drawn = lines.points[np.concatenate([lines.starts[:-1], lines.starts[1:] - 1])]
    on = drawn[np.abs(drawn[:, 1] - BODY) < 1e-6]
    from_each = np.hypot(*(on[:, None] - on).transpose(2, 0, 1))
    assert len(on) >= 4
    assert np.array_equal((from_each < 1e-2).sum(axis=1), np.full(len(on), 2))


def test_two_fills_of_one_kind_run_on_in_each_other() -> None:
    flap, front = ({**CHANNEL, "match": "closed", "part": part} for part in ("flap", "front"))
    assert lines_of(flap, front).miss == pytest.approx(0, abs=1e-6)


class TestFittedSpacing:
    def test_it_is_that_of_the_reference(self) -> None:
        # reference 35e, geometry: 11.785 mm misses by none
        found = fitting_spacing([np.array([0.0, 300.0])], (45.0,), 12.0)
        assert found == pytest.approx(11.785, abs=5e-4)

    def test_both_families_of_a_grid_fit(self) -> None:
        step = np.array([0.0, 300.0])
        found = fitting_spacing([step], (30.0, 150.0), 14.0)
        assert found is not None
        assert 300 * np.cos(np.radians(30)) / found == pytest.approx(19, abs=1e-9)

    def test_families_that_do_not_fit_together_are_left(self) -> None:
        # 300 and 300 sin 36 degrees have no common measure near 70 mm
        assert fitting_spacing([np.array([0.0, 300.0])], (0.0, 54.0), 70.0) is None

    def test_lines_meet(self) -> None:
        lines = lines_of({**CHANNEL, "match": "spacing"})
        assert lines.miss is not None
        assert lines.miss < 1e-6

    def test_lines_run_straight_over_the_folds(self) -> None:
        lines = lines_of({**CHANNEL, "match": "spacing"})
        tall = [i for i in range(len(lines)) if np.ptp(lines.line(i)[:, 1]) > BODY]
        assert len(tall) > 5

    def test_the_change_is_told(self) -> None:
        told = said(lines_of({**CHANNEL, "match": "spacing"}))["lines-fitted"]
        assert "11.785 mm apart instead of 12 mm" in told

    def test_waves_are_fitted_in_both_ways(self) -> None:
        wavy = {**CHANNEL, "wave_height": 6, "wave_length": 42, "match": "spacing"}
        assert lines_of(wavy).miss == pytest.approx(0, abs=0.05)

    def test_a_spacing_too_wide_to_fit_is_told(self) -> None:
        told = said(lines_of({**CHANNEL, "angle": 0, "spacing": 120, "match": "spacing"}))
        assert 'match = "closed"' in told["no-spacing-fits"]


class TestStraightRound:
    lines = lines_of({**CHANNEL, "match": "closed", "at_side_seam": "straight"})

    def test_lines_meet_at_the_flap(self) -> None:
        assert self.lines.miss == pytest.approx(0, abs=1e-6)

    def test_they_go_on_at_the_side_seams(self) -> None:
        # at the sewn width the lines of front and back meet the seam at one height
        a, b = (np.array([self.lines.line(i)[k] for i in range(len(self.lines))]) for k in (0, -1))
        slope = (b - a)[:, 1] / (b - a)[:, 0]
        step = 12 / np.cos(np.arctan(slope[0]))
        for seam in (8, WIDTH - 8):
            y = a[:, 1] + (seam - a[:, 0]) * slope
            pitch = step * 11.802 / 12
            front, back = (BODY - y) % pitch, (y - BODY) % pitch
            gap = np.abs(front[:, None] - back[None, :])
            assert np.minimum(gap, pitch - gap).max() < 0.05

    def test_angle_and_spacing_change_a_little(self) -> None:
        angle = self.lines.angle[np.isfinite(self.lines.angle)]
        assert np.abs(angle - 45).max() < 2
        assert "11.802 mm apart instead of 12 mm" in said(self.lines)["lines-fitted"]


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"pattern": "meander", "match": "closed"}, "match", "a meander wanders"),
    ({"pattern": "echo", "match": "spacing"}, "match", 'for an echo use "closed"'),
    ({"pattern": "rays", "match": "spacing"}, "match", 'for rays use "closed"'),
    ({"pattern": "channel", "at_side_seam": "straight"}, "at_side_seam", 'match = "closed"'),
    (
        {"pattern": "grid", "match": "closed", "at_side_seam": "straight"},
        "at_side_seam",
        "only straight channels",
    ),
    ({"pattern": "channel", "match": "closed", "even_ends": True}, "even_ends", "or match"),
    ({"pattern": "channel", "match": "spacing", "uneven": 1}, "uneven", "chevron"),
    ({"pattern": "channel", "match": "open"}, "match", 'should be "closed" or "spacing"'),
    (
        {"pattern": "channel", "match": "closed", "at_keep_outs": "bend"},
        "at_keep_outs",
        "would not meet",
    ),
    ({"pattern": "channel", "match": "spacing", "part": "flap"}, "match", 'part = "all"'),
]


@pytest.mark.parametrize(("fill", "key", "words"), REFUSED)
def test_what_cannot_be_matched_is_said(fill: dict[str, Any], key: str, words: str) -> None:
    with pytest.raises(ProjectError) as caught:
        spoke_pouch(fill)
    told = {fault.where: fault.message for fault in caught.value.faults}
    assert words in told[f"fills[0].{key}"]


def test_a_panel_that_does_not_close_has_nothing_to_match() -> None:
    flat = {"shape": "rectangle", "width": 200, "height": 120}
    project = parse_project({"format": 1, "panel": flat, "fills": [{**CHANNEL, "match": "closed"}]})
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel))
    assert "nothing-to-match" in said(lines)
    assert len(lines) > 10


def test_a_part_that_lies_all_in_the_seams_hides_nothing() -> None:
    base = {"shape": "base", "width": 190, "height": 120, "seam_allowance": 10}
    folds = [
        {"name": "fold 1", "from": [-5, 107], "to": [115, 124]},
        {"name": "fold 2", "from": [-5, 36], "to": [196, 36]},
    ]
    fill = {**CHANNEL, "match": "closed", "at_side_seam": "straight"}
    project = parse_project({"format": 1, "panel": {**base, "folds": folds}, "fills": [fill]})
    panel = make_panel(project)
    finished = shapely.box(10, 10, 180, 110)
    assert any(shapely.intersection(part.area, finished).area == 0 for part in panel.parts)
    assert len(make_lines(project, panel, make_fields(project, panel))) > 5


def test_a_line_that_misses_the_next_part_goes_on_nowhere() -> None:
    # found on a random panel: shapely answers with a line of no points
    line = np.array([(10.0, 30.0), (20, 30)])
    assert first_piece(line, shapely.box(0, 0, 20, 20)) is None
    assert first_piece(line, shapely.box(0, 0, 15, 40)) is not None
