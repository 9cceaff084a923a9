"""Folds, other halves and the closed bag."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.panel import closed_faces, make_panel
from loftline.panel.folding import folded, joins, mate_in, reflection
from loftline.panel.shapes import Shape, make_shape
from loftline.project import parse_project
from loftline.values import Affine, Panel, Point

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
    assert mate_in(folded(panel.parts, panel.folds), panel.parts, "low", (50.0, 30.0)) == (
        "high",
        (50.0, 230.0),
    )
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
            TRIPTYCH | {"folds": [{"name": "c", "from": [20, 90], "to": [150, 90]}]},
            r'panel.folds\[0\]: "c" ends inside the panel at \(20, 90\)',
        ),
        (
            TRIPTYCH | {"folds": [{"name": "c", "from": [0, 900], "to": [200, 900]}]},
            r'panel.folds\[0\]: "c" does not cross the panel',
        ),
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


def codes(panel: Panel) -> list[str]:
    return [f.code for f in panel.findings]


def strip(*heights: float, order: tuple[int, ...] = ()) -> dict[str, Any]:
    """Parts a, b, c ... one above the other, 200 wide; folds closed in an order of their own."""
    levels = np.cumsum(heights).tolist()
    folds = [
        {"name": f"fold {i}", "from": [0, y], "to": [200, y]} for i, y in enumerate(levels[:-1])
    ]
    parts = [
        {"name": "abcdef"[i], "at": [100, y - height / 2]}
        for i, (y, height) in enumerate(zip(levels, heights, strict=True))
    ]
    return {
        "shape": "rectangle",
        "width": 200,
        "height": levels[-1],
        "folds": [folds[i] for i in order or range(len(folds))],
        "parts": parts,
        "seam_allowance": 8,
    }


@pytest.mark.parametrize(
    ("order", "layers"),
    [
        # by hand: b lies still; a on it, c over it, d folded back over c
        ((0, 1, 2), {"b": 0, "a": 1, "c": 2, "d": 3}),
        # d closed onto c first is taken along inside it
        ((0, 2, 1), {"b": 0, "a": 1, "d": 2, "c": 3}),
        ((2, 1, 0), {"b": 0, "d": 1, "c": 2, "a": 3}),
    ],
)
def test_what_is_folded_first_lies_inside(order: tuple[int, ...], layers: dict[str, int]) -> None:
    panel = panel_of(strip(100, 100, 90, 80, order=order))
    places = folded(panel.parts, panel.folds)
    top = sorted(places, key=lambda part: places[part][1])
    assert top == sorted(layers, key=lambda part: layers[part])


@pytest.mark.parametrize("shape", [POUCH, SLEEVE, TRIPTYCH])
def test_the_other_half_of_an_other_half_is_the_first(shape: dict[str, Any]) -> None:
    there = panel_of(shape, hardware=[MAGNET | {"at": [70, 50]}]).pieces[1]
    back = panel_of(shape, hardware=[MAGNET | {"at": there.at}]).pieces[1]
    assert back.at == pytest.approx((70, 50))


def test_a_closure_at_a_mouth_under_the_flap_is_put_on_the_back_by_name() -> None:
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [70, 25], "mate": {"on": "back"}}])
    # by hand: 25 below the front's edge, so 25 below the upper fold at 300
    assert panel.pieces[1].at == pytest.approx((70, 275))
    assert "halves-apart" not in codes(panel)


def test_halves_with_a_part_between_them_are_named() -> None:
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 360], "mate": {"on": "back"}}])
    (finding,) = [f for f in panel.findings if f.code == "halves-apart"]
    assert 'the part "front" lies between them' in finding.message


def test_a_part_that_lies_between_only_at_one_side_is_named() -> None:
    # a reaches to y = 120 of b, and to 112 once its seam is sewn; 9 mm of magnet each way
    short = strip(60, 100, 90)
    beside = panel_of(short, hardware=[MAGNET | {"at": [100, 160 + 32]}])
    assert "halves-apart" not in codes(beside)
    panel = panel_of(short, hardware=[MAGNET | {"at": [100, 160 + 39.5]}])
    assert panel.pieces[1].at == pytest.approx((100, 120.5))
    assert 'the part "a" lies between them' in "".join(f.message for f in panel.findings)


@pytest.mark.parametrize(
    ("at", "misses"),
    [
        ([75, 78], None),
        ([75, 78.9], None),  # within the millimetre that marking is off by
        ([75, 81], "3 mm"),
        ({"from": ["front edge", "left"], "distance": [78, 79]}, "4 mm"),
    ],
)
def test_an_other_half_with_its_own_place_is_judged_by_folding(
    at: object, misses: str | None
) -> None:
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [75, 378], "mate": {"at": at}}])
    found = [f.message for f in panel.findings if f.code == "halves-apart"]
    assert len(found) == (misses is not None)
    assert all(f"miss each other by {misses}" in message for message in found)


@pytest.mark.parametrize(
    ("mate", "key", "says"),
    [
        ({"on": "front", "at": [1, 2]}, "on", "not both"),
        ({"on": "frnt"}, "on", 'the other half may lie on "front", "back"'),
        ({"on": "flap"}, "on", 'where "magnet" itself lies'),
        ({"at": [75, 390]}, "at", 'on the part "flap", as "magnet" itself does'),
        ({"at": [75, 900]}, "at", "outside every part"),
        ({"at": {"from": "flap ege", "distance": 3}}, "at.from", 'did you mean "flap edge"'),
    ],
)
def test_other_halves_that_cannot_be(mate: dict[str, Any], key: str, says: str) -> None:
    with pytest.raises(ProjectError, match=rf"hardware\[0\]\.mate\.{key}: .*{says}"):
        panel_of(POUCH, hardware=[MAGNET | {"at": [75, 378], "mate": mate}])


def test_a_part_that_does_not_lie_over_the_place_is_refused() -> None:
    half = MAGNET | {"at": [70, 130], "mate": {"on": "flap"}}
    with pytest.raises(ProjectError, match=r'does not close onto .* "flap"; it closes onto "back"'):
        panel_of(POUCH, hardware=[half])


def test_the_outer_fabrics_of_a_zigzag_face_each_other() -> None:
    # b lies still, c turned over it, d back over c: the outer fabrics of c and d meet
    panel = panel_of(strip(100, 100, 90, 80), hardware=[SNAP | {"at": [100, 250]}])
    assert [piece.sits for piece in panel.pieces] == ["above", "above"]


THICK = {"outer": {"thickness": 0.5}, "foam": {"thickness": 4}, "contents": 20}
"""Reference 35d: 10.53 mm of room are needed."""


@pytest.mark.parametrize(
    ("low", "missing"),
    [
        (100, 2.53),  # by hand: its edge lies at the fold, less an allowance of 8
        (98, 0.53),
        (97, 0.0),
        (60, 0.0),
        (103, 5.53),  # its edge would reach past the fold
    ],
)
def test_any_fold_that_goes_round_a_part_needs_room(low: float, missing: float) -> None:
    panel = strip(low, 100, 90)
    at = [100, low + 100 + 55]
    moved = panel | {"fold_room": "move the other half"}
    hardware = [MAGNET | {"at": at}]
    found = panel_of(panel, hardware=hardware, layers=THICK).findings
    said = [f.message for f in found if f.code == "no-room-at-fold"]
    assert len(said) == (missing > 0)
    assert all(f"lacks {missing:.1f} mm" in message for message in said)
    # the closure hangs 55 below the upper fold, so 45 above the lower one
    half = panel_of(moved, hardware=hardware, layers=THICK).pieces[1]
    assert half.at == pytest.approx((100, low - 45 - 2 * missing), abs=0.01)


def test_a_part_that_reaches_past_the_fold_is_named() -> None:
    # by hand: 120 over 100, less an allowance of 8
    panel = panel_of(strip(120, 100, 90), hardware=[MAGNET | {"at": [100, 275]}])
    (said,) = [f.message for f in panel.findings if f.code == "no-room-at-fold"]
    assert '(the part "a" reaches 12 mm past it)' in said


def test_a_fault_of_a_row_is_told_once() -> None:
    row = {"along": "flap edge", "distance": 30, "every": 60}
    with pytest.raises(ProjectError) as caught:
        panel_of(POUCH, hardware=[MAGNET | {"at": row, "mate": {"at": [10, 10]}}])
    (fault,) = caught.value.faults
    assert fault.message.startswith("a row has many other halves")


def test_from_the_inner_half_the_outer_one_moves_to_the_flaps_edge() -> None:
    pouch = POUCH | {"seam_allowance": 8, "fold_room": "move the other half"}
    panel = panel_of(pouch, hardware=[MAGNET | {"at": [125, 70]}], layers=THICK)
    assert panel.pieces[1].at == pytest.approx((125, 370 + 2 * 2.53), abs=0.01)


def test_a_half_moved_off_its_part_is_judged_where_it_lies() -> None:
    # 12 mm inside the flap's edge, the move of 5.06 mm takes it into the seam allowance of 8
    pouch = POUCH | {"seam_allowance": 8}
    piece = MAGNET | {"at": [125, 110 - 8 - 9 - 3]}
    assert "mate-in-seam-allowance" not in codes(panel_of(pouch, hardware=[piece], layers=THICK))
    moved = pouch | {"fold_room": "move the other half"}
    assert "mate-in-seam-allowance" in codes(panel_of(moved, hardware=[piece], layers=THICK))
    far = MAGNET | {"at": [125, 105]}
    assert "mate-outside-part" in codes(panel_of(moved, hardware=[far], layers=THICK))


def test_a_half_moved_under_a_label_is_judged_where_it_lies() -> None:
    # plain, 6 mm lie between the half and the label, whose clearance is 1 mm
    label = {"name": "label", "shape": "rectangle", "at": [125, 50], "width": 60, "height": 26}
    piece = MAGNET | {"at": [125, 378]}
    pouch = POUCH | {"seam_allowance": 8}
    label |= {"clearance": 1}
    assert errors(panel_of(pouch, hardware=[piece], layers=THICK, keep_outs=[label])) == []
    moved = pouch | {"fold_room": "move the other half"}
    (message,) = errors(panel_of(moved, hardware=[piece], layers=THICK, keep_outs=[label]))
    assert '"label"' in message


def test_room_is_moot_where_no_closure_goes_round_a_fold() -> None:
    sleeve = SLEEVE | {"fold_room": "move the other half"}
    panel = panel_of(sleeve, hardware=[MAGNET | {"at": [100, 60]}], layers=THICK)
    assert codes(panel) == ["fold-room-unused"]
    assert codes(panel_of(SLEEVE, hardware=[MAGNET | {"at": [100, 60]}], layers=THICK)) == []


@pytest.mark.parametrize(
    ("y", "says"),
    [
        (60, '"label" lies under the flap when the bag is closed'),
        # by hand: the flap's finished edge hangs 100 below the fold, the label reaches to 112.5
        (100, '"label" lies partly under the flap when the bag is closed'),
        (125, None),
        (200, None),  # on the back
        (360, None),  # on the flap itself
    ],
)
def test_a_label_under_the_flap_is_noted(y: float, says: str | None) -> None:
    panel = panel_of(POUCH, keep_outs=[LABEL | {"at": [125, y]}])
    found = [f.message for f in panel.findings if f.code == "under-flap"]
    assert found == ([] if says is None else [says])


def test_what_does_not_show_and_closures_are_not_noted_under_the_flap() -> None:
    hidden = MAGNET | {"name": "hidden", "at": [60, 50], "mate": False}
    snap = SNAP | {"at": [125, 50]}
    ring = {"name": "ring", "kind": "D-ring", "at": [200, 50]}
    panel = panel_of(POUCH, hardware=[hidden, snap, ring])
    found = [f.message for f in panel.findings if f.code == "under-flap"]
    assert found == ['"ring" lies under the flap when the bag is closed']


def test_a_row_under_the_flap_is_one_note() -> None:
    row = {"name": "eyelet", "kind": "eyelet", "at": {"along": "front edge", "distance": 40}}
    row["at"] |= {"every": 40}  # type: ignore[operator]
    panel = panel_of(POUCH, hardware=[row])
    found = [f.message for f in panel.findings if f.code == "under-flap"]
    assert found == ['"eyelet 1" and 5 more lie under the flap when the bag is closed']


def test_two_other_halves_on_each_other_are_one_error() -> None:
    # one from the flap, one from the back: both come to lie on the front, 6 mm apart
    one = MAGNET | {"at": [100, 378]}
    two = MAGNET | {"name": "mouth", "at": [124, 222], "mate": {"on": "front"}}
    (message,) = errors(panel_of(POUCH, hardware=[one, two]))
    assert '"magnet"' in message
    assert '"mouth, other half"' in message


def test_other_halves_as_near_as_their_first_halves_are_the_makers_choice() -> None:
    pair = [MAGNET | {"name": name, "at": [x, 378]} for name, x in (("one", 90), ("two", 112))]
    assert errors(panel_of(POUCH, hardware=pair)) == []


def test_an_other_half_beside_another_piece_is_one_error_with_the_distance() -> None:
    ring = {"name": "ring", "kind": "post", "diameter": 10, "at": [125, 58]}
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 378]}, ring])
    (message,) = errors(panel)
    assert message == 'the other half of "magnet" would lie 6 mm from "ring"'


def test_an_other_half_on_a_dart_is_one_error() -> None:
    dart = {"name": "dart", "points": [[125, -5], [140, 70], [155, -5]]}
    panel = panel_of(POUCH | {"darts": [dart]}, hardware=[MAGNET | {"at": [125, 360]}])
    (message,) = errors(panel)
    assert message == '"magnet, other half" lies in the seam allowance of the dart "dart"'


def test_hardware_in_the_way_of_a_seam_is_told() -> None:
    # by hand: cut edge at 410, allowance 10, an 18 mm magnet at 396 reaches up to 405
    magnet = MAGNET | {"at": [125, 396], "mate": False}
    (found,) = [f for f in panel_of(POUCH, hardware=[magnet]).findings if f.severity != "note"]
    assert found.code == "piece-in-seam-allowance"
    assert found.message.startswith('"magnet" reaches 5 mm past the seam line')
    inside = magnet | {"at": [125, 391]}
    assert "piece-in-seam-allowance" not in codes(panel_of(POUCH, hardware=[inside]))


def test_a_ring_may_be_caught_in_a_seam() -> None:
    ring = {"name": "ring", "kind": "D-ring", "at": [125, 396]}
    assert codes(panel_of(POUCH, hardware=[ring])) == []


def test_a_piece_across_a_fold_is_told() -> None:
    ring = {"name": "ring", "kind": "D-ring", "at": [125, 158]}
    panel = panel_of(POUCH, hardware=[ring])
    assert codes(panel) == ["piece-on-fold"]
    assert '"ring" lies across the fold "lower fold"' in panel.findings[0].message
    # 25 mm high: beside the fold from 12.5 mm on
    assert codes(panel_of(POUCH, hardware=[ring | {"at": [125, 162.5]}])) == []


def test_a_part_folded_to_and_fro_needs_no_room_at_its_fold() -> None:
    # c joins b and d and lies between them, so no fold goes round either
    zigzag = strip(100, 100, 90, 90)
    piece = MAGNET | {"at": [100, 335], "mate": {"on": "b"}}
    panel = panel_of(zigzag, hardware=[piece], layers=THICK)
    assert "halves-apart" in codes(panel)
    assert "no-room-at-fold" not in codes(panel)


def crossing(end: list[float]) -> dict[str, Any]:
    folds = [
        {"name": "up", "from": [100, 0], "to": [100, 300]},
        {"name": "over", "from": [0, 110], "to": end},
    ]
    return {"shape": "rectangle", "width": 200, "height": 300, "folds": folds}


def test_folds_that_cross_square_can_both_be_closed() -> None:
    assert codes(panel_of(crossing([200, 110]))) == []


@pytest.mark.parametrize(("over", "expected"), [(0.4, []), (0.6, ["folds-aslant"])])
def test_half_a_millimetre_over_a_small_panel_is_square_enough(
    over: float, expected: list[str]
) -> None:
    folds = [
        {"name": "up", "from": [40, 0], "to": [40, 80]},
        {"name": "over", "from": [0, 30], "to": [80, 30 + over]},
    ]
    panel = {"shape": "rectangle", "width": 80, "height": 80, "folds": folds}
    assert codes(panel_of(panel)) == expected


def shape_of(panel: dict[str, Any]) -> Shape:
    document = {"format": 1, "name": "x", "panel": panel, "fills": [{"pattern": "channel"}]}
    shape = make_shape(parse_project(document).panel, [])
    assert shape is not None
    return shape


def nearly_square(*names: str) -> dict[str, Any]:
    """A panel whose folds cross in its middle, 0.26 degrees from square, closed in this order."""
    folds: dict[str, list[list[float]]] = {
        "up": [[50, 0], [50, 100]],
        "over": [[0, 49.775], [100, 50.225]],
    }
    placed = [{"name": n, "from": folds[n][0], "to": folds[n][1]} for n in names]
    parts = {"d": [75, 75], "c": [25, 75], "back": [25, 25], "b": [75, 25]}
    named = [{"name": name, "at": at} for name, at in parts.items()]
    size = {"shape": "rectangle", "width": 100, "height": 100, "seam_allowance": 5}
    return {**size, "folds": placed, "parts": named}


def test_folds_that_cross_just_beside_a_fold_join_no_parts_across_the_corner() -> None:
    """Found by hand: a place on both sides of the crossing was taken for a place beside it."""
    shape = shape_of(nearly_square("up", "over"))
    pairs = {frozenset(join[2:]) for join in joins(shape.parts, shape.folds)}
    beside = (("back", "b"), ("c", "d"), ("back", "c"), ("b", "d"))
    assert pairs == {frozenset(pair) for pair in beside}


@pytest.mark.parametrize(
    ("order", "exact"),
    [
        (("up", "over"), {("back", "b"): (95, 5), ("d", "c"): (5, 95)}),
        (("over", "up"), {("back", "c"): None, ("d", "b"): None}),
    ],
)
def test_parts_meet_exactly_over_the_fold_that_is_closed_first(
    order: tuple[str, str], exact: dict[tuple[str, str], Point | None]
) -> None:
    shape = shape_of(nearly_square(*order))
    places = folded(shape.parts, shape.folds)
    mirror = reflection(shape.folds[0].start, shape.folds[0].end)
    corner = {"back": (5.0, 5.0), "d": (95.0, 95.0)}
    for (home, other), expected in exact.items():
        found = places[other][0].inverse()(places[home][0](corner[home]))
        assert found == pytest.approx(expected or mirror(corner[home]))


def test_a_closure_whose_other_half_may_lie_elsewhere_stops_the_plan() -> None:
    # b meets d over the fold that is closed second: 4 x 0.0045 x 49.5 mm from the crossing
    magnet = MAGNET | {"at": [85, 15], "diameter": 8, "mate": {"on": "d"}}
    panel = panel_of(nearly_square("up", "over"), hardware=[magnet])
    (finding,) = [finding for finding in panel.findings if finding.severity == "error"]
    assert finding.code == "folds-aslant"
    assert "cross at an angle of 89.7 degrees" in finding.message
    assert 'other half" may lie 0.9 mm off' in finding.message


def test_a_closure_over_the_fold_that_is_closed_first_is_sure() -> None:
    magnet = MAGNET | {"at": [85, 15], "diameter": 8, "mate": {"on": "back"}}
    panel = panel_of(nearly_square("up", "over"), hardware=[magnet])
    assert "folds-aslant" not in codes(panel)


def test_folds_that_cross_aslant_cannot_both_be_closed() -> None:
    (finding,) = panel_of(crossing([200, 120])).findings
    assert finding.code == "folds-aslant"
    # by hand: 10 in 200 is 2.86 degrees
    assert 'the folds "up" and "over" cross at an angle of 87.1 degrees' in finding.message


def test_a_closure_over_folds_that_cross_aslant_stops_the_plan() -> None:
    panel = panel_of(crossing([200, 120]), hardware=[MAGNET | {"at": [50, 50]}])
    assert [f.code for f in panel.findings if f.severity == "error"] == ["folds-aslant"]
