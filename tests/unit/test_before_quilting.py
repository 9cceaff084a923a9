"""A panel drawn larger, so that it is right once quilting has drawn it in."""

from __future__ import annotations

import tomllib
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.estimates import make_kit
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import (
    TEMPLATE_SHAPES,
    FillSpec,
    PanelSpec,
    before_quilting,
    parse_project,
    template,
)
from loftline.project.before_quilting import FILL_SIZES, PANEL_SIZES

POUCH: dict[str, Any] = {
    "panel": {
        "shape": "folded pouch",
        "width": 250,
        "body": 150,
        "flap": 110,
        "flap_inset": 3,
        "corner_radius": 45,
        "seam_allowance": 8,
        "darts": [{"name": "left", "corner": "lower left", "unit": 20}],
    },
    "hardware": [
        {"name": "magnet", "kind": "sew-in magnet", "at": [75, 378], "mate": True},
        {"name": "snap", "kind": "magnetic snap", "at": {"from": "flap edge", "distance": 40}},
    ],
    "keep_outs": [
        {"name": "label", "shape": "rectangle", "at": [125, 130], "width": 60, "height": 25},
        {"name": "badge", "shape": "polygon", "points": [[60, 60], [90, 60], [75, 90]]},
    ],
    "fills": [{"pattern": "channel", "spacing": 12, "paired": 3}],
    "quilting": {"draw_in": 4, "allow_for_draw_in": True},
}
BY = 1 / 0.96


def test_what_shrinks_by_the_draw_in_is_the_panel_that_was_asked_for() -> None:
    asked = make_panel(parse_project(POUCH | {"quilting": {}}))
    drawn = make_panel(before_quilting(parse_project(POUCH), 4))
    back = shapely.transform(drawn.outline, lambda points: points * 0.96)
    assert shapely.symmetric_difference(back, asked.outline).area < 1e-6
    for one, other in zip(asked.folds, drawn.folds, strict=True):
        assert np.allclose(np.array([other.start, other.end]) * 0.96, [one.start, one.end])
    for dart, other_dart in zip(asked.darts, drawn.darts, strict=True):
        assert np.allclose(np.array(other_dart.tip) * 0.96, dart.tip)


def test_hardware_keeps_its_size_and_its_centre_moves_outward() -> None:
    asked = make_panel(parse_project(POUCH | {"quilting": {}}))
    drawn = make_panel(before_quilting(parse_project(POUCH), 4))
    assert [piece.name for piece in asked.pieces] == [piece.name for piece in drawn.pieces]
    for piece, other in zip(asked.pieces, drawn.pieces, strict=True):
        assert np.allclose(np.array(other.at) * 0.96, piece.at, atol=1e-6)
        assert other.outline.area == pytest.approx(piece.outline.area)


def test_a_label_s_place_is_left_free_in_full_after_the_draw_in() -> None:
    asked = make_panel(parse_project(POUCH | {"quilting": {}}))
    drawn = make_panel(before_quilting(parse_project(POUCH), 4))
    for name in ("label", "badge"):
        (one,) = [zone for zone in asked.keep_outs if zone.name == name]
        (other,) = [zone for zone in drawn.keep_outs if zone.name == name]
        back = shapely.transform(other.outline, lambda points: points * 0.96)
        assert shapely.symmetric_difference(back, one.outline).area < 1e-6


def test_what_is_drawn_is_left_free_in_full_too() -> None:
    svg = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm"'
        b' viewBox="0 0 100 80"><rect width="100" height="80"/>'
        b'<rect id="label" x="30" y="30" width="20" height="10"/></svg>'
    )
    panel = {"shape": "file", "file": "bag.svg", "drawn": {"keep_outs": "label"}}
    document = {"panel": panel, "fills": [{"pattern": "channel"}]}
    given = parse_project(document, files={"bag.svg": svg})
    drawing = before_quilting(given, 4).panel.drawing
    assert drawing is not None
    back = shapely.transform(drawing.keep_outs[0].area, lambda points: points * 0.96)
    assert back.bounds == pytest.approx((30, 40, 50, 50))


