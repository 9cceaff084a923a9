"""How large a bag stands on its boxed corners; sizes by hand, beside each."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest

from loftline.cli.panel_figures import size_rows
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Panel
from loftline.writers import draw_plan, write_files
from loftline.writers.json_schema import document_schema

TOTE = {
    "shape": "boxed tote side",
    "width": 350,
    "height": 300,
    "depth": 100,
    "seam_allowance": 10,
}
SLEEVE = {"shape": "flat sleeve", "width": 200, "body": 150, "seam_allowance": 10}
POUCH = {"shape": "folded pouch", "width": 200, "body": 150, "flap": 70, "flap_inset": 12}
STANDING = (230.0, 230.0, 100.0)


def corner(side: str, depth: float = 60, fold: str = "lower fold") -> dict[str, Any]:
    return {"name": f"{side} corner", "fold": fold, "side": side, "depth": depth}


BOTH = [corner("left"), corner("right")]


def project_of(panel: dict[str, Any]) -> Project:
    fills = [{"pattern": "channel", "spacing": 30}]
    return parse_project({"format": 1, "name": "Caddy", "panel": panel, "fills": fills})


def panel_of(panel: dict[str, Any]) -> Panel:
    return make_panel(project_of(panel))


def test_a_boxed_tote_side_stands_less_wide_by_its_depth() -> None:
    # by hand: 350 less 10 in each side seam and half of 100 at each end; 300 less 10 at the top,
    # 10 in the bottom's seam and 50 of base
    assert panel_of(TOTE).standing == pytest.approx(STANDING)


def test_boxed_corners_make_a_sleeve_deeper_lower_and_narrower() -> None:
    # by hand: sewn flat it is 180 x 140; the corners take 30 at each end and 30 of the height
    assert panel_of(SLEEVE | {"darts": BOTH}).standing == pytest.approx((120, 110, 60))


def test_the_standing_bag_takes_as_much_cloth_as_the_flat_one() -> None:
    # from front's top over the base to back's top, and once round: both as in the flat bag
    panel = panel_of(SLEEVE | {"darts": BOTH})
    assert panel.standing is not None
    width, height, depth = panel.standing
    flat_width, flat_height = panel.closed[0].size
    assert (2 * height + depth, 2 * width + 2 * depth) == pytest.approx(
        (2 * flat_height, 2 * flat_width)
    )


def test_a_pouch_with_a_flap_stands_on_its_lower_fold() -> None:
    # by hand: 200 less 10 and 10 and 60; the closed pouch is 150 high, less 30
    assert panel_of(POUCH | {"darts": BOTH}).standing == pytest.approx((120, 120, 60))


@pytest.mark.parametrize(
    "darts",
    [
        [],
        [corner("left")],
        [corner("left"), corner("right", 50)],
        [corner(side, fold="upper fold") for side in ("left", "right")],
    ],
)
def test_without_both_corners_of_the_bottom_alike_no_standing_size_is_said(
    darts: list[dict[str, Any]],
) -> None:
    panel = POUCH | {"darts": darts, "flap_inset": 0, "flap": 100}
    assert panel_of(panel).standing is None


def test_the_screen_tells_how_large_the_bag_stands() -> None:
    rows = dict(size_rows(panel_of(TOTE), "mm"))
    assert rows["Standing bag, as sewn"] == "230 \u00d7 230 mm, 100 mm deep"


def test_the_picture_tells_how_large_the_bag_stands() -> None:
    told = "The standing bag, as sewn: 230 mm wide, 230 mm high, 100 mm deep."
    assert told in draw_plan(make_plan(project_of(TOTE)))
    assert "standing bag" not in draw_plan(make_plan(project_of(SLEEVE)))


@pytest.mark.parametrize(("panel", "expected"), [(TOTE, list(STANDING)), (SLEEVE, None)])
def test_the_document_tells_how_large_the_bag_stands(
    panel: dict[str, Any], expected: list[float] | None
) -> None:
    told = json.loads(write_files(make_plan(project_of(panel)), ("json",))["caddy.json"])
    jsonschema.validate(told, document_schema())
    assert told["panel"]["standing"] == expected
