"""What is asked of every meander, measured over a fixed row of random regions with keep-outs."""

from __future__ import annotations

import functools

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely import box

from loftline.errors import Finding
from loftline.fills.meander import meander
from support_meander import (
    Area,
    Floats,
    area,
    assert_good,
    disc,
    evenly,
    lattice_of,
    radii,
    random_region,
    sharp_corners,
)

A_FEW = (2, 8, 19, 25, 35, 41)
ALL = range(60)

FAR = 1.3
"""In spacings: ground farther than this from every line counts as bare, as in the finding."""
UNTOLD = 0.25
"""In square spacings: less bare ground than this need not be told of."""


def measured(region: Area, spacing: float, lines: list[Floats]) -> tuple[Floats, Floats]:
    """Evenly spread places of a region, and how far each is from a line, in spacings."""
    rng = np.random.default_rng(1)
    x0, y0, x1, y1 = region.bounds
    places = rng.uniform((x0, y0), (x1, y1), (20_000, 2))
    places = places[shapely.contains_xy(region, places[:, 0], places[:, 1])]
    near, _ = cKDTree(np.concatenate([evenly(line, 0.3) for line in lines])).query(places)
    return places, np.asarray(near) / spacing


def told(found: tuple[Finding, ...], places: Floats, spacing: float) -> Floats:
    """How far each place is from one that a finding names, in spacings."""
    named = [[float(word) for word in one.where.strip("()").split(",")] for one in found]
    if not named:
        return np.full(len(places), np.inf)
    return np.asarray(cKDTree(np.array(named)).query(places)[0]) / spacing


def check(number: int) -> None:
    region, spacing = random_region(number)
    lines, found = meander(region, spacing, number)
    assert_good(region, lines)
    places, away = measured(region, spacing, lines)
    thin = ~shapely.contains_xy(roomy(region, spacing), places[:, 0], places[:, 1])
    near_told = told(found, places, spacing) < 6
    one = region.area / len(places) / spacing**2
    assert np.count_nonzero((away > FAR) & ~near_told) * one < UNTOLD
    # of the ground that is told of, what is too thin for two strands is left out
    assert np.quantile(away[~(thin & near_told)], 0.95) <= 0.54
    assert least_radius(region, spacing, lines) >= 0.2


def check_loops(number: int) -> None:
    """With loops the line lies a third wider: 95 % of the ground within 0.72 spacings."""
    region, spacing = random_region(number)
    lines, found = meander(region, spacing, number, curls=True)
    assert shapely.covers(region, [shapely.LineString(line) for line in lines]).all()
    places, away = measured(region, spacing, lines)
    thin = ~shapely.contains_xy(roomy(region, spacing), places[:, 0], places[:, 1])
    near_told = told(found, places, spacing) < 6
    assert np.quantile(away[~(thin & near_told)], 0.95) <= 0.72


def roomy(region: Area, spacing: float) -> Area:
    """Where a disc of 0.3 spacings finds room: two strands and the bend between them."""
    return area(region.buffer(-0.3 * spacing).buffer(0.3 * spacing))


def least_radius(region: Area, spacing: float, lines: list[Floats]) -> float:
    """Of the line's bends where the edge has no corner and leaves room for so round a bend."""
    corners = sharp_corners(region)
    room = roomy(region, spacing)
    least = np.inf
    for line in lines:
        places, bends = evenly(line, 0.06 * spacing / 4), radii(line, 0.06 * spacing) / spacing
        asked = shapely.contains_xy(room, places[:, 0], places[:, 1])
        if len(corners):
            asked &= cKDTree(corners).query(places)[0] > 0.6 * spacing
        least = min(least, bends[asked].min(initial=np.inf))
    return float(least)


@pytest.mark.parametrize("number", A_FEW)
def test_a_few_random_regions_are_filled_to_the_bars(number: int) -> None:
    check(number)


@pytest.mark.parametrize("number", A_FEW[:3])
def test_loops_leave_no_wide_gap_in_a_few_random_regions(number: int) -> None:
    check_loops(number)


@pytest.mark.nightly
@pytest.mark.parametrize("number", ALL)
def test_loops_leave_no_wide_gap_in_sixty_random_regions(number: int) -> None:
    check_loops(number)


@pytest.mark.nightly
@pytest.mark.parametrize("number", ALL)
def test_sixty_random_regions_are_filled_to_the_bars(number: int) -> None:
    check(number)


HOLES = shapely.union_all([disc(50, 130, 12), disc(110, 60, 15), box(30, 40, 70, 60)])
HOLED = area(box(0, 0, 160, 180).difference(HOLES))


@functools.cache
def eight() -> list[list[Floats]]:
    """Lines of eight seeds."""
    return [meander(HOLED, 8, seed)[0] for seed in range(8)]


@pytest.mark.parametrize("fold", [4, 6])
def test_headings_favour_no_lattice(fold: int) -> None:
    assert np.mean([lattice_of(HOLED, lines, 8, fold) for lines in eight()]) < 0.08


def test_a_lattice_would_be_seen() -> None:
    region = box(0, 0, 100, 100)
    rows = [(x, y) for y in range(10, 90, 8) for x in ((10, 90) if y % 16 == 10 else (90, 10))]
    assert lattice_of(region, [np.array([*rows, rows[0]], float)], 8, 4) > 0.8


def test_bare_ground_that_nobody_tells_of_would_be_seen() -> None:
    region = box(0, 0, 80, 80)
    lines, _ = meander(box(0, 0, 80, 60), 8, 1)
    _, away = measured(region, 8, lines)
    assert np.count_nonzero(away > FAR) * region.area / len(away) / 64 > UNTOLD
