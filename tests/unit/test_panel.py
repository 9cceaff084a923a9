"""The panel: shapes, ground, hardware in its place, other halves, and what is refused."""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.geometry import only_polygons, polygons
from loftline.panel import make_panel
from loftline.panel.shapes import rounded_box
from loftline.project import parse_project
from loftline.units import PLAN_MARGIN_MM
from loftline.values import Panel, Way

POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
}
MAGNET = {"name": "magnet", "kind": "sew-in magnet", "diameter": 18}


def panel_of(panel: dict[str, Any], **more: Any) -> Panel:  # noqa: ANN401 - any table of the file
    document = {"format": 1, "name": "x", "panel": panel, "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project(document | more))


def codes(panel: Panel) -> list[str]:
    return [finding.code for finding in panel.findings]


def test_rounded_box_area() -> None:
    area = rounded_box(100, 60, 10).area
    assert area == pytest.approx(6000 - (4 - math.pi) * 100, rel=1e-4)
    assert rounded_box(100, 60, 30).is_valid


def test_ellipse_area_and_extent() -> None:
    panel = panel_of({"shape": "ellipse", "width": 200, "height": 120})
    assert panel.outline.area == pytest.approx(math.pi * 100 * 60, rel=1e-3)
    assert panel.outline.bounds == pytest.approx((0, 0, 200, 120))


def test_pouch_parts_and_folds() -> None:
    panel = panel_of(POUCH)
    assert panel.outline.bounds == pytest.approx((0, 0, 250, 410))
    areas = {part.name: part.area.area for part in panel.parts}
    assert areas["front"] == pytest.approx(250 * 150)
    assert areas["back"] == pytest.approx(250 * 150)
    assert areas["flap"] == pytest.approx(244 * 110 - (2 - math.pi / 2) * 45**2, rel=1e-4)
    assert [fold.start[1] for fold in panel.folds] == [150, 300]


def test_other_half_is_the_reflection_over_both_folds() -> None:
    # common practice, no source: found by folding the panel as the bag closes. By hand:
    # 378 lies 78 above the upper fold (300), so 78 below the front's edge, at y = 78
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [75, 378], "mate": True}])
    half = panel.pieces[1]
    assert half.at == pytest.approx((75, 78))
    assert half.mate_of == "magnet"
    # shapely's reflections, one fold after the other
    point = shapely.Point(75, 378)
    closed = shapely.affinity.scale(point, yfact=-1, origin=(0, 300))
    flat = shapely.affinity.scale(closed, yfact=-1, origin=(0, 150))
    assert half.at == pytest.approx((flat.x, flat.y))


def test_other_half_comes_back_to_where_it_began() -> None:
    first = panel_of(POUCH, hardware=[MAGNET | {"at": [75, 340.5], "mate": True}])
    at = list(first.pieces[1].at)
    again = panel_of(POUCH, hardware=[MAGNET | {"at": at, "mate": True}])
    assert again.pieces[1].at == pytest.approx((75, 340.5))


def test_other_half_outside_its_part_stops_the_plan() -> None:
    # 40 of the 45 mm from the middle of the flap's rounded corner, 9 mm of magnet beyond
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [19.7, 93.3], "mate": True}])
    assert "mate-outside-part" in codes(panel)
    assert any(f.severity == "error" for f in panel.findings)


def test_a_closure_on_the_back_closes_onto_the_front() -> None:
    # by hand: 20 below the upper fold (300), so 20 below the front's edge at y = 0
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [75, 280], "mate": True}])
    assert panel.pieces[1].at == pytest.approx((75, 20))


def test_a_place_that_nothing_lies_over_has_no_other_half() -> None:
    side = {"shape": "boxed tote side", "width": 300, "height": 250, "depth": 100}
    with pytest.raises(ProjectError, match=r"hardware\[0\]\.mate: .*closes onto nothing"):
        panel_of(side, hardware=[MAGNET | {"at": [150, 200], "mate": True}])


def test_place_by_edge() -> None:
    # common practice, no source: on the centre line, 38 mm in from the flap's edge
    panel = panel_of(
        POUCH, hardware=[MAGNET | {"at": {"from": "flap edge", "distance": 38}, "mate": True}]
    )
    assert panel.pieces[0].at == pytest.approx((125, 372))
    assert panel.pieces[1].at == pytest.approx((125, 72))


