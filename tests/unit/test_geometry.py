"""Geometry against shapely and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st
from shapely import LineString, Polygon

from loftline.geometry import (
    axes,
    circle,
    clip_family,
    distance_along,
    lengths,
    only_polygons,
    pack,
    ranges,
)

REGION = Polygon(
    [(0, 0), (100, 0), (100, 60), (55, 60), (55, 90), (0, 90)],
    [[(10, 10), (30, 10), (30, 30), (10, 30)], [(60, 20), (80, 25), (70, 45)]],
)


def test_circle_contains_the_true_circle() -> None:
    drawn = circle((3, 4), 18)
    middle = shapely.Point(3, 4)
    assert shapely.distance(drawn.exterior, middle) >= 9 - 1e-12
    assert shapely.hausdorff_distance(drawn.exterior, middle) <= 9 * 1.0006


@pytest.mark.parametrize("angle", [0, 17.3, 45, 90, 123.4])
@pytest.mark.parametrize("spacing", [0.7, 3.1, 10.0])
def test_clipping_agrees_with_shapely(angle: float, spacing: float) -> None:
    through = (41.234, 37.937)
    pieces, number, _ = clip_family(REGION, angle, spacing, through)
    along, across = axes(angle)
    span = np.arange(-400, 400) * spacing
    span = span[np.abs(span) < 200]
    middle = np.asarray(through) + span[:, None] * across
    endless = shapely.linestrings(np.stack([middle - 500 * along, middle + 500 * along], axis=1))
    wanted = shapely.length(shapely.intersection(endless, REGION)).sum()
    length = np.hypot(*(pieces[:, 1] - pieces[:, 0]).T)
    assert length.sum() == pytest.approx(wanted, abs=1e-6 * max(1, len(pieces)))
    offset = (pieces[:, 0] - np.asarray(through)) @ across
    assert np.allclose(offset, number * spacing)


def test_lines_through_corners_pair_up() -> None:
    # 45 degrees with every second line through a corner of the square or its hole
    square = only_polygons(shapely.box(0, 0, 100, 100).difference(shapely.box(40, 40, 60, 60)))
    pieces, _, _ = clip_family(square, 45, 10 / math.sqrt(2), (50, 50))
    length = np.hypot(*(pieces[:, 1] - pieces[:, 0]).T)
    assert length.min() > 1
    drawn = shapely.linestrings(pieces)
    assert shapely.covers(square.buffer(1e-9), drawn).all()


@settings(max_examples=100, deadline=None)
@given(st.lists(st.integers(0, 5), max_size=12))
def test_ranges_is_a_loop(counts: list[int]) -> None:
    first = np.arange(len(counts)) * 10
    wanted = [f + k for f, c in zip(first.tolist(), counts, strict=True) for k in range(c)]
    assert ranges(first, np.array(counts, np.int64)).tolist() == wanted


def test_packed_lengths() -> None:
    curves = [np.array([(0.0, 0), (3, 4)]), np.array([(1.0, 1), (1, 2), (4, 6)])]
    points, starts = pack(curves)
    assert lengths(points, starts).tolist() == [5, 6]
    assert distance_along(points, starts).tolist() == [0, 5, 0, 1, 6]
    assert lengths(*pack([])).tolist() == []
    assert LineString(curves[1]).length == 6
