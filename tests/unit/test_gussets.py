"""Square folds: strips that stand square between the parts of a box."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Panel
from loftline.writers import draw_plan, write_files
from loftline.writers.json_schema import document_schema


def fold(name: str, at: float, bends: str = "square") -> dict[str, Any]:
    return {"name": name, "from": [0, at], "to": [200, at], "bends": bends}


def part(name: str, at: float) -> dict[str, Any]:
    return {"name": name, "at": [100, at]}


BOX = {
    "shape": "rectangle",
    "width": 200,
    "height": 240,
    "seam_allowance": 0,
    "folds": [fold("front fold", 100), fold("back fold", 140)],
    "parts": [part("front", 50), part("gusset", 120), part("back", 200)],
}
"""Front and back, 100 mm high each, and a gusset of 40 mm between them."""

SATCHEL = BOX | {
    "height": 350,
    "folds": [*BOX["folds"], fold("top fold", 240), fold("flap fold", 280)],  # type: ignore[misc]
    "parts": [*BOX["parts"], part("top", 260), part("flap", 320)],  # type: ignore[misc]
}
"""The same with a top of 40 mm, and a flap of 70 mm over the front."""

MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 10, "mate": True}


def project_of(panel: dict[str, Any], **more: Any) -> Project:  # noqa: ANN401 - any table of the file
    document = {
        "format": 1,
        "name": "Saddle box",
        "panel": panel,
        "fills": [{"pattern": "channel"}],
    }
    return parse_project(document | more)


def panel_of(panel: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    return make_panel(project_of(panel, **more))


def mate_of(panel: dict[str, Any], x: float, y: float) -> tuple[float, float]:
    pieces = panel_of(panel, hardware=[MAGNET | {"at": [x, y]}]).pieces
    return pieces[1].at


def test_front_and_back_face_each_other_over_the_gusset() -> None:
    # by hand: 20 from the mouth on the front, 20 from the mouth on the back
    assert mate_of(BOX, 50, 20) == pytest.approx((50, 220))


def test_folded_flat_front_and_back_do_not_meet() -> None:
    flat = BOX | {"folds": [fold("front fold", 100, "flat"), fold("back fold", 140, "flat")]}
    with pytest.raises(ProjectError, match="closes onto nothing there"):
        mate_of(flat, 50, 20)


def test_the_flap_comes_down_over_the_front_past_the_top() -> None:
    # by hand: 60 below the top's front edge on the flap is 60 below the mouth on the front
    assert mate_of(SATCHEL, 50, 340) == pytest.approx((50, 60))


def test_the_closed_size_is_that_of_the_faces() -> None:
    assert panel_of(BOX).closed_size == pytest.approx((200, 100))


def test_the_gusset_makes_the_depth() -> None:
    assert dict(panel_of(BOX).gussets) == pytest.approx({"gusset": 40})


def test_front_and_back_are_seen_in_full() -> None:
    front, back = panel_of(BOX).closed
    seen = {shown.part: shown.area.area for face in (front, back) for shown in face.parts}
    assert seen == pytest.approx({"front": 200 * 100, "back": 200 * 100})


def test_no_lining_shows_between_square_folds() -> None:
    assert [face.lining.area for face in panel_of(BOX).closed] == [0, 0]


def test_a_flap_covers_its_share_of_the_front() -> None:
    (front,) = [face for face in panel_of(SATCHEL).closed if face.name == "front"]
    seen = {shown.part: shown.area.area for shown in front.parts}
    assert seen == pytest.approx({"flap": 200 * 70, "front": 200 * 30})


def test_the_picture_tells_of_the_gusset_and_how_deep_it_makes_the_bag() -> None:
    picture = draw_plan(make_plan(project_of(BOX)))
    assert "The gusset stands square in the bag, 40 mm deep, and is not shown." in picture


def test_the_document_tells_of_the_gusset() -> None:
    told = json.loads(write_files(make_plan(project_of(BOX)), ("json",))["saddle-box.json"])
    jsonschema.validate(told, document_schema())
    assert told["panel"]["gussets"] == [{"name": "gusset", "depth": 40}]


def test_square_folds_are_called_so_in_the_picture() -> None:
    assert draw_plan(make_plan(project_of(BOX))).count("bends square</text>") == 2


@pytest.mark.parametrize(
    "folds",
    [
        [fold("front fold", 100), fold("back fold", 140, "flat")],
        [fold("front fold", 100), fold("back fold", 140) | {"to": [200, 150]}],
    ],
)
def test_a_square_fold_alone_is_refused(folds: list[dict[str, Any]]) -> None:
    with pytest.raises(
        ProjectError, match=r'panel\.folds: "front fold" bends square, and no other'
    ):
        panel_of(BOX | {"folds": folds})


def test_hardware_on_a_gusset_has_no_other_half() -> None:
    with pytest.raises(ProjectError, match='part "gusset", which no fold brings onto another'):
        mate_of(BOX, 50, 120)


def test_a_fold_down_the_middle_of_a_box_closes_both_columns_alike() -> None:
    middle = {"name": "middle fold", "from": [100, 0], "to": [100, 240]}
    panel = BOX | {"folds": [*BOX["folds"], middle], "parts": []}  # type: ignore[misc]
    assert panel_of(panel).closed_size == pytest.approx((100, 100))


def test_the_base_of_a_boxed_side_may_be_called_square() -> None:
    panel = {"shape": "boxed tote side", "width": 320, "height": 300, "depth": 90}
    square = panel | {"folds": [{"name": "base fold", "bends": "square"}]}
    assert panel_of(square).closed_size == panel_of(panel).closed_size


FLAT_FLAP = BOX | {
    "height": 310,
    "folds": [*BOX["folds"], fold("flap fold", 240, "flat")],  # type: ignore[misc]
    "parts": [*BOX["parts"], part("flap", 280)],  # type: ignore[misc]
}
"""The box with a flap of 70 mm that hangs from the back by one fold that bends flat."""


def depth_notes(panel: dict[str, Any], at: list[float], **more: Any) -> list[str]:  # noqa: ANN401 - any table of the file
    findings = panel_of(panel, hardware=[MAGNET | {"at": at}], **more).findings
    return [f.message for f in findings if f.code == "closes-flat-over-depth"]


def test_a_flap_that_bends_flat_over_a_deep_bag_is_noted() -> None:
    (says,) = depth_notes(FLAT_FLAP, [50, 290])
    assert 'part "gusset" makes the bag 40 mm deep' in says
    assert 'beyond the fold "flap fold" is placed as if the bag closes flat' in says


@pytest.mark.parametrize("contents", [0, 40])
def test_with_contents_given_nothing_is_noted_of_the_flap(contents: float) -> None:
    assert depth_notes(FLAT_FLAP, [50, 290], layers={"contents": contents}) == []


def test_a_flap_over_a_square_top_needs_no_note() -> None:
    assert depth_notes(SATCHEL, [50, 340]) == []
