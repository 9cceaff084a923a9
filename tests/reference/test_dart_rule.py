"""Darts against what makers of bags do.

Common practice of the trade, no published source: a dart in a rounded corner has legs that
start on both edges one unit from the square corner and meet on the 45 degree line, 1 1/2
units inside the curve.
"""

from __future__ import annotations

import math

import pytest
import shapely

from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Dart


def corner_dart(radius: float, unit: float, **more: float) -> Dart:
    panel = {"shape": "rectangle", "width": 250, "height": 180, "corner_radius": radius}
    dart = {"corner": "lower left", "unit": unit, **more}
    document = {"panel": panel | {"darts": [dart]}, "fills": [{"pattern": "channel"}]}
    (found,) = make_panel(parse_project(document)).darts
    return found


@pytest.mark.parametrize("radius", [0.0, 10.0, 25.4, 40.0, 80.0])
@pytest.mark.parametrize("unit", [12.7, 25.4])
def test_a_corner_dart_keeps_to_the_square_and_depth_rule(radius: float, unit: float) -> None:
    dart = corner_dart(radius, unit)
    # on the 45 degree line
    assert dart.tip[0] == pytest.approx(dart.tip[1], abs=1e-6)
    # 1 1/2 units inside the curve, which crosses that line at radius * (root 2 - 1)
    inside = math.hypot(*dart.tip) - radius * (math.sqrt(2) - 1)
    assert inside == pytest.approx(1.5 * unit, abs=2e-3)
    # both legs lie on the lines from the tip to one unit from the square corner
    for end, start in zip(sorted(dart.ends), [(0.0, unit), (unit, 0.0)], strict=True):
        leg = shapely.LineString([dart.tip, start])
        assert shapely.distance(leg, shapely.Point(end)) < 1e-6
    one, two = dart.leg_lengths
    assert one == pytest.approx(two, abs=1e-6)


@pytest.mark.parametrize("unit", [30.0, 50.0])
def test_past_the_curve_the_legs_start_on_the_straight_edges(unit: float) -> None:
    # one unit from the square corner, where the curve of 30 mm has ended
    dart = corner_dart(30.0, unit)
    assert sorted(dart.ends) == [pytest.approx((0, unit)), pytest.approx((unit, 0))]
