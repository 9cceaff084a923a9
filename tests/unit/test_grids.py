"""The settings of a grid: directions, crossings by closed forms."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import LineString

from loftline.errors import does_nothing
from loftline.fills.fill_lines import FillLines
from loftline.fills.patterns import PATTERNS
from loftline.geometry import circle
from loftline.project import FillSpec
from loftline.project.fill_table import SETTINGS
from loftline.values import Area, Field, Floats

DISC = circle((100, 100), 180)


def grid_of(region: Area = DISC, **keys: Any) -> FillLines:  # noqa: ANN401 - keys
    field = Field(index=0, part="all", region=region, outline=region, centre=(100.0, 100.0))
    spec = FillSpec.model_validate({"pattern": "grid", "spacing": 14} | keys)
    return PATTERNS["grid"](field, spec, 0, "full", does_nothing)


def crossings(lines: FillLines, i: int, j: int) -> Floats:
    """Where the lines of two families cross."""
    first, second = (shapely.linestrings(np.array(lines.curves)[lines.family == k]) for k in (i, j))
    met = shapely.intersection(first[:, None], second)
    return np.asarray(shapely.get_coordinates(met[~shapely.is_empty(met)]))


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_setting_is_its_angles(setting: str) -> None:
    named = grid_of(setting=setting)
    angles = list(SETTINGS[setting])
    by_hand = grid_of(angle=angles)
    assert len(named.curves) == len(by_hand.curves) > 20
    assert all(map(np.array_equal, named.curves, by_hand.curves))


@pytest.mark.parametrize("setting", SETTINGS)
def test_two_families_cross_where_two_equations_say(setting: str) -> None:
    # lines a . p = k s and b . p = m s about the centre: a two by two system
    lines = grid_of(setting=setting)
    for i, j in itertools.combinations(range(len(SETTINGS[setting])), 2):
        turn = np.radians([SETTINGS[setting][i], SETTINGS[setting][j]])
        across = np.column_stack([-np.sin(turn), np.cos(turn)])
        k = np.arange(-20, 21) * 14.0
        levels = np.stack(np.meshgrid(k, k), axis=-1).reshape(-1, 2)
        wanted = np.linalg.solve(across, levels.T).T + 100
        wanted = wanted[np.hypot(*(wanted - 100).T) < 85]
        found = crossings(lines, i, j)
        found = found[np.hypot(*(found - 100).T) < 85]
        assert len(found) == len(wanted)
        apart = np.hypot(*(found[:, None] - wanted[None]).transpose(2, 0, 1))
        assert apart.min(axis=1).max() < 1e-9
        assert apart.min(axis=0).max() < 1e-9


@pytest.mark.parametrize("start", ["centre", [87.3, 111.9]])
def test_three_lines_of_triangles_meet_in_each_point(start: object) -> None:
    lines = grid_of(setting="triangle", start_at=start)
    thirds = np.array([LineString(curve) for curve in lines.curves], dtype=object)
    for i, j, k in ((0, 1, 2), (0, 2, 1), (1, 2, 0)):
        spots = crossings(lines, i, j)
        spots = spots[np.hypot(*(spots - 100).T) < 85]
        third = shapely.union_all(thirds[lines.family == k])
        assert len(spots) > 80
        assert shapely.distance(shapely.points(spots), third).max() < 1e-9


def test_triangles_off_by_a_half_would_not_meet() -> None:
    # the check above can fail: a third family half a spacing aside misses by half a spacing
    lines = grid_of(setting="triangle")
    aside = [LineString(np.add(c, (7.0, 0.0))) for c in np.array(lines.curves)[lines.family == 1]]
    spots = crossings(lines, 0, 2)
    spots = spots[np.hypot(*(spots - 100).T) < 85]
    off = shapely.distance(shapely.points(spots), shapely.union_all(aside))
    assert off.min() == pytest.approx(7)


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_grid_on_a_circle_has_the_sum_of_its_chords(setting: str) -> None:
    chords = [2 * math.sqrt(90**2 - (14 * k) ** 2) for k in range(-6, 7)]
    total = sum(np.hypot(*(curve[1] - curve[0])) for curve in grid_of(setting=setting).curves)
    assert total == pytest.approx(len(SETTINGS[setting]) * sum(chords), rel=1e-3)


def test_diamonds_stand_upright() -> None:
    # 30 and 150 degrees: rhombs of 60 degrees, wider than high by the square root of 3
    spots = crossings(grid_of(setting="diamond"), 0, 1) - 100
    row = np.sort(spots[np.abs(spots[:, 1]) < 1e-6, 0])
    column = np.sort(spots[np.abs(spots[:, 0]) < 1e-6, 1])
    assert np.diff(row).mean() / np.diff(column).mean() == pytest.approx(math.sqrt(3))


CORNERS = np.array([(0, 0), (7, 1), (9, 6), (4, 9), (2, 8), (-1, 3)])
"""A polygon on the crossings of a grid, counted in lines of its two families."""


def on_crossings(setting: str) -> tuple[shapely.Polygon, float]:
    """The polygon in mm about the centre of the panel, and the area between four crossings."""
    first, second = np.radians(SETTINGS[setting][:2])
    turn = np.array([first, second])
    across = np.column_stack([-np.sin(turn), np.cos(turn)])
    cell = 14.0**2 / abs(math.sin(second - first))
    corners = np.linalg.solve(across, (CORNERS * 14.0 - (56, 63)).T).T + 100
    return shapely.Polygon(corners), cell


def inner_crossings(setting: str) -> int:
    area, _ = on_crossings(setting)
    start = shapely.get_coordinates(area)[0].tolist()
    spots = crossings(grid_of(area, setting=setting, start_at=start), 0, 1)
    inside = shapely.contains_xy(area.buffer(-0.5), *spots.T)
    return int(np.count_nonzero(inside))


@pytest.mark.parametrize("setting", SETTINGS)
def test_crossings_in_a_polygon_on_crossings_are_as_many_as_its_area_says(setting: str) -> None:
    """Pick's theorem (Georg Pick, 1899): area in cells = inner points + border points / 2 - 1."""
    area, cell = on_crossings(setting)
    steps = np.diff(CORNERS, axis=0, append=CORNERS[:1])
    border = int(np.gcd(*np.abs(steps).T).sum())
    assert inner_crossings(setting) == pytest.approx(area.area / cell - border / 2 + 1, abs=1e-6)


@pytest.mark.parametrize(
    ("angle", "expected"),
    # lines of one and the other direction that reach inside 180 by 110 mm, half a box from the
    # middle: 90 / 14 and 55 / 14
    [(0, (2 * 6 + 1) * (2 * 3 + 1)), (90, (2 * 6 + 1) * (2 * 3 + 1))],
)
def test_crossings_of_a_square_grid_on_a_rectangle(angle: float, expected: int) -> None:
    spots = crossings(grid_of(shapely.box(10, 45, 190, 155), angle=angle), 0, 1)
    assert len(spots) == expected


@pytest.mark.parametrize("setting", ["square", "on point"])
def test_crossings_of_a_square_grid_on_a_circle(setting: str) -> None:
    # Gauss's circle problem: whole points within 90 / 14 of the origin, column by column
    columns = [2 * math.isqrt(int((90 / 14) ** 2 - k * k)) + 1 for k in range(-6, 7)]
    assert len(crossings(grid_of(setting=setting), 0, 1)) == sum(columns)