def test_unknown_edge_names_the_nearest() -> None:
    with pytest.raises(ProjectError, match='did you mean "flap edge"'):
        panel_of(POUCH, hardware=[MAGNET | {"at": {"from": "flap edg", "distance": 38}}])


def test_only_what_is_fitted_before_quilting_is_a_keep_out() -> None:
    pieces = [
        MAGNET | {"name": name, "at": [x, 60], "fitted": fitted}
        for name, x, fitted in (
            ("a", 40, "before quilting"),
            ("b", 100, "after quilting"),
            ("c", 160, "after lining"),
        )
    ]
    panel = panel_of(POUCH, hardware=pieces)
    assert [piece.name for piece in panel.pieces] == ["a", "b", "c"]
    assert [zone.name for zone in panel.keep_outs] == ["a"]


def test_zone_reaches_the_clearance() -> None:
    # a published bag maker's rule: 6.35 mm (1/4 in) from hardware's edge, so the needle
    # passes the centre of an 18 mm snap at 15.35 mm or more
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 60]}])
    nearest = shapely.distance(panel.sewable, shapely.Point(125, 60))
    assert 15.35 <= nearest <= 15.35 + PLAN_MARGIN_MM + 0.02


@pytest.mark.parametrize("half", [2, 6, 11, 12, 13])
@pytest.mark.parametrize("clearance", [0, 0.5])
def test_the_narrow_tip_of_a_drawn_zone_keeps_its_point(half: float, clearance: float) -> None:
    points = [[50, 40 - half], [110, 40], [50, 40 + half]]
    zone = {"name": "badge", "shape": "polygon", "points": points, "clearance": clearance}
    panel = panel_of({"shape": "rectangle", "width": 200, "height": 80}, keep_outs=[zone])
    (area,) = polygons(panel.sewable)
    (hole,) = area.interiors
    sides = np.hypot(*np.diff(shapely.get_coordinates(hole), axis=0).T)
    assert sides.min() > 0.6  # two corners nearer than that leave no room for a stitch


def test_a_foot_keeps_farther_from_what_stands_above() -> None:
    foot = {"left": 10, "right": 10, "front": 15, "back": 20}
    piece = {"name": "ring", "kind": "ring post", "width": 40, "height": 10, "at": [100, 105]}
    machine = {"foot": foot}
    above = panel_of(POUCH, hardware=[piece | {"sits": "above"}], machine=machine)
    inside = panel_of(POUCH, hardware=[piece | {"sits": "inside"}], machine=machine)
    assert above.keep_outs[0].reach == pytest.approx(6.35 + math.hypot(10, 20))
    assert inside.keep_outs[0].reach == pytest.approx(6.35)
    # sewing along +y the foot's front is 15 ahead of the needle: the edge lies at y = 100
    line = shapely.LineString([(100, 0), (100, 100)])
    reach = shapely.intersection(line, above.sewable).bounds[3]
    assert reach <= 85


def test_ground_runs_off_into_the_overhang() -> None:
    panel = panel_of({"shape": "rectangle", "width": 100, "height": 80})
    assert panel.edge == "overhang"
    assert panel.ground.bounds == pytest.approx((-6, -6, 106, 86))
    assert set(panel.ways.kind.tolist()) == {Way.EDGE}


@pytest.mark.parametrize(
    ("overhang", "allowance", "foam_to", "edge", "inset"),
    [
        (25, 10, "overhang", "overhang", -6),
        (5, 10, "overhang", "overhang", -2.5),
        (0, 10, "overhang", "seam allowance", 5),
        (0, 0, "overhang", "none", 0),
        (25, 10, "outline", "seam allowance", 5),
        (0, 10, "seam line", "none", 5),
    ],
)
def test_way_along_the_edge_falls_back(
    overhang: float, allowance: float, foam_to: str, edge: str, inset: float
) -> None:
    panel = panel_of(
        {
            "shape": "rectangle",
            "width": 100,
            "height": 80,
            "overhang": overhang,
            "seam_allowance": allowance,
        },
        layers={"foam_to": foam_to},
    )
    assert panel.edge == edge
    assert panel.ground.bounds == pytest.approx((inset, inset, 100 - inset, 80 - inset))
    assert ("edge-way-changed" in codes(panel)) == (edge != "overhang")
    assert bool(panel.ways.open.any()) == (edge != "none")


