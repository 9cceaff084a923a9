"""Rounded corners: by radius, round an object, in every corner of a polygon."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.errors import ProjectError
from loftline.panel import make_panel
from loftline.panel.rounding import TooRound, round_corners
from loftline.panel.shapes import rounded_box
from loftline.project import parse_project

SQUARE = np.array([(0, 0), (100, 0), (100, 60), (0, 60)], float)


def outline_of(panel: dict[str, Any]) -> shapely.Polygon:
    document = {"format": 1, "panel": panel, "fills": [{"pattern": "channel"}]}
    return make_panel(parse_project(document)).outline


def test_a_rounded_rectangle_is_the_same_either_way() -> None:
    rounded = shapely.Polygon(round_corners(SQUARE, 20))
    assert rounded.symmetric_difference(rounded_box(100, 60, 20)).area < 1e-6


@pytest.mark.parametrize("turned", [False, True])
def test_arcs_lie_on_true_circles(turned: bool) -> None:  # noqa: FBT001 - either direction
    corners = SQUARE[::-1] if turned else SQUARE
    points = round_corners(corners, 20)
    near = points[(points < 20 + 1e-9).all(axis=1)]
    assert len(near) == 33
    assert np.hypot(*(near - 20).T) == pytest.approx(20)


def test_corners_that_turn_inward_are_rounded_too() -> None:
    corner = np.array([(0, 0), (90, 0), (90, 90), (60, 90), (60, 40), (0, 40)], float)
    rounded = shapely.Polygon(round_corners(corner, 10))
    # each corner is a square of 10 less a quarter circle: five give it, the inward one takes it
    lost = (4 - math.pi) / 4 * 100
    assert rounded.area == pytest.approx(shapely.Polygon(corner).area - 4 * lost, rel=1e-4)
    assert rounded.is_valid


def test_an_acute_corner_is_touched_on_both_edges() -> None:
    corners = np.array([(0, 0), (100, 0), (50, 100)], float)
    rounded = shapely.Polygon(round_corners(corners, 15))
    # the inscribed circle's formula: an arc of radius r begins r / tan(half the angle) away
    away = 15 / math.tan(math.atan2(100, 50) / 2)
    along_base = rounded.boundary.intersection(shapely.LineString([(0, 0), (100, 0)]))
    assert along_base.length == pytest.approx(100 - 2 * away)
    assert shapely.covers(shapely.Polygon(corners).buffer(1e-9), rounded)


def test_places_along_a_straight_edge_stay() -> None:
    corners = np.array([(0, 0), (50, 0), (100, 0), (100, 60), (0, 60)], float)
    points = round_corners(corners, 20)
    assert (points == (50, 0)).all(axis=1).any()


def test_a_radius_too_large_is_refused_with_the_greatest_that_fits() -> None:
    with pytest.raises(TooRound, match=r"edge from \(100, 0\) to \(100, 60\) has room for 30 mm"):
        round_corners(SQUARE, 31)
    assert shapely.Polygon(round_corners(SQUARE, 30)).is_valid


def test_a_polygon_is_rounded() -> None:
    panel = {"shape": "polygon", "points": SQUARE.tolist(), "corner_radius": 20}
    assert outline_of(panel).symmetric_difference(rounded_box(100, 60, 20)).area < 1e-6


def test_a_polygon_too_small_for_its_radius_is_refused() -> None:
    panel = {"shape": "polygon", "points": SQUARE.tolist(), "corner_object": 70}
    with pytest.raises(ProjectError, match=r"^panel\.corner_object: a radius of 35 mm is too"):
        outline_of(panel)


@pytest.mark.parametrize(
    "panel",
    [
        {"shape": "rectangle", "width": 250, "height": 180},
        {"shape": "folded pouch", "width": 250, "body": 150, "flap": 110},
        {"shape": "polygon", "points": SQUARE.tolist()},
    ],
)
def test_a_round_object_is_drawn_around(panel: dict[str, Any]) -> None:
    by_object = outline_of(panel | {"corner_object": "3 cm"})
    assert by_object.equals(outline_of(panel | {"corner_radius": 15}))
    assert by_object.area < outline_of(panel).area


@pytest.mark.parametrize(
    ("panel", "words"),
    [
        ({"corner_object": 30, "corner_radius": 15}, "give corner_radius, or the diameter"),
        ({"corner_object": 200}, r"found 200; should be at most the shorter side \(180 mm\)"),
        ({"corner_object": 0}, "found 0; should be more than 0"),
        ({"shape": "ellipse", "corner_object": 30}, "an ellipse, which has no|a ellipse, which"),
    ],
)
def test_objects_that_do_not_fit(panel: dict[str, Any], words: str) -> None:
    box = {"shape": "rectangle", "width": 250, "height": 180}
    with pytest.raises(ProjectError, match=r"panel\.corner_object: .*" + words):
        outline_of(box | panel)
