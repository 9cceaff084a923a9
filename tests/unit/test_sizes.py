"""Sizes of a bag: what grows, what never does, where things come to lie, what is refused."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.plan import make_plan
from loftline.project import HardwareSpec, Project, parse_project

POUCH: dict[str, Any] = {
    "shape": "folded pouch",
    "width": 200,
    "body": 100,
    "flap": 80,
    "corner_radius": 30,
    "seam_allowance": 8,
}
FILL: dict[str, Any] = {"pattern": "channel", "angle": 45, "spacing": 12}
RECTANGLE: dict[str, Any] = {"shape": "rectangle", "width": 200, "height": 100}
FAR = [[0, 0], [600, 0], [600, 20], [0, 20]]
POLYGON: dict[str, Any] = {"shape": "polygon", "points": [[0, 0], [200, 0], [200, 100], [0, 100]]}


def data(*sizes: dict[str, Any], panel: object = POUCH, **more: object) -> dict[str, Any]:
    return {"name": "Spoke pouch", "panel": panel, "fills": [FILL], "sizes": list(sizes), **more}


def one(size: dict[str, Any], **more: object) -> Project:
    """The project of the only size."""
    ((_, project),) = parse_project(data({"name": "L", **size}, **more)).sized()
    return project


def faults(given: dict[str, Any]) -> list[tuple[str, str]]:
    with pytest.raises(ProjectError) as caught:
        parse_project(given)
    return [(fault.where, fault.message) for fault in caught.value.faults]


def magnet(at: object, **more: object) -> list[dict[str, Any]]:
    return [{"name": "magnet", "kind": "sew-in magnet", "diameter": 18, "at": at, **more}]


def at(project: Project) -> object:
    return project.hardware[0].at


def flat(points: Iterable[tuple[float, float]] | None) -> list[float]:
    return [c for point in points or () for c in point]


def test_each_size_is_a_project_with_its_own_name_and_copies() -> None:
    sizes = parse_project(data({"name": "S", "copies": 4}, {"name": "L", "copies": 3})).sized()
    found = [(name, p.name, p.slug, p.copies) for name, p in sizes]
    expected = [
        ("S", "Spoke pouch S", "spoke-pouch-s", 4),
        ("L", "Spoke pouch L", "spoke-pouch-l", 3),
    ]
    assert found == expected


def test_a_project_without_sizes_is_its_own_only_size() -> None:
    project = parse_project({"panel": RECTANGLE, "fills": [FILL]})
    assert project.sized() == ((project.name, project),)


def test_the_copies_of_all_sizes_are_the_copies_of_the_project() -> None:
    sizes = [{"name": "S", "copies": 4}, {"name": "M", "copies": 5}, {"name": "L", "copies": 3}]
    assert parse_project(data(*sizes)).copies == 12


def test_what_a_size_names_grows() -> None:
    panel = one({"width": "240 mm", "body": 120, "flap": 90, "corner_radius": 40}).panel
    found = (panel.width, panel.body, panel.flap, panel.corner_radius)
    assert found == (240, 120, 90, 40)


def test_what_a_size_does_not_name_stays() -> None:
    panel = one({"width": 240}).panel
    assert (panel.body, panel.flap, panel.seam_allowance) == (100, 80, 8)


def test_lengths_of_a_size_are_in_the_units_of_the_file() -> None:
    panel = {"shape": "ellipse", "width": 8, "height": 5}
    assert one({"width": 10}, panel=panel, units="in").panel.width == 254


def test_a_radius_takes_the_place_of_a_round_object() -> None:
    panel = {**RECTANGLE, "corner_object": 60}
    grown = one({"corner_radius": 10}, panel=panel).panel
    assert (grown.corner_radius, grown.corner_object) == (10, None)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ([50, 25], (60.0, 30.0)),  # the front, 100 to 120 high
        ([50, 150], (60.0, 180.0)),  # half way up the back
        ([50, 220], (60.0, 262.5)),  # a quarter up the flap, 80 to 90 long
        ([-5, 285], (-5.0, 335.0)),  # beyond the outline: as far from it as before
    ],
)
def test_a_place_moves_in_proportion_with_its_part(
    before: list[float], after: tuple[float, float]
) -> None:
    grown = one({"width": 240, "body": 120, "flap": 90}, hardware=magnet(before))
    assert at(grown) == pytest.approx(after)


def test_a_place_from_an_edge_keeps_its_distance_from_that_edge() -> None:
    place = {"from": "flap edge", "distance": 32}
    grown = one({"body": 120, "flap": 90}, hardware=magnet(place))
    (piece,) = make_plan(grown).panel.pieces
    assert piece.at == pytest.approx((100, 2 * 120 + 90 - 32))


def test_the_place_of_another_half_moves_too() -> None:
    piece = one({"width": 300}, hardware=magnet([50, 220], mate={"at": [50, 80]})).hardware[0]
    assert isinstance(piece, HardwareSpec)
    assert not isinstance(piece.mate, bool)
    assert piece.mate.at == pytest.approx((75, 80))


def test_hardware_clearance_spacing_and_stitch_never_grow() -> None:
    base = parse_project(data({"name": "L"}, hardware=magnet([50, 220])))
    grown = one({"width": 300, "body": 150, "flap": 120}, hardware=magnet([50, 220]))
    piece, old = grown.hardware[0], base.hardware[0]
    assert (piece.diameter, piece.clearance) == (old.diameter, old.clearance)
    assert (grown.fills, grown.quilting) == (base.fills, base.quilting)


def test_a_drawn_keep_out_keeps_its_shape_and_moves() -> None:
    zone = {"name": "patch", "shape": "polygon", "points": [[90, 40], [110, 40], [100, 60]]}
    grown = one({"width": 300, "body": 120}, keep_outs=[zone])
    assert flat(grown.keep_outs[0].points) == pytest.approx([140, 50, 160, 50, 150, 70])


def test_the_corners_of_a_region_move_each_by_itself() -> None:
    region = {"name": "lower half", "shape": "polygon", "points": [[0, 0], [200, 0], [200, 50]]}
    grown = one({"width": 300, "body": 120}, regions=[region])
    assert flat(grown.regions[0].points) == pytest.approx([0, 0, 300, 0, 300, 60])


def test_folds_of_a_rectangle_move() -> None:
    panel = {**RECTANGLE, "folds": [{"name": "middle", "from": [0, 50], "to": [200, 50]}]}
    fold = one({"width": 300, "height": 160}, panel=panel).panel.folds[0]
    assert (fold.from_, fold.to) == ((0, 80), (300, 80))


def test_a_polygon_grows_by_its_scale_with_holes_and_places() -> None:
    panel = {**POLYGON, "holes": [[[20, 20], [40, 20], [40, 40]]]}
    grown = one({"scale": 1.5}, panel=panel, hardware=magnet([100, 50]))
    assert flat(grown.panel.points) == [0, 0, 300, 0, 300, 150, 0, 150]
    assert [flat(hole) for hole in grown.panel.holes or ()] == [[30, 30, 60, 30, 60, 60]]
    assert at(grown) == pytest.approx((150, 75))


def test_a_drawing_grows_and_its_keep_outs_keep_their_size() -> None:
    svg = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm"'
        b' viewBox="0 0 100 80"><rect width="100" height="80"/>'
        b'<rect id="label" x="40" y="30" width="20" height="20"/></svg>'
    )
    panel = {"shape": "file", "file": "bag.svg", "drawn": {"keep_outs": "label"}}
    project = parse_project(data({"name": "L", "scale": 2}, panel=panel), files={"bag.svg": svg})
    ((_, grown),) = project.sized()
    drawing = grown.panel.drawing
    assert drawing is not None
    assert drawing.outline.bounds == pytest.approx((0, 0, 200, 160))
    assert drawing.keep_outs[0].area.bounds == pytest.approx((90, 70, 110, 90))


def test_the_drawing_of_the_project_stays_as_it_was() -> None:
    svg = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm"'
        b' viewBox="0 0 100 80"><rect width="100" height="80"/></svg>'
    )
    panel = {"shape": "file", "file": "bag.svg"}
    project = parse_project(data({"name": "L", "scale": 2}, panel=panel), files={"bag.svg": svg})
    project.sized()
    assert project.panel.drawing is not None
    assert project.panel.drawing.outline.bounds == pytest.approx((0, 0, 100, 80))


@given(
    x=st.floats(0, 200),
    y=st.floats(0, 280),
    width=st.floats(100, 400),
    body=st.floats(90, 300),
    flap=st.floats(60, 90),
)
@settings(max_examples=60, deadline=None)
def test_a_place_stays_in_its_part(
    x: float, y: float, width: float, body: float, flap: float
) -> None:
    """Parts by their own heights: front and back 100 and then ``body``, flap 80 and ``flap``."""
    grown = one({"width": width, "body": body, "flap": flap}, hardware=magnet([x, y]))
    place = grown.hardware[0].at
    assert isinstance(place, tuple)
    before, after = [0, 100, 200, 280], [0, body, 2 * body, 2 * body + flap]
    part = next(i for i in range(3) if before[i] <= y <= before[i + 1])
    assert 0 <= place[0] <= width + 1e-9
    assert after[part] - 1e-9 <= place[1] <= after[part + 1] + 1e-9


def test_the_sizes_of_the_panel_itself_change_nothing() -> None:
    zone = {"name": "label", "shape": "rectangle", "at": [90, 40], "width": 30, "height": 20}
    more: dict[str, Any] = {"hardware": magnet([50, 220]), "keep_outs": [zone]}
    size = {key: POUCH[key] for key in ("width", "body", "flap", "corner_radius")}
    same = parse_project({"panel": POUCH, "fills": [FILL], **more})
    grown = one(size, **more)
    assert grown.panel == same.panel
    assert (grown.hardware, grown.keep_outs) == (same.hardware, same.keep_outs)


@pytest.mark.parametrize(
    ("sizes", "where", "says"),
    [
        ([{"copies": 2}], "sizes[0].name", "is missing"),
        ([{"name": "S"}, {"name": "S"}], "sizes[1].name", "every name should differ"),
        ([{"name": "S"}, {"name": "s!"}], "sizes[1].name", "share its folder, s,"),
        ([{"name": "S", "copies": 0}], "sizes[0].copies", "from 1 to 5000"),
        ([{"name": "S", "height": 9}], "sizes[0].height", "takes width, body, flap and corner"),
        ([{"name": "S", "scale": 2}], "sizes[0].scale", "does not belong to a size of a folded"),
        ([{"name": "S", "widht": 9}], "sizes[0].widht", "did you mean width?"),
        ([{"name": "S", "spacing": 9}], "sizes[0].spacing", "unknown key"),
        ([{"name": "S", "width": 0}], "sizes[0].width", "more than 0"),
        ([{"name": "S", "flap": 101}], "sizes[0].flap", "longer than the body (100 mm)"),
        ([{"name": "S", "body": 70}], "sizes[0]", "panel.flap does not fit this size"),
        ([{"name": "S", "flap": 25}], "sizes[0]", "give this size a corner_radius of its own"),
        ([{"name": str(n)} for n in range(25)], "sizes", "found 25 sizes; at most 24"),
        ([{"name": "S", "copies": 5000}, {"name": "L"}], "sizes", "at most 5000"),
    ],
)
def test_a_size_that_cannot_be_is_told(sizes: list[Any], where: str, says: str) -> None:
    found = dict(faults(data(*sizes)))
    assert where in found
    assert says in found[where]


def test_copies_that_do_not_add_up_are_told() -> None:
    ((where, says),) = faults(data({"name": "S", "copies": 4}, copies=5))
    assert where == "copies"
    assert "the sizes have 4 bags together" in says


def test_copies_that_add_up_are_taken() -> None:
    assert parse_project(data({"name": "S", "copies": 4}, copies=4)).copies == 4


def test_a_size_that_asks_for_too_much_work_is_told() -> None:
    fine = {"pattern": "channel", "angle": 45, "spacing": 1}
    panel = {**RECTANGLE, "width": 500, "height": 500}
    size = {"name": "XL", "width": 5000, "height": 5000}
    ((where, says),) = faults({"panel": panel, "fills": [fine], "sizes": [size]})
    assert where == "sizes[0]"
    assert says.startswith("fills[0].spacing does not fit this size")


def test_a_scale_that_asks_for_too_much_work_is_told() -> None:
    fine = {"pattern": "channel", "angle": 45, "spacing": 1}
    panel = {**POLYGON, "points": [[0, 0], [480, 0], [480, 400], [0, 400]]}
    given = {"panel": panel, "fills": [fine], "quilting": {"stitch_length": 1}}
    assert parse_project({**given, "sizes": [{"name": "XL", "scale": 2}]}).sizes
    ((where, says),) = faults({**given, "sizes": [{"name": "XL", "scale": 10}]})
    assert where == "sizes[0]"
    assert "space the lines wider" in says


def test_a_scale_beyond_the_largest_panel_is_told() -> None:
    ((where, says),) = faults(
        data({"name": "XL", "scale": 10}, panel={**POLYGON, "points": FAR, "seam_allowance": 2})
    )
    assert where == "sizes[0].scale"
    assert "makes the panel 6000 mm long" in says


def test_a_drawing_beyond_the_largest_panel_is_told() -> None:
    svg = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="80mm"'
        b' viewBox="0 0 600 80"><rect width="600" height="80"/></svg>'
    )
    given = data({"name": "L", "scale": 9}, panel={"shape": "file", "file": "bag.svg"})
    with pytest.raises(ProjectError, match=r"sizes\[0\]\.scale: found 9; makes the panel 5400 mm"):
        parse_project(given, files={"bag.svg": svg})


def test_a_fault_of_the_panel_itself_is_told_once() -> None:
    panel = {**POUCH, "flap": 120}
    assert [where for where, _ in faults(data({"name": "S"}, panel=panel))] == ["panel.flap"]


def test_one_plan_for_several_sizes_is_refused() -> None:
    with pytest.raises(ProjectError, match="one plan is for one size"):
        make_plan(parse_project(data({"name": "S"})))
