"""Echo against closed forms, and as one line."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import LinearRing

from loftline.fills import make_fields, make_lines
from loftline.fills.levels import LEAST_RADIUS, ring_levels
from loftline.geometry import lengths, only_polygons
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Floats, Lines, Panel

BARE = {"overhang": 0, "seam_allowance": 0}
CADDY = {"shape": "rectangle", "width": 240, "height": 300, **BARE}
ROUND = {"shape": "ellipse", "width": 200, "height": 200, **BARE}
SNAPS = [
    {"name": name, "shape": "circle", "diameter": 30, "at": at, "clearance": 5}
    for name, at in (("left", [80, 220]), ("right", [160, 220]))
]


def echo_of(
    panel: dict[str, Any],
    spacing: float = 10,
    keep_outs: list[dict[str, Any]] | None = None,
    **more: Any,  # noqa: ANN401 - keys of the fill
) -> tuple[Panel, Lines]:
    fill = {"pattern": "echo", "spacing": spacing, **more}
    tables = {"panel": panel, "fills": [fill], "keep_outs": keep_outs or []}
    project = parse_project({"format": 1, "name": "Workbench caddy", **tables})
    made = make_panel(project)
    return made, make_lines(project, made, make_fields(project, made))


def test_rings_of_a_rectangle() -> None:
    # closed form: 2 (w + h) of each inset, less what rounding four corners saves
    _, lines = echo_of({**CADDY, "width": 100, "height": 60}, 10, joined=False)
    saved = (8 - 2 * math.pi) * LEAST_RADIUS * 10
    wanted = [2 * (100 - 2 * t + 60 - 2 * t) - saved for t in (5, 15, 25)]
    assert lengths(lines.points, lines.starts) == pytest.approx(wanted, abs=0.05)


def test_rings_of_a_circle() -> None:
    # closed form: 2 pi (r - t); chords of 5.6 degrees are up to 0.04 % shorter than their arcs
    _, lines = echo_of(ROUND, 10, joined=False)
    wanted = [2 * math.pi * (100 - t) for t in range(5, 100, 10)]
    assert lengths(lines.points, lines.starts) == pytest.approx(wanted, abs=0.1)


def test_rings_round_a_hole_of_the_region_keep_half_a_spacing() -> None:
    ground = shapely.box(0, 0, 200, 200).difference(shapely.Point(100, 100).buffer(20, 64))
    rings = ring_levels(only_polygons(ground), 10)
    nearest = min(
        float(shapely.distance(LinearRing(ring.points), shapely.Point(100, 100))) for ring in rings
    )
    assert nearest == pytest.approx(25, abs=0.05)


def test_neighbouring_rings_are_a_spacing_apart_or_more() -> None:
    ground = shapely.union_all([shapely.box(0, 0, 200, 120), shapely.box(60, 0, 130, 210)])
    rings = ring_levels(only_polygons(ground), 9)
    drawn = [LinearRing(ring.points) for ring in rings]
    gaps = [
        a.distance(b)
        for a, x in zip(drawn, rings, strict=True)
        for b, y in zip(drawn, rings, strict=True)
        if y.level == x.level + 1
    ]
    assert min(gaps) > 9 - 0.02


@pytest.mark.parametrize("keep_outs", [[], SNAPS], ids=["bare", "keep-outs"])
@pytest.mark.parametrize("spacing", [5, 8, 12, 20])
def test_an_echo_is_one_closed_line(spacing: float, keep_outs: list[dict[str, Any]]) -> None:
    _, lines = echo_of(CADDY, spacing, keep_outs)
    assert lines.closed.tolist() == [True]
    assert LinearRing(lines.line(0)).is_simple


def test_one_line_is_about_as_long_as_its_rings() -> None:
    # a gate takes away as much as it adds: two stretches of 0.8 spacings, two links of one
    one = echo_of(CADDY, 8, SNAPS)[1]
    rings = echo_of(CADDY, 8, SNAPS, joined=False)[1]
    total = [float(lengths(lines.points, lines.starts).sum()) for lines in (one, rings)]
    assert total[0] == pytest.approx(total[1], rel=0.02)


@pytest.mark.parametrize("joined", [True, False])
def test_the_ground_is_evenly_covered(*, joined: bool) -> None:
    # lines a spacing apart have 95 of 100 places within 0.475 of a line; corners cost a little
    panel, lines = echo_of(CADDY, 8, SNAPS, joined=joined)
    spots = np.random.default_rng(1).uniform((0, 0), (240, 300), (20000, 2))
    spots = spots[shapely.contains_xy(panel.sewable, *spots.T)]
    drawn = shapely.MultiLineString([lines.line(i) for i in range(len(lines))])
    away = shapely.distance(shapely.points(spots), drawn) / 8
    assert np.percentile(away, 95) < 0.51
    assert away.max() < 1.2


def sharpest(line: Floats, reach: float) -> float:
    """The least radius of circles through places ``reach`` apart along a closed line."""
    ring = LinearRing(line)
    s = np.arange(0, ring.length, reach / 4)
    a, b, c = (
        shapely.get_coordinates(shapely.line_interpolate_point(ring, (s + k * reach) % ring.length))
        for k in range(3)
    )
    sides = np.hypot(*(b - a).T) * np.hypot(*(c - b).T) * np.hypot(*(a - c).T)
    area = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    return float((sides / np.maximum(2 * area, 1e-12)).min())


def test_no_spike_is_left_where_convex_edges_meet() -> None:
    _, lines = echo_of(CADDY, 12, SNAPS, joined=False)
    # the corner where two circles meet points inward and is as blunt as the circles are wide
    rings = [lines.line(i) for i in range(len(lines))]
    # chords of a polygon make the measured radius a little smaller than that of its arcs
    assert sharpest(rings[0], 0.5) > 0.9 * LEAST_RADIUS * 12


def test_a_spike_is_seen_by_the_look_for_spikes() -> None:
    wedge = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 6.0), (0.0, 0.0)])
    assert sharpest(wedge, 0.5) < 0.5


def test_a_part_too_thin_is_named() -> None:
    _, lines = echo_of({**CADDY, "width": 60, "height": 12}, 12)
    assert [finding.code for finding in lines.findings] == ["part-left-bare"]
    assert not len(lines)


def test_a_part_cut_in_two_has_a_line_in_each_piece() -> None:
    bar = {"name": "strap", "shape": "rectangle", "width": 260, "height": 20, "at": [120, 150]}
    _, lines = echo_of(CADDY, 10, [{**bar, "clearance": 3}])
    middles = sorted(float(lines.line(i)[:, 1].mean()) for i in range(len(lines)))
    assert len(middles) == 2
    assert middles[0] < 137
    assert middles[1] > 163


def test_rings_with_one_between_them_that_is_cut_are_not_joined_over_it() -> None:
    # the third ring runs along both sides of the outline there, and is left out beside them
    badge = {"name": "badge", "shape": "circle", "at": [41.2, 39], "diameter": 31, "clearance": 0}
    strip = {**CADDY, "width": 71, "height": 78, "overhang": 25, "seam_allowance": 10}
    _, lines = echo_of(strip, 4, [badge], echo_of="badge")
    drawn = [shapely.LineString(lines.line(i)) for i in range(len(lines))]
    assert lines.closed.sum() >= 2
    assert not lines.closed.all()
    assert not any(a.intersects(b) for i, a in enumerate(drawn) for b in drawn[:i])
