"""Folds, other halves and the closed bag."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.panel import closed_faces, make_panel
from loftline.panel.folding import Affine, folded, mate_place, reflection
from loftline.project import parse_project
from loftline.values import Panel

POUCH = {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110, "flap_inset": 3}
SLEEVE = {"shape": "flat sleeve", "width": 200, "body": 120}
TRIPTYCH = {
    "shape": "rectangle",
    "width": 200,
    "height": 300,
    "folds": [
        {"name": "low fold", "from": [0, 100], "to": [200, 100]},
        {"name": "high fold", "from": [0, 200], "to": [200, 200]},
    ],
    "parts": [{"name": "low", "at": [10, 10]}, {"name": "high", "at": [10, 210]}],
}
MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 18, "mate": True}
SNAP = {"name": "snap", "kind": "magnetic snap", "mate": True}
LABEL = {"name": "label", "shape": "rectangle", "at": [125, 75], "width": 60, "height": 25}


def panel_of(panel: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    document = {"format": 1, "name": "x", "panel": panel, "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project(document | more))


def errors(panel: Panel) -> list[str]:
    return [f.message for f in panel.findings if f.severity == "error"]


def test_a_reflection_is_its_own_way_back() -> None:
    mirror = reflection((3.0, 4.0), (10.0, -2.0))
    assert mirror(mirror((7.5, 1.25))) == pytest.approx((7.5, 1.25))


def test_a_slanted_reflection_agrees_with_shapely() -> None:
    mirror = reflection((10.0, 20.0), (40.0, 60.0))
    turned = np.degrees(np.arctan2(40.0, 30.0))
    point = shapely.affinity.rotate(shapely.Point(75, 31), -turned, origin=(10, 20))
    point = shapely.affinity.scale(point, yfact=-1, origin=(10, 20))
    point = shapely.affinity.rotate(point, turned, origin=(10, 20))
    assert mirror((75.0, 31.0)) == pytest.approx((point.x, point.y))


def test_the_inverse_undoes_a_move() -> None:
    move = reflection((0.0, 1.0), (2.0, 5.0)).then(Affine(0.0, -1.0, 1.0, 0.0, 4.0, 9.0))
    assert move.inverse()(move((3.0, 8.0))) == pytest.approx((3.0, 8.0))


def test_the_closed_pouch_shows_the_flap_over_the_front() -> None:
    front, back = closed_faces(panel_of(POUCH))
    assert [shown.part for shown in front.parts] == ["front", "flap"]
    assert [shown.part for shown in back.parts] == ["back"]
    assert front.parts[0].covered.area == pytest.approx(244 * 110)
    # by hand: the flap's edge (y = 410) hangs 110 below the fold, left and right change sides
    assert front.parts[1].move((50.0, 410.0)) == pytest.approx((200, 40))


def test_the_closed_size() -> None:
    assert panel_of(POUCH).closed_size == pytest.approx((250, 150))
    assert panel_of({"shape": "base", "width": 90, "height": 60}).closed_size is None


def test_a_part_finds_the_one_that_closes_over_it() -> None:
    panel = panel_of(TRIPTYCH)
    assert mate_place(panel.parts, panel.folds, "low", (50.0, 30.0)) == ("high", (50.0, 230.0))
    assert set(folded(panel.parts, panel.folds)) == {"low", "part 1", "high"}


def test_a_label_under_the_other_half_is_one_error_naming_both() -> None:
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 378]}], keep_outs=[LABEL])
    (message,) = errors(panel)
    assert '"magnet"' in message
    assert '"label"' in message


def test_an_other_half_in_the_seam_allowance() -> None:
    panel = panel_of(SLEEVE, hardware=[MAGNET | {"at": [100, 12]}])
    assert [f.code for f in panel.findings if f.severity == "error"] == ["mate-in-seam-allowance"]


def test_a_snaps_halves_stand_out_on_facing_sides() -> None:
    panel = panel_of(POUCH, hardware=[SNAP | {"at": [125, 378]}])
    assert [piece.sits for piece in panel.pieces] == ["below", "above"]
    panel = panel_of(SLEEVE, hardware=[SNAP | {"at": [100, 60]}])
    assert [piece.sits for piece in panel.pieces] == ["below", "below"]


def test_halves_on_the_wrong_sides_are_named() -> None:
    wrong = {"at": [125, 378], "sits": "above", "mate": {"sits": "above"}}
    panel = panel_of(POUCH, hardware=[SNAP | wrong])
    assert [f.code for f in panel.findings if f.severity == "warning"] == ["halves-apart"]


def test_magnets_lie_so_that_their_poles_face() -> None:
    pouch = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 378]}])
    sleeve = panel_of(SLEEVE, hardware=[MAGNET | {"at": [100, 60]}])
    assert len({piece.face_up for piece in pouch.pieces}) == 1
    assert len({piece.face_up for piece in sleeve.pieces}) == 2


def test_the_other_half_may_be_fitted_at_another_time() -> None:
    mate = {"fitted": "after lining", "sits": "inside"}
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 378], "mate": mate}])
    assert [piece.fitted for piece in panel.pieces] == ["before quilting", "after lining"]
    assert [zone.name for zone in panel.keep_outs] == ["magnet"]


def test_distances_from_cut_and_finished_edge() -> None:
    panel = panel_of(POUCH | {"seam_allowance": 8}, hardware=[MAGNET | {"at": [125, 378]}])
    assert panel.pieces[0].from_cut == pytest.approx(32)
    assert panel.pieces[0].from_finished == pytest.approx(24)


def test_a_place_from_two_edges() -> None:
    at = {"from": ["flap edge", "left"], "distance": [32, 40]}
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": at}])
    assert panel.pieces[0].at == pytest.approx((40, 378))


@pytest.mark.parametrize(
    ("contents", "missing"),
    [(0, 0.0), (20, 2.53)],  # reference 35d at t = 4.5: 4.82 and 10.53, less an allowance of 8
)
def test_room_at_the_fold(contents: float, missing: float) -> None:
    layers = {"outer": {"thickness": 0.5}, "foam": {"thickness": 4}, "contents": contents}
    pouch = POUCH | {"seam_allowance": 8}
    hardware = [MAGNET | {"at": [125, 378]}]
    plain = panel_of(pouch, hardware=hardware, layers=layers)
    found = [f.message for f in plain.findings if f.code == "no-room-at-fold"]
    assert len(found) == (missing > 0)
    moved = panel_of(pouch | {"fold_room": "move the other half"}, hardware=hardware, layers=layers)
    assert moved.pieces[1].at == pytest.approx((125, 78 - 2 * missing), abs=0.01)


@pytest.mark.parametrize(
    ("panel", "says"),
    [
        ({"shape": "boxed tote side", "width": 90, "height": 80, "depth": 90}, "nothing is left"),
        (
            {"shape": "zip pouch side", "width": 90, "height": 80, "corner_radius": 50},
            "half the width",
        ),
        (TRIPTYCH | {"parts": [{"name": "low", "at": [9, 100]}]}, "lies on a fold"),
        (
            TRIPTYCH
            | {"folds": [*TRIPTYCH["folds"], {"name": "c", "from": [0, 50], "to": [9, 50]}]},  # type: ignore[misc]
            "ends inside the panel",
        ),
    ],
)
def test_what_cannot_be_is_refused(panel: dict[str, Any], says: str) -> None:
    with pytest.raises(ProjectError, match=says):
        panel_of(panel)
