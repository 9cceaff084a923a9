"""Regions for meanders, and what is measured on their lines."""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt
import shapely
from scipy.spatial import cKDTree
from shapely import LinearRing, LineString, MultiPolygon, Point, Polygon, box

from loftline.fills.meander import meander
from loftline.geometry import only_polygons, rings

Floats = npt.NDArray[np.float64]
Area = Polygon | MultiPolygon


def disc(x: float, y: float, radius: float) -> Polygon:
    return Point(x, y).buffer(radius, quad_segs=16)


def area(shape: shapely.Geometry) -> Area:
    assert isinstance(shape, Polygon | MultiPolygon)
    return shape


def pouch() -> Area:
    """The demo pouch: folded pouch, two pairs of magnets, one label."""
    shape = box(0, 0, 250, 365).union(box(45, 0, 205, 410))
    shape = shape.union(disc(45, 365, 45)).union(disc(205, 365, 45))
    magnets = [disc(x, y, 15.5) for x in (75, 175) for y in (78, 378)]
    return area(shape.difference(shapely.union_all([*magnets, box(88.5, 111, 161.5, 149)])))


def dumbbell(neck: float) -> Area:
    """Two discs of 80 mm, 120 mm apart, joined by a bar as wide as the neck."""
    bar = box(0, -neck / 2, 120, neck / 2)
    return area(disc(0, 0, 40).union(disc(120, 0, 40)).union(bar))


REGIONS: dict[str, tuple[Area, float]] = {
    "pouch": (pouch(), 12.0),
    "square": (box(0, 0, 90, 90), 9.0),
    "square with holes": (
        area(box(0, 0, 120, 90).difference(disc(30, 30, 12).union(disc(85, 55, 18)))),
        8.0,
    ),
    "L": (area(box(0, 0, 120, 120).difference(box(45, 45, 121, 121))), 9.0),
    "disc": (disc(0, 0, 60), 10.0),
    "dumbbell": (dumbbell(14.0), 8.0),
    "ring": (area(disc(0, 0, 60).difference(disc(5, 0, 30))), 8.0),
}


@functools.cache
def region_line(name: str, seed: int = 7) -> Floats:
    """The one line of a region."""
    region, spacing = REGIONS[name]
    lines, findings = meander(region, spacing, seed)
    assert len(lines) == 1
    assert findings == ()
    return lines[0]


def assert_good(region: Area, lines: list[Floats]) -> None:
    """Closed, simple, inside, apart: what holds for every line of every region."""
    for line in lines:
        assert line.shape[0] > 4
        assert np.array_equal(line[0], line[-1])
        assert LinearRing(line).is_simple
        assert region.covers(LineString(line))
    strings = [LineString(line) for line in lines]
    for i, one in enumerate(strings):
        assert not any(one.intersects(other) for other in strings[:i])


