"""The widest place without a line, and the closest needle points, against closed forms."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.checks import check_gap, check_stiffness, densest, widest_gap
from loftline.checks.gaps import Gap
from loftline.checks.stiffness import STIFF, WEAK, Densest
from loftline.cli.figures import report_rows
from loftline.geometry import circle, pack
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Floats, Lines, Panel, Sewn

WIDE, HIGH = 200.0, 150.0


def project(**more: Any) -> Project:  # noqa: ANN401 - tables of the file
    return parse_project(
        {
            "format": 1,
            "name": "Workbench caddy",
            "panel": {"shape": "rectangle", "width": WIDE, "height": HIGH},
            "fills": [{"pattern": "channel", "angle": 0, "spacing": 12}],
        }
        | more
    )


def panel(**more: Any) -> Panel:  # noqa: ANN401 - tables of the file
    return make_panel(project(**more))


def drawn(*curves: Floats) -> Lines:
    points, starts = pack(list(curves))
    count = len(curves)
    return Lines(
        points=points,
        starts=starts,
        fill=np.zeros(count, np.int64),
        family=np.zeros(count, np.int64),
        angle=np.full(count, np.nan),
        closed=np.zeros(count, bool),
    )


def level(*heights: float) -> list[Floats]:
    return [np.array([(-5.0, y), (WIDE + 5, y)]) for y in heights]


def upright(*places: float) -> list[Floats]:
    return [np.array([(x, -5.0), (x, HIGH + 5)]) for x in places]


def width_of(lines: Lines, on: Panel | None = None) -> float:
    gap = widest_gap(on or panel(), lines)
    assert gap is not None
    return gap.width


@pytest.mark.parametrize("spacing", [5.0, 10.0, 25.0])
def test_between_parallel_lines_the_gap_is_their_spacing(spacing: float) -> None:
    lines = drawn(*level(*np.arange(0, HIGH + 1, spacing)))
    assert width_of(lines) == pytest.approx(spacing, rel=0.015, abs=0.1)


def test_the_one_wide_gap_among_even_lines_is_found() -> None:
    heights = [y for y in np.arange(0, HIGH + 1, 10.0) if y not in (70.0, 80.0)]
    gap = widest_gap(panel(), drawn(*level(*heights)))
    assert gap is not None
    assert gap.width == pytest.approx(30, rel=0.015)
    assert gap.at[1] == pytest.approx(75, abs=0.5)


def test_in_a_square_grid_a_circle_touches_four_lines() -> None:
    lines = drawn(*level(*np.arange(0, HIGH, 15.0)), *upright(*np.arange(0, WIDE, 15.0)))
    assert width_of(lines) == pytest.approx(15, rel=0.015)


def test_in_a_triangle_grid_the_circle_is_two_thirds_of_the_spacing() -> None:
    # the incircle of an equilateral triangle: a third of its height, here the spacing
    curves = []
    for turn in (0.0, 60.0, 120.0):
        along = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
        across = np.array([-along[1], along[0]])
        middle = np.array([WIDE / 2, HIGH / 2])
        for k in range(-12, 13):
            foot = middle + k * 18.0 * across
            curves.append(np.array([foot - 300 * along, foot + 300 * along]))
    assert width_of(drawn(*curves)) == pytest.approx(12, rel=0.015)


def test_a_bare_panel_is_as_wide_as_its_widest_circle() -> None:
    assert width_of(drawn()) == pytest.approx(HIGH, rel=0.011)


def test_one_round_line_leaves_its_inside() -> None:
    rim = shapely.get_coordinates(circle((WIDE / 2, HIGH / 2), 120.0).exterior)
    # beside it the widest circle touches both edges of a corner and the round line
    half = (WIDE / 2, HIGH / 2)
    corner = _corner_circle(half[0], half[1], 60.0)
    assert width_of(drawn(rim)) == pytest.approx(max(120.0, 2 * corner), rel=0.011)


def _corner_circle(x: float, y: float, radius: float) -> float:
    """Radius r of the circle about (r, r) that touches one about (x, y) from outside."""
    # (x - r)^2 + (y - r)^2 = (radius + r)^2
    b, c = x + y + radius, x * x + y * y - radius * radius
    return b - math.sqrt(b * b - c)


def test_the_edge_of_a_panel_holds_like_a_line() -> None:
    # lines 20 from the edges: the widest circle lies between the two
    assert width_of(drawn(*level(20, 130))) == pytest.approx(110, rel=0.011)


def test_a_keep_out_widens_a_gap_from_its_edge_on() -> None:
    label = {"name": "label", "shape": "rectangle", "at": [100, 75], "width": 90, "height": 30}
    on = panel(keep_outs=[label | {"clearance": 5}])
    # lines end beside the label: the centre lies on its edge, 25 from the next line
    beside = [np.array([(-5.0, 75.0), (50.0, 75.0)]), np.array([(150.0, 75.0), (205.0, 75.0)])]
    lines = drawn(*level(*range(0, 31, 10), *range(120, 151, 10)), *beside)
    gap = widest_gap(on, lines)
    assert gap is not None
    assert not shapely.box(50, 55, 150, 95).buffer(-0.01).contains(shapely.Point(gap.at))
    assert gap.width == pytest.approx(50, rel=0.011)


def test_without_ground_there_is_no_gap() -> None:
    whole = {"name": "label", "shape": "rectangle", "at": [100, 75], "width": 300, "height": 300}
    on = panel()
    zone = make_panel(project(keep_outs=[whole | {"width": 180, "height": 140}])).keep_outs[0]
    covered = replace(on, keep_outs=(replace(zone, outline=shapely.box(-9, -9, 300, 300)),))
    assert widest_gap(covered, drawn()) is None


def codes(gap: float, kind: str = "foam", spacing: float = 12.0) -> list[str]:
    told = project(
        layers={"foam": {"kind": kind}}, fills=[{"pattern": "channel", "spacing": spacing}]
    )
    found = check_gap(told, panel(), drawn(*level(50)), Gap(at=(100, 75), width=gap))
    return [f"{finding.code}, {finding.severity}" for finding in found]


def test_a_gap_is_held_against_what_the_batting_allows() -> None:
    # reference: makers' instructions, wool 75 mm, plain cotton 40 to 50 mm
    assert codes(74.0, "wool batting", 40.0) == []
    assert codes(76.0, "wool batting", 40.0) == ["gap-too-wide, warning"]
    assert codes(45.0, "plain cotton batting", 20.0) == ["gap-wide, note"]


def test_for_foam_no_limit_is_known() -> None:
    assert codes(200.0, "foam", 100.0) == []


def test_a_spacing_that_is_told_already_is_not_told_again() -> None:
    assert codes(101.0, "wool batting", 100.0) == []


def test_a_gap_is_held_against_the_spacing_that_was_asked_for() -> None:
    assert codes(30.0) == []
    assert codes(31.0) == ["gap-wider-than-spacing, note"]


def test_a_fill_of_another_part_does_not_count() -> None:
    pouch = {"shape": "folded pouch", "width": 160, "body": 110, "flap": 80}
    told = project(
        panel=pouch,
        fills=[
            {"part": "front", "pattern": "channel", "spacing": 5},
            {"part": "back", "pattern": "channel", "spacing": 20},
        ],
    )
    on = make_panel(told)
    lines = drawn(*level(50))
    assert check_gap(told, on, lines, Gap(at=(80, 165), width=45)) == ()
    assert len(check_gap(told, on, lines, Gap(at=(80, 55), width=45))) == 1


def sewn_at(points: Floats) -> Sewn:
    x, y = np.rint(points * 10).astype(np.int64).T
    zero = np.zeros(len(x), np.int64)
    none = np.empty(0, np.int64)
    return Sewn(x=x, y=y, run=zero, kind=zero, via=np.empty((0, 2), np.int64), via_run=none)


def field_of(step: float, low: Floats, high: Floats) -> Floats:
    across = np.arange(low[0] + step / 2, high[0], step)
    upward = np.arange(low[1] + step / 2, high[1], step)
    return np.stack(np.meshgrid(across, upward), axis=-1).reshape(-1, 2)


def test_needle_points_two_millimetres_apart_are_25_in_a_square_centimetre() -> None:
    found = densest(panel(), sewn_at(field_of(2.0, np.zeros(2), np.array([WIDE, HIGH]))))
    assert found is not None
    assert found.per_cm2 == pytest.approx(25.0)


def test_the_closest_place_is_found_among_others() -> None:
    wide = field_of(5.0, np.zeros(2), np.array([WIDE, HIGH]))
    close = field_of(1.0, np.array([120.0, 60.0]), np.array([145.0, 85.0]))
    found = densest(panel(), sewn_at(np.concatenate([wide, close])))
    assert found is not None
    assert found.per_cm2 == pytest.approx(104.0)
    assert found.at == pytest.approx((132.5, 72.5), abs=5.0)


def test_needle_points_in_the_overhang_are_trimmed_off() -> None:
    outside = field_of(1.0, np.array([-20.0, 0.0]), np.array([0.0, HIGH]))
    assert densest(panel(), sewn_at(outside)) is None


def test_nothing_sewn_is_nowhere_dense() -> None:
    assert densest(panel(), sewn_at(np.empty((0, 2)))) is None


@pytest.mark.parametrize(
    ("per_cm2", "expected"),
    [
        (STIFF, []),
        (STIFF + 1, ["stitches-stiffen, note"]),
        (WEAK, ["stitches-stiffen, note"]),
        (WEAK + 1, ["stitches-weaken, warning"]),
    ],
)
def test_many_stitches_stiffen_and_more_weaken(per_cm2: float, expected: list[str]) -> None:
    found = check_stiffness(Densest(at=(10, 10), per_cm2=per_cm2))
    assert [f"{finding.code}, {finding.severity}" for finding in found] == expected


def test_the_report_tells_the_widest_gap_and_the_closest_stitches() -> None:
    report = make_plan(project()).report
    assert report.extra["widest_gap"] == pytest.approx(12, rel=0.015)
    # 12 mm apart, a needle point every 3 mm: 2.8, more where 20 mm catch two lines
    assert report.extra["most_stitches_per_cm2"] == pytest.approx(2 * 7 / 4, abs=0.5)
    rows = dict(report_rows(report, "mm"))
    assert rows["Widest place without a line"] == "12 mm"
    assert rows["Needle points where they are closest"] == "4 in a cm²"


MIDDLE = (100.0, 75.0)
DISC = {"name": "gear", "shape": "circle", "at": [100, 75], "diameter": 90}
PLAIN = {"pattern": "channel", "spacing": 10}


@pytest.mark.parametrize(
    ("fills", "width", "expected"),
    [
        ([PLAIN], 26, ["gap-wider-than-spacing"]),
        # nobody said how far apart the lines of a motif lie
        ([{"pattern": "motif", "motif": "spool"}], 26, []),
        ([{"pattern": "meander", "spacing": 10, "spacing_to": 20}], 49, []),
        ([{"pattern": "meander", "spacing": 10, "spacing_to": 20}], 51, ["gap-wider-than-spacing"]),
        # the region's own wish counts in it, not that of the rest around
        ([PLAIN, {"pattern": "channel", "spacing": 20, "part": "gear"}], 49, []),
        (
            [PLAIN, {"pattern": "channel", "spacing": 20, "part": "gear"}],
            51,
            ["gap-wider-than-spacing"],
        ),
        ([{**PLAIN, "spacing": 20}, {**PLAIN, "part": "gear"}], 26, ["gap-wider-than-spacing"]),
    ],
)
def test_a_gap_is_held_against_the_wish_at_its_place(
    fills: list[dict[str, Any]], width: float, expected: list[str]
) -> None:
    bag = project(fills=fills, regions=[DISC])
    found = check_gap(bag, make_panel(bag), drawn(*level(75)), Gap(at=MIDDLE, width=width))
    assert [finding.code for finding in found] == expected