WINDOW = {
    "shape": "polygon",
    "points": [[0, 0], [100, 0], [100, 80], [0, 80]],
    "holes": [[[40, 20], [60, 20], [60, 30], [40, 30]]],
    "folds": [{"name": "middle fold", "from": [0, 60], "to": [100, 60]}],
}


def test_a_window_takes_no_seam_allowance_in_the_closed_bag() -> None:
    panel = panel_of(WINDOW)
    shown = {shown.part: shown for face in panel.closed for shown in face.parts}
    # by hand: the lower part within seams of 10 mm, less the window of 20 by 10
    assert shown["part 1"].whole.area == pytest.approx(80 * 50 - 200)


def test_the_edge_of_a_window_is_cut_and_finished_edge_in_one() -> None:
    rivet = {"name": "rivet", "kind": "rivet", "at": [66, 25]}
    (piece,) = panel_of(WINDOW, hardware=[rivet]).pieces
    assert (piece.from_cut, piece.from_finished) == pytest.approx((6, 6))


def test_beside_a_seam_the_finished_edge_counts_before_a_window_farther_off() -> None:
    rivet = {"name": "rivet", "kind": "rivet", "at": [82, 25]}
    (piece,) = panel_of(WINDOW, hardware=[rivet]).pieces
    assert (piece.from_cut, piece.from_finished) == pytest.approx((18, 8))


def test_a_hole_never_closes() -> None:
    hole = [[40, 30], [48, 30], [48, 38], [40, 38]]
    panel = panel_of(
        {
            "shape": "polygon",
            "points": [[0, 0], [100, 0], [100, 80], [0, 80]],
            "holes": [hole],
        }
    )
    assert not panel.ground.covers(shapely.Point(44, 34))


def test_zones_over_the_edge_and_in_two() -> None:
    bar = {"name": "bar", "shape": "rectangle", "at": [50, 40], "width": 20, "height": 120}
    panel = panel_of({"shape": "rectangle", "width": 100, "height": 80}, keep_outs=[bar])
    assert {"keep-out-over-edge", "panel-in-pieces"} <= set(codes(panel))
    assert panel.sewable.geom_type == "MultiPolygon"
    ring = panel.ways.kind == Way.RING
    assert ring.any()
    assert not ring.all()


def test_all_faults_at_once() -> None:
    far = {"name": "far", "shape": "circle", "diameter": 5, "at": [900, 40]}
    with pytest.raises(ProjectError) as caught:
        panel_of(
            {"shape": "rectangle", "width": 100, "height": 80},
            keep_outs=[far, far | {"name": "farther", "at": [-300, 0]}],
            hardware=[MAGNET | {"at": [500, 500]}],
        )
    assert [fault.where for fault in caught.value.faults] == [
        "hardware[0].at",
        "keep_outs[0]",
        "keep_outs[1]",
    ]


@pytest.mark.parametrize(
    ("points", "holes", "words"),
    [
        ([[0, 0], [100, 80], [100, 0], [0, 80]], [], r"touches itself at \(50, 40\)"),
        ([[0, 0], [50, 0], [100, 0]], [], "panel.points"),
        ([[0, 0], [100, 0], [100, 80]], [[[200, 0], [210, 0], [210, 9]]], "outside the outline"),
    ],
)
def test_outlines_that_hold_no_panel(
    points: list[list[float]], holes: list[list[list[float]]], words: str
) -> None:
    with pytest.raises(ProjectError, match=words):
        panel_of({"shape": "polygon", "points": points, "holes": holes})


def test_overlapping_pieces_are_named() -> None:
    panel = panel_of(
        POUCH,
        hardware=[MAGNET | {"at": [75, 60]}, MAGNET | {"name": "snap", "at": [85, 60]}],
    )
    assert "pieces-overlap" in codes(panel)


def test_ways_are_closed_rings() -> None:
    panel = panel_of(POUCH, hardware=[MAGNET | {"at": [125, 60]}])
    ways = panel.ways
    assert len(ways.starts) == 3
    assert np.allclose(ways.points[ways.starts[:-1]], ways.points[ways.starts[1:] - 1])


SLEEVE = {"shape": "flat sleeve", "width": 200, "body": 120}
SIDE = {"shape": "boxed tote side", "width": 300, "height": 250, "depth": 100}
ZIP = {"shape": "zip pouch side", "width": 90, "height": 60}


