"""A boxed corner against the geometry of a box (no source needed).

Cloth and foam bend but do not stretch: a sewn bag is as flat as its panel wherever the angles
of cloth round a point add up to 360 degrees. A box without a lid is flat but for the corners of
its base, where three right angles meet: 270 degrees. So the bag is a box with a base that is
``depth`` wide exactly where

1. what is sewn together is equally long,
2. the angles of cloth add up to 270 degrees at the two corners of each end of the base,
   and to 360 degrees where the side seam comes down to the middle between them,
3. those two corners lie ``depth`` apart, in a straight line on the base,
4. all the corners together lack 4 times 90 degrees: as much as any bag with a straight opening
   and one face all round (the theorem of Gauss and Bonnet for a disc).

The panel as sewn is found here by its own way: the outline less the seam allowance, less the
rectangle with the seam allowance round it.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import Polygon

from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Floats, Panel

WIDTH, BODY = 250.0, 200.0
CASES = [(60.0, 10.0), (80.0, 8.0), (25.0, 12.0), (40.0, 0.0)]
"""Depth and seam allowance, mm."""


def boxed(depth: float, allowance: float) -> Panel:
    corners: list[dict[str, Any]] = [
        {"fold": "lower fold", "side": side, "depth": depth} for side in ("left", "right")
    ]
    panel = {"shape": "flat sleeve", "width": WIDTH, "body": BODY, "darts": corners}
    document = {
        "panel": panel | {"seam_allowance": allowance},
        "fills": [{"pattern": "channel"}],
    }
    return make_panel(parse_project(document))


def as_sewn(panel: Panel, wedges: list[Polygon]) -> Floats:
    """Corners of the panel between its seams, ``(k, 2)`` mm, counter-clockwise."""
    allowance = panel.seam_allowance
    taken = [wedge.buffer(allowance, join_style="mitre", mitre_limit=50) for wedge in wedges]
    sewn = panel.outline.buffer(-allowance, join_style="mitre") - shapely.union_all(taken)
    assert isinstance(sewn, Polygon)
    corners: Floats = shapely.get_coordinates(sewn.simplify(1e-6).normalize())[:-1]
    return corners if Polygon(corners).exterior.is_ccw else corners[::-1]


def angle_at(corners: Floats, point: tuple[float, float]) -> float:
    """Degrees of cloth at a corner; the corner must be there."""
    apart = np.hypot(*(corners - point).T)
    here = int(np.argmin(apart))
    assert apart[here] < 1e-6, point
    back, ahead = corners[here - 1] - corners[here], corners[(here + 1) % len(corners)]
    ahead = ahead - corners[here]
    turn = math.atan2(back[1], back[0]) - math.atan2(ahead[1], ahead[0])
    return math.degrees(turn) % 360


def spots(depth: float, allowance: float) -> dict[str, tuple[float, float]]:
    """Where the left corner's seams meet, by the derivation above."""
    half = depth / 2
    return {
        "side, back": (allowance, BODY + half),
        "base, back": (allowance + half, BODY + half),
        "base, front": (allowance + half, BODY - half),
        "side, front": (allowance, BODY - half),
    }


def wedges(panel: Panel) -> list[Polygon]:
    return [dart.wedge for dart in panel.darts]


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_what_is_sewn_together_is_equally_long(depth: float, allowance: float) -> None:
    corners = as_sewn(boxed(depth, allowance), wedges(boxed(depth, allowance)))
    at = spots(depth, allowance)
    for part in ("back", "front"):
        assert angle_at(corners, at[f"side, {part}"]) == pytest.approx(90)
        # from the side seam to the base's corner, and from there to the fold
        along = math.dist(at[f"side, {part}"], at[f"base, {part}"])
        down = math.dist(at[f"base, {part}"], (allowance + depth / 2, BODY))
        assert along == pytest.approx(down)


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_three_right_angles_meet_at_each_corner_of_the_base(depth: float, allowance: float) -> None:
    panel = boxed(depth, allowance)
    corners = as_sewn(panel, wedges(panel))
    at = spots(depth, allowance)
    assert angle_at(corners, at["base, back"]) == pytest.approx(270)
    assert angle_at(corners, at["base, front"]) == pytest.approx(270)


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_the_side_is_flat_where_its_seam_comes_down_to_the_base(
    depth: float, allowance: float
) -> None:
    panel = boxed(depth, allowance)
    corners = as_sewn(panel, wedges(panel))
    at = spots(depth, allowance)
    both = angle_at(corners, at["side, back"]) + angle_at(corners, at["side, front"])
    fold = 180.0  # the base runs straight through the end of the fold
    assert both + fold == pytest.approx(360)


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_the_base_is_as_wide_as_the_depth_asked_for(depth: float, allowance: float) -> None:
    panel = boxed(depth, allowance)
    corners = as_sewn(panel, wedges(panel))
    inner = corners[np.abs(corners[:, 0] - allowance - depth / 2) < 1e-6]
    assert np.ptp(inner[:, 1]) == pytest.approx(depth)
    # the seam across runs from one of them to the other
    assert [dart.seam for dart in panel.darts] == pytest.approx([depth, depth])


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_the_base_is_shorter_than_the_side_seams_stand_apart_by_the_depth(
    depth: float, allowance: float
) -> None:
    panel = boxed(depth, allowance)
    corners = as_sewn(panel, wedges(panel))
    beside = corners[np.abs(corners[:, 1] - BODY) < depth / 2 + 1e-6]
    inner = beside[np.abs(beside[:, 0] - WIDTH / 2) < WIDTH / 2 - allowance - 1]
    assert np.ptp(inner[:, 0]) == pytest.approx(WIDTH - 2 * allowance - depth)


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_the_four_corners_lack_a_full_turn_together(depth: float, allowance: float) -> None:
    panel = boxed(depth, allowance)
    corners = as_sewn(panel, wedges(panel))
    around = [angle_at(corners, (float(x), float(y))) for x, y in corners]
    lacking = [360 - angle for angle in around if angle > 180]
    assert lacking == pytest.approx([90] * 4)


@pytest.mark.parametrize(("depth", "allowance"), CASES)
def test_both_legs_are_equal(depth: float, allowance: float) -> None:
    # along the side to the corner, and from there to the fold, which lies an allowance nearer
    expected = depth / 2 + (depth / 2 - allowance)
    for dart in boxed(depth, allowance).darts:
        assert dart.leg_lengths == pytest.approx((expected, expected))


def apart_when_flat(one: Floats, other: Floats) -> float:
    """How far points that are sewn together lie from each other, the panel folded flat, mm."""
    one, other = (np.column_stack([side[:, 0], abs(side[:, 1] - BODY)]) for side in (one, other))
    return float(np.hypot(*(one - other).T).max())


def test_a_wedge_at_the_end_of_the_fold_gives_no_depth() -> None:
    """Its legs are sewn to each other, and lie on each other already when all is flat."""
    one, other = (np.linspace((0, BODY + side), (30, BODY), 20) for side in (-30, 30))
    assert apart_when_flat(one, other) == pytest.approx(0)


def test_a_boxed_corner_cannot_stay_flat() -> None:
    """Each leg is sewn to itself, round its corner: the ends come from 30 mm away both."""
    at = spots(60.0, 10.0)
    corner = at["base, front"]
    along, down = (np.linspace(corner, end, 20) for end in (at["side, front"], (40.0, BODY)))
    assert apart_when_flat(along, down) == pytest.approx(math.hypot(30, 30))