def evenly(line: Floats, step: float) -> Floats:
    """Points along a closed line, the first not repeated."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0, along[-1], int(along[-1] / step), endpoint=False)
    return np.stack([np.interp(at, along, line[:, 0]), np.interp(at, along, line[:, 1])], axis=1)


def away(region: Area, lines: list[Floats], count: int = 6000) -> Floats:
    """Distance from evenly spread random places of a region to the nearest line."""
    rng = np.random.default_rng(1)
    x0, y0, x1, y1 = region.bounds
    places = rng.uniform((x0, y0), (x1, y1), (count, 2))
    places = places[shapely.contains_xy(region, places[:, 0], places[:, 1])]
    near, _ = cKDTree(np.concatenate([evenly(line, 0.3) for line in lines])).query(places)
    return np.asarray(near)


def radii(line: Floats, reach: float) -> Floats:
    """Radius of the circle through each place of a closed line and those ``reach`` off."""
    places = evenly(line, reach / 4)
    before, after = np.roll(places, 4, axis=0) - places, np.roll(places, -4, axis=0) - places
    cross = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    sides = np.hypot(*before.T) * np.hypot(*after.T) * np.hypot(*(before - after).T)
    return np.asarray(sides / np.maximum(2 * cross, 1e-9))


def random_region(number: int) -> tuple[Area, float]:
    """A union of discs with up to five keep-outs, and a spacing: one of a fixed row of regions."""
    rng = np.random.default_rng([77, number])
    spacing = float(rng.choice([4, 6, 8, 12]))
    size = rng.uniform(120, 380)
    count = rng.integers(3, 8)
    middle, radius = rng.uniform(0.2, 0.8, (count, 2)) * size, rng.uniform(0.12, 0.3, count) * size
    whole = shapely.union_all([disc(x, y, r) for (x, y), r in zip(middle, radius, strict=True)])
    largest = max(shapely.get_parts(whole), key=lambda piece: piece.area)
    region: Area = Polygon(largest.exterior)
    for _ in range(rng.integers(0, 6)):
        x0, y0, x1, y1 = region.bounds
        x, y = rng.uniform((x0, y0), (x1, y1))
        if rng.random() < 0.6:
            keep_out = disc(x, y, rng.uniform(6, 22))
        else:
            keep_out = box(x, y, x + rng.uniform(8, 60), y + rng.uniform(8, 30))
        region = only_polygons(region.difference(keep_out))
    return region, spacing


def sharp_corners(region: Area, degrees: float = 30.0) -> Floats:
    """Corners of the edge that turn by more than so much."""
    found = [np.empty((0, 2))]
    for ring in rings(region):
        side = np.diff(ring, axis=0)
        heading = np.arctan2(side[:, 1], side[:, 0])
        turn = np.diff(np.concatenate([heading[-1:], heading]))
        turn = np.abs((turn + np.pi) % (2 * np.pi) - np.pi)
        found.append(ring[:-1][turn > np.radians(degrees)])
    return np.concatenate(found)


def inner_gap(region: Area, line: Floats, spacing: float) -> float:
    """Ground for each length of line, in spacings, where the edge is a spacing away or more."""
    inner = region.buffer(-spacing)
    return inner.area / inner.intersection(LineString(line)).length / spacing


def moved(one: Floats, other: Floats, spacing: float) -> tuple[Floats, Floats]:
    """Places of a line, and how far each lies from another line, in spacings."""
    places = evenly(one, spacing / 20)
    near, _ = cKDTree(evenly(other, spacing / 20)).query(places)
    return places, np.asarray(near) / spacing


def strand_gap(line: Floats, spacing: float) -> float:
    """Least distance between places of a line that lie far from each other along it."""
    places = evenly(line, spacing / 8)
    pairs = cKDTree(places).query_pairs(spacing, output_type="ndarray")
    along = np.abs(pairs[:, 0] - pairs[:, 1])
    pairs = pairs[np.minimum(along, len(places) - along) > 16]
    return float(np.hypot(*(places[pairs[:, 0]] - places[pairs[:, 1]]).T).min(initial=spacing))


def lattice(line: Floats, spacing: float, fold: int) -> float:
    """How far headings favour directions ``360 / fold`` degrees apart: 0 not at all, 1 wholly."""
    side = np.diff(evenly(line, spacing / 8), axis=0)
    return float(np.abs(np.exp(1j * fold * np.arctan2(side[:, 1], side[:, 0])).mean()))


def lattice_of(region: Area, lines: list[Floats], spacing: float, fold: int) -> float:
    """The same for what lies a spacing or more from the border of a region."""
    inner = region.buffer(-spacing)
    wave = []
    for line in lines:
        places = evenly(line, spacing / 8)
        side = np.roll(places, -1, axis=0) - places
        side = side[shapely.contains_xy(inner, places[:, 0], places[:, 1])]
        wave.append(np.exp(1j * fold * np.arctan2(side[:, 1], side[:, 0])))
    return float(np.abs(np.concatenate(wave).mean()))