def test_lines_land_at_the_spacing_that_was_asked_for() -> None:
    drawn = before_quilting(parse_project(POUCH), 4)
    assert drawn.fills[0].spacing == pytest.approx(12 * BY)
    assert drawn.fills[0].paired == pytest.approx(3 * BY)
    assert drawn.quilting.stitch_length == 3


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        ([30, 40], (30, 40)),
        ("lower fold", (125, 150)),
        ({"from": "flap edge", "distance": 100}, (125, 310)),
        ({"from": ["left", "flap edge"], "distance": [30, 100]}, (30, 310)),
    ],
)
def test_lines_start_where_it_was_asked_for(start: object, expected: tuple[float, float]) -> None:
    fills = [{"pattern": "channel", "start_at": start}]
    drawn = make_panel(before_quilting(parse_project(POUCH | {"fills": fills}), 4))
    assert np.array(drawn.starts) * 0.96 == pytest.approx(np.array([expected]), abs=1e-6)


def test_the_plan_says_to_what_it_is_trimmed() -> None:
    plan = make_plan(parse_project(POUCH))
    found = plan.report.draw_in
    assert found is not None
    assert found.allowed == 4
    assert found.size == pytest.approx((250, 410))
    (trim,) = [step for step in plan.report.work if step.title == "Zigzag and trim"]
    assert "Trim to 250 mm x 410 mm: the outline was drawn 4 % larger" in trim.sentences[-1]


def test_the_lining_which_is_not_quilted_is_cut_to_the_finished_size() -> None:
    pocket = {"name": "map pocket", "width": 100, "height": 80, "seam_allowance": "add"}
    plan = make_plan(parse_project(POUCH | {"cutting": {"pockets": [pocket]}}))
    assert plan.report.cutting is not None
    found = {piece.name: (piece.width, piece.height) for piece in plan.report.cutting.pieces}
    assert found["panel, lining"] == pytest.approx((250, 410))
    assert found["map pocket"] == pytest.approx((116, 96))
    assert found["panel, outer fabric"] == pytest.approx((250 * BY + 50, 410 * BY + 50))
    kit = {
        piece.name: piece.width for piece in make_kit(plan.project, plan.panel, plan.report).pieces
    }
    assert kit["panel, lining"] == pytest.approx(250)


def test_nothing_is_drawn_larger_unless_it_is_asked_for() -> None:
    plan = make_plan(parse_project(POUCH | {"quilting": {"draw_in": 4}}))
    found = plan.report.draw_in
    assert found is not None
    assert found.allowed == 0
    assert plan.panel.outline.bounds == pytest.approx((0, 0, 250, 410))


@pytest.mark.parametrize("shape", [shape for shape in TEMPLATE_SHAPES if shape != "file"])
def test_every_shape_is_drawn_larger_in_proportion(shape: str) -> None:
    given = parse_project(tomllib.loads(template(shape)))
    asked = make_panel(given)
    drawn = make_panel(before_quilting(given, 3))
    back = shapely.transform(drawn.outline, lambda points: points * 0.97)
    assert shapely.symmetric_difference(back, asked.outline).area < 1e-3 * asked.outline.area


def test_no_length_of_a_design_or_panel_is_forgotten() -> None:
    # lengths that do not shrink, each for its reason
    kept = {
        "overhang",  # trimmed off
        "run_off",  # trimmed off
        "stitch_length",  # what the machine is set to
    }
    seen = 0
    for table, known in ((PanelSpec, PANEL_SIZES), (FillSpec, FILL_SIZES)):
        for name, field in table.model_fields.items():
            lengths = any(
                "length.<locals>.read" in repr(getattr(item, "read", "")) for item in field.metadata
            )
            seen += lengths
            if lengths and name not in kept:
                assert name in known, name
    assert seen > len(PANEL_SIZES)
