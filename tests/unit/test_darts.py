"""Darts: where their legs lie, what is refused, what is found, where quilting stays away."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import jsonschema
import numpy as np
import pytest
import shapely

from loftline.checks import check_sewn
from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.panel.square_corners import TOWARDS, find_corner
from loftline.plan import make_plan
from loftline.project import json_schema, parse_project
from loftline.units import PLAN_MARGIN_MM
from loftline.values import Dart, Panel, Plan
from loftline.writers import draw_plan, write_files
from loftline.writers.json_schema import document_schema

BOX = {"shape": "rectangle", "width": 250, "height": 180}
POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
}
ASLANT = {
    "shape": "polygon",
    "points": [[0, 0], [250, 0], [250, 200], [6, 200]],
    "folds": [{"name": "lower fold", "from": [3, 100], "to": [250, 100]}],
}
BOTTOM = {"name": "bottom", "fold": "lower fold", "side": "left", "depth": 60}


def document(panel: dict[str, Any], *darts: dict[str, Any], **more: Any) -> dict[str, Any]:  # noqa: ANN401 - any table of the file
    return {
        "format": 1,
        "name": "x",
        "panel": panel | {"darts": list(darts)},
        "fills": [{"pattern": "channel"}],
    } | more


def panel_of(panel: dict[str, Any], *darts: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    return make_panel(parse_project(document(panel, *darts, **more)))


def plan_of(panel: dict[str, Any], *darts: dict[str, Any], **more: Any) -> Plan:  # noqa: ANN401 - any table of the file
    return make_plan(parse_project(document(panel, *darts, **more)))


def dart_of(panel: dict[str, Any], dart: dict[str, Any]) -> Dart:
    (found,) = panel_of(panel, dart).darts
    return found


def codes(panel: Panel | Plan) -> list[str]:
    return [finding.code for finding in panel.findings]


def test_the_legs_of_a_square_corner_start_one_unit_along_both_edges() -> None:
    dart = dart_of(BOX, {"corner": "lower left", "unit": 20})
    assert sorted(dart.ends) == [pytest.approx((0, 20)), pytest.approx((20, 0))]
    assert dart.tip == pytest.approx((30 / math.sqrt(2), 30 / math.sqrt(2)))


def test_a_depth_of_root_two_units_cuts_the_square_of_a_boxed_corner() -> None:
    dart = dart_of(BOX, {"corner": "upper right", "unit": 20, "depth": 20 * math.sqrt(2)})
    assert dart.wedge.symmetric_difference(shapely.box(230, 160, 250, 180)).area < 1e-6


@pytest.mark.parametrize("name", list(TOWARDS))
@pytest.mark.parametrize("radius", [0, 10, 60, 90])
def test_corners_are_found_where_the_edges_would_meet(name: str, radius: float) -> None:
    outline = panel_of(BOX | {"corner_radius": radius}).outline
    corner = find_corner(outline, name)
    assert corner is not None
    right, up = TOWARDS[name]
    assert corner.at == pytest.approx(((right > 0) * 250, (up > 0) * 180), abs=1e-6)
    assert corner.middle == pytest.approx((-right / math.sqrt(2), -up / math.sqrt(2)), abs=1e-6)
    assert corner.curve == pytest.approx(radius * (math.sqrt(2) - 1), abs=1e-3)


@pytest.mark.parametrize("name", list(TOWARDS))
@pytest.mark.parametrize("radius", [0, 15, 30])
def test_corners_of_a_slanted_panel_are_found_too(name: str, radius: float) -> None:
    points = np.array([(0, 0), (200, 0), (240, 150), (30, 180)], float)
    at = points[{"lower left": 0, "lower right": 1, "upper right": 2, "upper left": 3}[name]]
    panel = {"shape": "polygon", "points": points.tolist(), "corner_radius": radius}
    corner = find_corner(panel_of(panel).outline, name)
    assert corner is not None
    assert corner.at == pytest.approx(at, abs=1e-6)


@pytest.mark.parametrize("name", list(TOWARDS))
def test_a_flap_that_is_round_to_the_fold_has_corners(name: str) -> None:
    panel = POUCH | {"flap": 40, "corner_radius": 40}
    dart = dart_of(panel, {"corner": name, "unit": 15})
    one, two = dart.leg_lengths
    assert one == pytest.approx(two, abs=1e-6)


def test_a_round_panel_has_no_corner() -> None:
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    ring = np.round(100 + 100 * np.column_stack([np.cos(turn), np.sin(turn)]), 3)
    dart = {"corner": "lower left", "unit": 15}
    panel = panel_of({"shape": "polygon", "points": ring.tolist()})
    # a circle touches its box: the square corner is the box's
    corner = find_corner(panel.outline, "lower left")
    assert corner is not None
    assert corner.at == pytest.approx((0, 0), abs=0.01)
    with pytest.raises(ProjectError, match=r"darts\[0\]\.corner: an ellipse has no corners"):
        panel_of({"shape": "ellipse", "width": 100, "height": 80}, dart)


def test_a_boxed_corner_is_a_rectangle_astride_the_fold() -> None:
    # 60 deep with seams of 10: 30 along the fold, 30 less the seam on both sides of it
    dart = dart_of(POUCH, BOTTOM)
    assert dart.wedge.symmetric_difference(shapely.box(0, 130, 30, 170)).area < 1e-6


def test_a_boxed_corner_at_the_other_end_of_the_fold() -> None:
    dart = dart_of(POUCH, BOTTOM | {"side": "right"})
    assert dart.wedge.symmetric_difference(shapely.box(220, 130, 250, 170)).area < 1e-6


def test_a_boxed_corner_at_a_fold_that_runs_up_and_down() -> None:
    fold = {"name": "middle", "from": [125, 0], "to": [125, 180]}
    dart = dart_of(BOX | {"folds": [fold]}, {"fold": "middle", "side": "lower", "depth": 40})
    assert dart.wedge.symmetric_difference(shapely.box(115, 0, 135, 20)).area < 1e-6


def test_the_legs_of_a_boxed_corner_are_two_equal_angles_that_meet_on_the_fold() -> None:
    dart = dart_of(POUCH, BOTTOM)
    expected = {((0.0, 130.0), (30.0, 130.0), (30.0, 150.0))}
    expected |= {((0.0, 170.0), (30.0, 170.0), (30.0, 150.0))}
    assert {tuple(map(tuple, leg.round(6).tolist())) for leg in dart.legs} == expected


def test_the_seam_allowance_of_a_boxed_corner_reaches_into_its_corners() -> None:
    dart = dart_of(POUCH, BOTTOM)
    assert dart.zone.symmetric_difference(shapely.box(0, 120, 40, 180)).area < 1e-6


def test_without_seam_allowance_the_seam_lies_on_the_legs() -> None:
    dart = dart_of(POUCH | {"seam_allowance": 0}, BOTTOM)
    assert dart.wedge.symmetric_difference(shapely.box(0, 120, 30, 180)).area < 1e-6


def test_a_fold_that_is_drawn_past_the_edge_is_boxed_from_the_edge() -> None:
    points = [[0, 0], [100, 0], [100, 200], [0, 200]]
    fold = {"name": "lower fold", "from": [-0.4, 100], "to": [100.4, 100]}
    panel = {"shape": "polygon", "points": points, "folds": [fold]}
    dart = dart_of(panel, BOTTOM)
    assert dart.wedge.symmetric_difference(shapely.box(0, 80, 30, 120)).area < 1e-6


def test_the_seam_of_another_dart_is_as_long_as_its_leg() -> None:
    dart = dart_of(BOX, {"points": [[0, 40], [30, 55], [0, 70]]})
    assert dart.seam == pytest.approx(math.hypot(30, 15))


def test_a_drawn_wedge_is_cut_at_the_edge() -> None:
    dart = dart_of(BOX, {"points": [[-5, 40], [30, 55], [-5, 70]]})
    assert dart.tip == pytest.approx((30, 55))
    # the legs cross the edge after 5 of 35 mm
    assert sorted(dart.ends) == [
        pytest.approx((0, 40 + 15 / 7)),
        pytest.approx((0, 70 - 15 / 7)),
    ]


def test_a_drawn_wedge_may_have_bent_legs() -> None:
    points = [[250, 40], [230, 45], [215, 60], [230, 75], [250, 80]]
    dart = dart_of(BOX, {"points": points})
    assert dart.tip == pytest.approx((215, 60))
    by_hand = math.hypot(20, 5) + math.hypot(15, 15)
    assert dart.leg_lengths == pytest.approx((by_hand, by_hand))


def test_a_point_beside_the_edge_is_meant_on_it() -> None:
    dart = dart_of(BOX, {"points": [[0.3, 40], [30, 55], [-0.2, 70]]})
    assert all(x == pytest.approx(0) for x, _ in dart.ends)


def test_unequal_legs_are_told_with_the_difference() -> None:
    panel = panel_of(BOX, {"name": "side", "points": [[0, 40], [30, 60], [0, 70]]})
    (finding,) = panel.findings
    assert finding.code == "dart-legs-differ"
    # by hand: the roots of 1300 and 1000
    assert finding.message.startswith('the two legs of "side" are 36.1 mm and 31.6 mm long, 4.4 mm')


def test_legs_within_the_width_of_a_chalk_line_are_equal() -> None:
    assert codes(panel_of(BOX, {"points": [[0, 40], [30, 55.2], [0, 70]]})) == []


def test_a_step_beside_a_fold_makes_the_legs_unequal() -> None:
    # the flap is 3 mm narrower: its leg starts 3 mm farther in
    wedge = {"points": [[-1, 280], [30, 300], [-1, 320]]}
    assert codes(panel_of(POUCH, wedge)) == ["dart-legs-differ"]


@pytest.mark.parametrize(
    ("panel", "dart", "words"),
    [
        (BOX, {"unit": 20}, r"darts\[0\]\.corner: give one of corner, fold and points"),
        (BOX, {"corner": "lower left"}, r"darts\[0\]\.unit: is missing; .* by its corner needs"),
        (BOX, {"corner": "left", "unit": 9}, r"darts\[0\]\.corner: found \"left\"; "),
        (BOX, {"corner": "lower left", "unit": 9, "side": "left"}, r"\.side: does not belong"),
        (BOX, {"corner": "lower left", "unit": 200}, r"\.unit: .*the shorter has 180 mm"),
        (BOX, {"corner": "lower left", "unit": 30, "depth": 20}, "more than 21.2 mm"),
        (BOX, {"corner": "lower left", "unit": 30, "depth": 500}, r"\.depth: .*through the panel"),
        (BOX, {"fold": "lower fold"}, r"\.side: is missing"),
        (BOX, BOTTOM, r"\.fold: .*this panel has none"),
        (POUCH, BOTTOM | {"fold": "lower fld"}, 'did you mean "lower fold"'),
        (POUCH, BOTTOM | {"side": "upper"}, r"\.side: .*runs across: its ends are left and right"),
        (BOX, {"fold": "lower fold", "side": "left"}, r"\.depth: is missing; .* side and depth"),
        (POUCH, BOTTOM | {"depth": 500}, r"\.depth: .*250 mm along the fold, which is 250 mm long"),
        (
            POUCH,
            BOTTOM | {"depth": 20},
            r"\.depth: .*20 mm deep; .*two seam allowances, here 20 mm",
        ),
        (POUCH, BOTTOM | {"fold": "upper fold"}, r"\.depth: .*needs the edge straight and square"),
        (POUCH, BOTTOM | {"depth": 320}, r"\.depth: .*straight and square .* for 160 mm on both"),
        (ASLANT, BOTTOM, r"\.depth: .*straight and square to the fold for 30 mm on both sides"),
        (BOX, {"points": [[10, 40], [30, 50], [10, 60]]}, "wholly inside the panel"),
        (BOX, {"points": [[-9, 40], [-3, 50], [-9, 60]]}, "no tip inside the panel"),
        (BOX, {"points": [[-9, 40], [30, 50], [280, 60]]}, "should open at the edge in one place"),
        (BOX, {"points": [[-9, 40], [30, 50], [30, -9], [60, 50], [-9, 60]]}, "in one place"),
        (BOX, {"points": [[0, 40], [30, 60], [0, 60], [30, 40]]}, "crosses itself"),
    ],
)
def test_darts_that_cannot_be(panel: dict[str, Any], dart: dict[str, Any], words: str) -> None:
    with pytest.raises(ProjectError, match=words):
        panel_of(panel, dart)


def test_darts_over_each_other_are_refused() -> None:
    one = {"name": "one", "points": [[0, 40], [30, 50], [0, 60]]}
    two = {"name": "two", "points": [[0, 55], [30, 65], [0, 75]]}
    with pytest.raises(ProjectError, match=r'darts\[1\]: "two" lies over "one"'):
        panel_of(BOX, one, two)


def test_two_darts_of_one_name_are_refused() -> None:
    with pytest.raises(ProjectError, match=r"darts\[1\]\.name: .*is the name of darts\[0\] too"):
        panel_of(POUCH, BOTTOM, BOTTOM | {"side": "right"})


def test_darts_without_names_are_counted() -> None:
    panel = panel_of(POUCH, *({"corner": name, "unit": 15} for name in TOWARDS))
    assert [dart.name for dart in panel.darts] == ["dart 1", "dart 2", "dart 3", "dart 4"]


def test_a_dart_over_a_hole_is_refused() -> None:
    panel = {
        "shape": "polygon",
        "points": [[0, 0], [100, 0], [100, 80], [0, 80]],
        "holes": [[[10, 40], [20, 40], [20, 45], [10, 45]]],
    }
    with pytest.raises(ProjectError, match="lies over a hole"):
        panel_of(panel, {"points": [[0, 30], [30, 42], [0, 54]]})


@pytest.mark.parametrize(
    ("more", "names"),
    [
        (
            {"hardware": [{"name": "snap", "kind": "magnetic snap", "at": [24, 150]}]},
            ("snap", "lies on the dart"),
        ),
        (
            {
                "keep_outs": [
                    {"name": "label", "shape": "rectangle", "at": [25, 182], "width": 25}
                    | {"height": 20}
                ]
            },
            ("label", "lies in the seam allowance of the dart"),
        ),
    ],
)
def test_what_lies_on_a_dart_stops_the_plan(more: dict[str, Any], names: tuple[str, str]) -> None:
    panel = panel_of(POUCH, BOTTOM, **more)
    (finding,) = [finding for finding in panel.findings if finding.code == "piece-on-dart"]
    assert finding.severity == "error"
    assert finding.message == f'"{names[0]}" {names[1]} "bottom"'


def test_the_other_half_of_a_closure_on_a_dart_stops_the_plan() -> None:
    # folded, a magnet 2 mm below the flap's edge lies 2 mm below the wedge on the front
    magnet = {"name": "magnet", "kind": "sew-in magnet", "diameter": 18, "at": [17, 398]}
    square = POUCH | {"corner_radius": 0}
    panel = panel_of(square, BOTTOM | {"depth": 120}, hardware=[magnet | {"mate": True}])
    (finding,) = [finding for finding in panel.findings if finding.code == "piece-on-dart"]
    assert '"magnet, other half"' in finding.message


def test_what_lies_beside_a_dart_is_left_alone() -> None:
    label = {"name": "label", "shape": "circle", "at": [60, 150], "diameter": 20}
    assert codes(panel_of(POUCH, BOTTOM, keep_outs=[label])) == []


@pytest.mark.parametrize("overhang", [0, 25])
@pytest.mark.parametrize("allowance", [0, 1, 10])
def test_quilting_stays_out_of_the_wedge_and_its_seam_allowance(
    overhang: float, allowance: float
) -> None:
    panel = panel_of(POUCH | {"overhang": overhang, "seam_allowance": allowance}, BOTTOM)
    (dart,) = panel.darts
    within = shapely.intersection(panel.sewable, panel.outline)
    kept = shapely.distance(within, dart.wedge)
    assert kept == pytest.approx(allowance + PLAN_MARGIN_MM, abs=0.01)


def test_past_its_open_side_the_overhang_stays_a_way() -> None:
    panel = panel_of(POUCH, BOTTOM)
    assert panel.sewable.covers(shapely.Point(-3, 150))
    assert not panel.sewable.intersects(shapely.Point(3, 150))


def test_a_needle_point_in_a_dart_is_found() -> None:
    plain = plan_of(POUCH)
    dart = panel_of(POUCH, BOTTOM).darts
    found = check_sewn(replace(plain.panel, darts=dart), plain.sewn, longest_stitch=7)
    (finding,) = found
    assert finding.code == "dart-entered"
    assert 'in the dart "bottom" or its seam allowance' in finding.message
    assert "dart-entered" not in codes(plan_of(POUCH, BOTTOM))


def test_a_dart_is_told_in_the_document() -> None:
    plan = plan_of(POUCH, BOTTOM)
    told = json.loads(write_files(plan, ("json",))["x.json"])
    jsonschema.validate(told, document_schema())
    assert told["panel"]["darts"] == [
        {
            "name": "bottom",
            "wedge": told["panel"]["darts"][0]["wedge"],
            "tip": [30.0, 150.0],
            "ends": [list(end) for end in plan.panel.darts[0].ends],
            "legs": [50.0, 50.0],
            "seam": 60.0,
        }
    ]
    assert shapely.Polygon(told["panel"]["darts"][0]["wedge"]).area == pytest.approx(30 * 40)


def test_a_dart_is_drawn_with_its_name_and_a_sign() -> None:
    corner = {"name": "left dart", "corner": "upper left", "unit": 20}
    picture = draw_plan(plan_of(POUCH, corner))
    assert '<g id="darts"><g class="dart">' in picture
    assert "left dart</text>" in picture
    assert "dart: cut or sewn out, legs meet at the dot" in picture
    assert "dart:" not in draw_plan(plan_of(POUCH))


def test_the_schema_of_the_file_takes_what_the_reader_takes() -> None:
    corner = {"corner": "lower left", "unit": "1 in", "depth": "1 1/2 in"}
    drawn = {"points": [[0, 40], [30, 50], [0, 60]]}
    schema = json_schema()
    jsonschema.validate(document(POUCH, BOTTOM, corner, drawn), schema)
    for wrong in ({"unit": 3}, corner | BOTTOM, BOTTOM | {"unit": 3}, drawn | {"unit": 3}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(document(POUCH, wrong), schema)


def test_two_darts_whose_seam_allowances_overlap_are_told() -> None:
    one = {"name": "one", "points": [[0, 40], [30, 50], [0, 60]]}
    two = {"name": "two", "points": [[0, 75], [30, 85], [0, 95]]}  # 15 apart, allowances of 10
    panel = panel_of(BOX, one, two)
    (finding,) = panel.findings
    assert finding.code == "darts-too-near"
    assert finding.message == 'the seam allowances of the darts "one" and "two" overlap'
    assert codes(panel_of(BOX | {"seam_allowance": 5}, one, two)) == []


def test_a_dart_that_a_fold_runs_into_is_told() -> None:
    # from the left edge, its tip 20 above the lower fold
    wedge = {"name": "side", "points": [[0, 140], [30, 170], [0, 200]]}
    (finding,) = panel_of(POUCH, wedge).findings
    assert finding.code == "dart-across-fold"
    assert 'the fold "lower fold" runs into the dart "side"' in finding.message


def test_a_drawn_dart_alike_on_both_sides_of_a_fold_is_left_alone() -> None:
    assert codes(panel_of(POUCH, {"points": [[0, 130], [20, 150], [0, 170]]})) == []


def test_a_boxed_corner_is_alike_on_both_sides_of_its_fold() -> None:
    assert codes(panel_of(POUCH, BOTTOM)) == []


def test_a_boxed_corner_has_a_sign_of_its_own() -> None:
    picture = draw_plan(plan_of(POUCH, BOTTOM))
    assert "boxed corner: cut out, then sewn across" in picture
    assert "dart:" not in picture