@pytest.mark.parametrize(
    ("panel", "where", "words"),
    [
        (POUCH | {"flap": 170}, "flap", r"found 170; a flap longer than the body \(150 mm\)"),
        (POUCH | {"flap": 8, "corner_radius": 0}, "flap", "takes up all of the flap"),
        (POUCH | {"flap_inset": 125}, "flap_inset", r"less than half the width \(125 mm\)"),
        (
            POUCH | {"flap_inset": 120, "corner_radius": 0},
            "flap_inset",
            "a flap 10 mm wide.* less than 115 mm",
        ),
        (POUCH | {"corner_radius": 111}, "corner_radius", r"the flap's length .*\(110 mm\)"),
        (
            POUCH | {"width": 20, "corner_radius": 0},
            "seam_allowance",
            "nothing is left .* 20 mm across",
        ),
        (POUCH | {"body": 0}, "body", "found 0; should be more than 0"),
        (SLEEVE | {"body": 10}, "body", "takes up all of the front; should be more than 10 mm"),
        (SIDE | {"depth": 300}, "depth", r"of the width \(300 mm\) nothing is left"),
        (SIDE | {"depth": 285}, "depth", "rest of the width .* less than 280 mm"),
        (SIDE | {"depth": 100, "height": 69}, "depth", "rest of the height .* less than 98 mm"),
        (SIDE | {"depth": 500, "width": 600}, "depth", "of the height .* nothing is left"),
        (ZIP | {"corner_radius": 46}, "corner_radius", r"half the width .*\(45 mm\)"),
        (ZIP | {"corner_object": 93}, "corner_object", r"found 93; .*\(90 mm\)"),
        ({"shape": "strap", "length": 600, "width": 20}, "seam_allowance", "20 mm across"),
        ({"shape": "strap", "length": 15, "width": 50}, "seam_allowance", "15 mm across"),
        ({"shape": "base", "width": 19, "height": 90}, "seam_allowance", "19 mm across"),
        (
            {"shape": "polygon", "points": [[0, 0], [90, 0], [90, 19], [0, 19]]},
            "seam_allowance",
            "takes up the whole outline",
        ),
    ],
)
def test_sizes_that_no_bag_can_have(panel: dict[str, Any], where: str, words: str) -> None:
    with pytest.raises(ProjectError) as caught:
        panel_of(panel)
    (fault,) = caught.value.faults
    assert fault.where == f"panel.{where}"
    assert re.search(words, fault.message)


@pytest.mark.parametrize(
    "panel",
    [
        POUCH | {"flap": 150},
        POUCH | {"flap": 11, "corner_radius": 11},
        POUCH | {"flap_inset": 114, "corner_radius": 10},
        SLEEVE | {"body": 11},
        SIDE | {"depth": 279},
        SIDE | {"depth": 1},
        ZIP | {"corner_radius": 45},
        {"shape": "strap", "length": 600, "width": 21},
    ],
)
def test_sizes_that_just_fit(panel: dict[str, Any]) -> None:
    assert panel_of(panel).outline.is_valid


@pytest.mark.parametrize("sits", ["inside", "above"])
def test_the_foot_keeps_farther_from_an_other_half_that_stands_above(sits: str) -> None:
    foot = {"left": 10, "right": 10, "front": 15, "back": 20}
    piece = MAGNET | {"at": [125, 380], "mate": {"sits": sits}}
    first, half = panel_of(POUCH, hardware=[piece], machine={"foot": foot}).pieces
    assert first.reach == pytest.approx(6.35)
    assert half.reach == pytest.approx(6.35 + (math.hypot(10, 20) if sits == "above" else 0))


def test_the_base_of_a_tote_is_half_its_depth_from_seam_to_fold() -> None:
    # by hand: seams round the squares of 50 meet 10 above and beside them, so the finished base
    # is 60 - 10 = 50 deep and 300 - 2 * 60 = 180 wide, the finished side 250 - 60 - 10 = 180 high
    panel = panel_of(SIDE)
    assert [(fold.start, fold.end) for fold in panel.folds] == [((0, 60), (300, 60))]
    finished = panel.outline.buffer(-10, join_style="mitre")
    side, base = (only_polygons(part.area.intersection(finished)).bounds for part in panel.parts)
    assert base == pytest.approx((60, 10, 240, 60))
    assert side == pytest.approx((10, 60, 290, 240))
