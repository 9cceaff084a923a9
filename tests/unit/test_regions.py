"""Regions with designs of their own, and echoes round one thing."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.geometry import lengths
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Floats, Lines, Panel

CADDY = {"shape": "rectangle", "width": 240, "height": 300, "seam_allowance": 8}
ROUND = {"name": "gear", "shape": "circle", "at": [120, 150], "diameter": 80}
SQUARE = {"name": "plate", "shape": "rectangle", "at": [140, 170], "width": 60, "height": 60}
ALL = {"pattern": "channel", "angle": 0, "spacing": 12}
IN_GEAR = {"pattern": "channel", "angle": 90, "spacing": 8, "part": "gear"}
IN_PLATE = {"pattern": "grid", "spacing": 8, "part": "plate"}


def caddy(
    regions: list[dict[str, Any]],
    *fills: dict[str, Any],
    **more: Any,  # noqa: ANN401 - tables
) -> Project:
    tables = {"panel": CADDY, "regions": regions, "fills": fills} | more
    return parse_project({"format": 1, "name": "Workbench caddy", **tables})


def drawn(project: Project) -> tuple[Panel, Lines]:
    panel = make_panel(project)
    return panel, make_lines(project, panel, make_fields(project, panel))


def of_fill(lines: Lines, fill: int) -> shapely.MultiLineString:
    return shapely.MultiLineString(
        [lines.line(i) for i in np.flatnonzero(lines.fill == fill).tolist()]
    )


def circle(radius: float, at: tuple[float, float] = (120, 150)) -> shapely.Polygon:
    return shapely.Point(at).buffer(radius, quad_segs=256)


class TestRegions:
    def test_the_rest_leaves_them_out(self) -> None:
        _, lines = drawn(caddy([ROUND], ALL, IN_GEAR))
        assert shapely.intersection(of_fill(lines, 0), circle(39.9)).length < 1e-6

    def test_without_a_design_of_their_own_nothing_is_left_out(self) -> None:
        _, lines = drawn(caddy([ROUND], ALL))
        assert shapely.intersection(of_fill(lines, 0), circle(39.9)).length > 300

    def test_their_own_design_stays_inside(self) -> None:
        _, lines = drawn(caddy([ROUND], ALL, IN_GEAR))
        assert circle(40.05).covers(of_fill(lines, 1))

    def test_chords_are_as_long_as_the_circle_says(self) -> None:
        # closed form: 2 sqrt(r^2 - x^2) for lines at 0, 8, 16, 24, 32 mm from the centre
        _, lines = drawn(caddy([ROUND], ALL, IN_GEAR))
        wanted = sum((1 if x == 0 else 2) * 2 * math.sqrt(40**2 - x**2) for x in (0, 8, 16, 24, 32))
        assert of_fill(lines, 1).length == pytest.approx(wanted, rel=1e-3)

    def test_a_later_one_lies_on_top(self) -> None:
        _, lines = drawn(caddy([ROUND, SQUARE], ALL, IN_GEAR, IN_PLATE))
        plate = shapely.box(110.1, 140.1, 169.9, 199.9)
        assert shapely.intersection(of_fill(lines, 1), plate).length < 1e-6
        assert shapely.intersection(of_fill(lines, 2), plate).length > 500

    def test_one_may_hang_over_the_edge(self) -> None:
        panel, lines = drawn(caddy([{**ROUND, "at": [0, 150]}], ALL, IN_GEAR))
        assert of_fill(lines, 1).length > 100
        assert panel.sewable.buffer(1e-6).covers(of_fill(lines, 1))

    def test_a_design_is_centred_in_its_region(self) -> None:
        _, lines = drawn(caddy([{**ROUND, "at": [101, 150]}], ALL, IN_GEAR))
        x = np.array([lines.line(i)[0, 0] for i in np.flatnonzero(lines.fill == 1).tolist()])
        assert (x - 101) / 8 == pytest.approx(np.round((x - 101) / 8), abs=1e-9)


class TestBorders:
    def test_a_sewn_one_is_a_closed_line(self) -> None:
        _, lines = drawn(caddy([{**ROUND, "border": "sewn"}], ALL, IN_GEAR))
        (border,) = np.flatnonzero(lines.fill == -1)
        assert lines.closed[border]
        around = float(lengths(lines.points, lines.starts)[border])
        assert around == pytest.approx(math.pi * 80, rel=1e-3)

    def test_an_open_one_is_none(self) -> None:
        _, lines = drawn(caddy([ROUND], ALL, IN_GEAR))
        assert not (lines.fill == -1).any()

    def test_a_keep_out_interrupts_it(self) -> None:
        label = {"name": "label", "shape": "circle", "at": [160, 150], "diameter": 20}
        panel, lines = drawn(caddy([{**ROUND, "border": "sewn"}], ALL, IN_GEAR, keep_outs=[label]))
        border = of_fill(lines, -1)
        assert not lines.closed[lines.fill == -1].any()
        assert panel.sewable.buffer(1e-6).covers(border)
        assert 180 < border.length < 230

    def test_what_a_later_region_covers_is_not_sewn(self) -> None:
        _, lines = drawn(caddy([{**ROUND, "border": "sewn"}, SQUARE], ALL, IN_GEAR, IN_PLATE))
        plate = shapely.box(110.1, 140.1, 169.9, 199.9)
        assert shapely.intersection(of_fill(lines, -1), plate).length < 1e-6

    def test_two_regions_side_by_side_share_one_line(self) -> None:
        left = {**SQUARE, "name": "left", "at": [90, 170], "border": "sewn"}
        right = {**SQUARE, "name": "right", "at": [150, 170], "border": "sewn"}
        _, lines = drawn(caddy([left, right], ALL))
        assert of_fill(lines, -1).length == pytest.approx(2 * (120 + 60) + 60, abs=0.2)

    def test_a_sewn_one_saves_thread_cuts(self) -> None:
        cuts = [
            make_plan(
                caddy([{**ROUND, "border": border}], ALL, IN_GEAR), effort="quick"
            ).report.cuts
            for border in ("open", "sewn")
        ]
        assert cuts[1] < cuts[0]


class TestWhatIsSaid:
    def faults(
        self, regions: list[dict[str, Any]], panel: dict[str, Any] = CADDY
    ) -> dict[str, str]:
        with pytest.raises(ProjectError) as caught:
            make_panel(caddy(regions, ALL, panel=panel))
        return {fault.where: fault.message for fault in caught.value.faults}

    def test_a_name_twice(self) -> None:
        assert "regions[0] too" in self.faults([ROUND, ROUND])["regions[1].name"]

    def test_the_name_of_a_part(self) -> None:
        pouch = {"shape": "folded pouch", "width": 240, "body": 150, "flap": 100}
        found = self.faults([{**ROUND, "name": "flap"}], pouch)
        assert "is a part of the panel" in found["regions[0].name"]

    def test_the_name_of_all(self) -> None:
        assert "every part" in self.faults([{**ROUND, "name": "all"}])["regions[0].name"]

    def test_one_outside(self) -> None:
        assert "wholly outside" in self.faults([{**ROUND, "at": [900, 150]}])["regions[0]"]

    def test_a_border_that_crosses_itself(self) -> None:
        bow = {"name": "bow", "shape": "polygon", "points": [[0, 0], [90, 90], [90, 0], [0, 90]]}
        assert "crosses itself" in self.faults([bow])["regions[0].points"]

    def test_a_missing_key(self) -> None:
        gear = {key: value for key, value in ROUND.items() if key != "diameter"}
        assert "is missing" in self.faults([gear])["regions[0].diameter"]

    def test_a_fill_of_a_region_that_is_not_there(self) -> None:
        with pytest.raises(ProjectError) as caught:
            caddy([ROUND], {**ALL, "part": "geer"})
        assert 'did you mean "gear"?' in str(caught.value)

    def test_a_region_that_changes_nothing(self) -> None:
        panel = make_panel(caddy([ROUND], ALL))
        assert "region-unused" in {finding.code for finding in panel.findings}

    def test_a_region_wholly_under_another(self) -> None:
        over = {**ROUND, "name": "plate", "diameter": 100}
        panel = make_panel(caddy([ROUND, over], ALL, IN_GEAR, IN_PLATE))
        assert "region-covered" in {finding.code for finding in panel.findings}


LABEL = {
    "name": "label",
    "shape": "circle",
    "at": [120, 150],
    "diameter": 30,
    "clearance": 5,
}
ECHO = {"pattern": "echo", "spacing": 10}


def radii(line: Floats) -> Floats:
    return np.asarray(np.hypot(*(line - (120.0, 150.0)).T))


class TestEchoOfOneThing:
    def test_rings_lie_a_spacing_apart(self) -> None:
        # closed form: round a circle of 20 mm (its clearance in it) at 25, 35, 45 mm and so on
        fill = {**ECHO, "echo_of": "label", "joined": False}
        _, lines = drawn(caddy([], fill, keep_outs=[LABEL]))
        found = np.array([radii(lines.line(i)).mean() for i in range(len(lines))])
        assert ((found - 25) / 10) == pytest.approx(np.round((found - 25) / 10), abs=0.01)
        assert round(float(found.min())) == 25

    def test_what_the_edge_cuts_runs_off(self) -> None:
        fill = {**ECHO, "echo_of": "label"}
        panel, lines = drawn(caddy([], fill, keep_outs=[LABEL]))
        ends = np.concatenate(
            [lines.line(i)[[0, -1]] for i in np.flatnonzero(~lines.closed).tolist()]
        )
        assert len(ends) > 8
        away = shapely.distance(shapely.points(ends), panel.sewable.boundary)
        # lines that would run along the edge end before it
        assert np.median(away) < 1e-6

    def test_whole_rings_are_one_line(self) -> None:
        _, lines = drawn(caddy([], {**ECHO, "echo_of": "label"}, keep_outs=[LABEL]))
        assert lines.closed.sum() == 1

    def test_round_a_region(self) -> None:
        fill = {**ECHO, "echo_of": "gear", "joined": False}
        _, lines = drawn(caddy([ROUND], fill, IN_GEAR))
        rings = [radii(lines.line(i)).mean() for i in np.flatnonzero(lines.fill == 0).tolist()]
        assert min(rings) == pytest.approx(45, abs=0.05)

    def test_of_nothing_is_a_fault_that_names_what_there_is(self) -> None:
        with pytest.raises(ProjectError) as caught:
            make_panel(caddy([ROUND], {**ECHO, "echo_of": "labl"}, keep_outs=[LABEL]))
        assert 'found "labl"; on the panel lie "label", "gear"' in str(caught.value)

    def test_only_an_echo_has_it(self) -> None:
        with pytest.raises(ProjectError, match='only to "echo"'):
            caddy([ROUND], {**ALL, "echo_of": "gear"})


def test_the_first_line_of_an_echo_shows_beside_a_wide_seam() -> None:
    wide = {**CADDY, "seam_allowance": 15}
    _, lines = drawn(caddy([], {**ECHO, "joined": False}, panel=wide))
    seen = shapely.box(15, 15, 225, 285)
    rings = [shapely.Polygon(lines.line(i)) for i in range(len(lines))]
    first = max(rings, key=lambda ring: ring.area)
    assert seen.exterior.distance(first) == pytest.approx(5, abs=0.05)
    assert seen.covers(first)


@pytest.mark.parametrize("names", [("lower", "upper"), ("upper", "lower")])
def test_runs_follow_the_order_of_the_fills(names: tuple[str, str]) -> None:
    # too far apart to be sewn in one run; sewing would begin at the lower one otherwise
    height = {"lower": 45, "upper": 255}
    regions = [
        {"name": name, "shape": "circle", "at": [120, height[name]], "diameter": 60}
        for name in height
    ]
    fills = [{"part": name, "pattern": "echo", "spacing": 8} for name in names]
    plan = make_plan(caddy(regions, *fills), effort="quick")
    first = plan.network.line[plan.runs.edges[plan.runs.starts[:-1]]]
    assert plan.lines.fill[first].tolist() == [0, 1]


def test_an_echo_round_its_own_region_draws_nothing_and_says_so() -> None:
    _, lines = drawn(caddy([ROUND], {**ECHO, "part": "gear", "echo_of": "gear"}))
    told = {finding.code: finding for finding in lines.findings}
    assert len(lines) == 0
    assert told["part-left-bare"].where == "fills[0].echo_of"
    assert 'no line of an echo round "gear" lies in "gear"' in told["part-left-bare"].message


BARE = [
    {"pattern": "echo", "part": "gear", "spacing": 2},
    {"pattern": "meander", "part": "gear", "spacing": 2},
    {"pattern": "channel", "part": "gear", "spacing": 1.2, "even_ends": True},
]


@pytest.mark.parametrize("fill", BARE, ids=lambda fill: str(fill["pattern"]))
def test_what_is_said_of_a_design_is_said_in_the_makers_unit(fill: dict[str, Any]) -> None:
    gear = {**ROUND, "at": [4, 5], "diameter": 0.9 if fill["spacing"] == 2 else 3}
    panel = {"shape": "rectangle", "width": 8, "height": 10}
    fills = [fill, {"pattern": "channel", "angle": 0, "spacing": 1}]
    project = {"format": 1, "units": "in", "panel": panel, "regions": [gear], "fills": fills}
    _, lines = drawn(parse_project(project))
    (message,) = {finding.message for finding in lines.findings}
    assert " in" in message
    assert " mm" not in message


EDGES: dict[str, dict[str, Any]] = {
    "an arc that touches": {"shape": "rectangle", "width": 200, "height": 150},
    "a round corner": {"shape": "base", "width": 240, "height": 120},
}


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("pattern", ["echo", "spiral"])
def test_a_line_that_only_leans_on_an_edge_goes_on_beside_it(edge: str, pattern: str) -> None:
    """Left out, the stretch beside the edge would be two ends of thread inside the panel."""
    label = {"name": "label", "shape": "circle", "at": [100, 90], "diameter": 30, "clearance": 3}
    keys = {"echo_of": "label", "joined": False} if pattern == "echo" else {"start_at": [100, 90]}
    fill = {"pattern": pattern, "spacing": 9, **keys}
    tables = {"panel": EDGES[edge], "keep_outs": [label], "fills": [fill]}
    panel, lines = drawn(parse_project({"format": 1, **tables}))
    ends = [lines.line(i)[k] for i in np.flatnonzero(~lines.closed).tolist() for k in (0, -1)]
    away = shapely.distance(panel.sewable.boundary, shapely.points(ends))
    assert len(ends) > 10
    assert away.max() < 1e-6
