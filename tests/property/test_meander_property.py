"""Meanders over random regions: whatever the region, the lines are good."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, Phase, given, settings, strategies as st
from shapely import LineString, Polygon, box

from loftline.fills.meander import meander
from loftline.fills.meander.pace import Pace
from loftline.geometry import only_polygons, pole, polygons
from support_meander import Area, assert_good, away, disc

SPACING = 8.0


def shares(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of whole thousandths: lengths in a project come from a keyboard."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda n: n / 1000)


@st.composite
def outlines(draw: st.DrawFn) -> Polygon:
    """A star, a comb, a strip or a rounded blob of a few spacings."""
    kind = draw(st.sampled_from(["star", "comb", "strip", "blob"]))
    size = shares(0.3, 5.0)
    if kind == "strip":
        return box(0, 0, SPACING * draw(size), SPACING * draw(shares(0.05, 12)))
    if kind == "comb":
        wide = draw(st.lists(shares(0.2, 2.0), min_size=2, max_size=4))
        left = np.concatenate([[0.0], np.cumsum(np.array(wide) + draw(shares(0.05, 1.0)))])
        teeth = [
            box(x * SPACING, 0, (x + w) * SPACING, SPACING * draw(size))
            for x, w in zip(left, wide, strict=False)
        ]
        back = box(0, -SPACING * draw(shares(0.2, 2.5)), left[-1] * SPACING, 1.0)
        comb = shapely.union_all([back, *teeth])
        assert isinstance(comb, Polygon)
        return comb
    count = draw(st.integers(4, 14))
    reach = SPACING * np.array(draw(st.lists(size, min_size=count, max_size=count)))
    turn = np.arange(count) * 2 * np.pi / count
    star = Polygon(np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1))
    if kind == "blob":
        blob = star.buffer(0.6 * SPACING, quad_segs=4)
        assert isinstance(blob, Polygon)
        return blob
    return star


@st.composite
def regions(draw: st.DrawFn) -> Area:
    """An outline less a few discs, bars and slits, which may part it or hang over its edge."""
    region: Area = draw(outlines())
    x0, y0, x1, y1 = region.bounds
    for _ in range(draw(st.integers(0, 4))):
        x, y = draw(shares(x0, x1)), draw(shares(y0, y1))
        if draw(st.booleans()):
            hole = disc(x, y, SPACING * draw(shares(0.02, 1.2)))
        else:
            reach = SPACING * draw(shares(0.3, 3.0))
            angle = draw(shares(0, 2 * np.pi))
            end = (x + reach * np.cos(angle), y + reach * np.sin(angle))
            wide = SPACING * draw(shares(0.005, 0.4))
            bar = LineString([(x, y), end]).buffer(wide, cap_style="flat")
            assert isinstance(bar, Polygon)
            hole = bar
        region = only_polygons(region.difference(hole))
    return region


def assert_meander_is_good(region: Area, seed: int) -> None:
    lines, findings = meander(region, SPACING, seed)
    assert_good(region, lines)
    again, _ = meander(region, SPACING, seed)
    assert [line.tobytes() for line in again] == [line.tobytes() for line in lines]
    assert all(found.code == "part-left-bare" for found in findings)
    strings = shapely.linestrings(lines) if len(lines) == 1 else [LineString(a) for a in lines]
    for part in polygons(region):
        held = int(np.count_nonzero(shapely.covers(part, strings)))
        cores = shapely.get_parts(part.buffer(-0.35 * SPACING))
        if not held:
            # every part without a line is told of, and none with room for one is without
            x, y = pole(part)
            assert f"({round(x, 1):g}, {round(y, 1):g})" in {found.where for found in findings}
            assert shapely.area(cores).max(initial=0.0) < 3 * SPACING**2


@given(regions(), st.integers(0, 2**32))
@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
def test_lines_are_good_over_any_region(region: Area, seed: int) -> None:
    assert_meander_is_good(region, seed)


@pytest.mark.nightly
@given(regions(), st.integers(0, 2**32))
@settings(
    max_examples=200,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
def test_lines_are_good_over_many_regions(region: Area, seed: int) -> None:
    assert_meander_is_good(region, seed)


@given(shares(5, 9), shares(5, 9), st.integers(0, 2**32))
@settings(max_examples=12, deadline=None)
def test_open_ground_is_filled_evenly(wide: float, high: float, seed: int) -> None:
    region = box(0, 0, wide * SPACING, high * SPACING)
    lines, findings = meander(region, SPACING, seed)
    assert (len(lines), findings) == (1, ())
    # the line keeps 0.3 of the spacing to the edge where straight lines would keep half of it
    ground = region.buffer(0.2 * SPACING, join_style="mitre").area
    assert 0.9 < ground / LineString(lines[0]).length / SPACING < 1.15
    distance = away(region, lines, 2000) / SPACING
    assert np.quantile(distance, 0.95) < 0.6
    assert distance.max() < 1.2


@st.composite
def wishes(draw: st.DrawFn, region: Area) -> dict[str, Any]:
    """An entry and an exit, loops, a spacing that grows: any of them, or none."""
    x0, y0, x1, y1 = region.bounds
    wish: dict[str, Any] = {"quality": draw(st.sampled_from(["quick", "full"]))}
    if draw(st.booleans()):
        spot = st.tuples(shares(x0, x1), shares(y0, y1))
        wish["ends"] = (draw(spot), draw(spot))
    if draw(st.booleans()):
        wish["curls"] = True
    if draw(st.booleans()):
        end, angle = SPACING * draw(shares(0.34, 3.0)), draw(shares(0, 360))
        corners = shapely.get_coordinates(region)
        wish["pace"] = Pace.across(SPACING, end, angle, corners)
    return wish


def assert_wish_is_kept(region: Area, seed: int, wish: dict[str, Any]) -> None:
    lines, found = meander(region, SPACING, seed, **wish)
    strings = [LineString(line) for line in lines]
    # the ends of an open line lie on the edge, to within a rounding
    assert shapely.covers(region.buffer(2e-6), strings).all()
    for i, one in enumerate(strings):
        assert not any(one.intersects(other) for other in strings[:i])
        pieces = shapely.get_parts(shapely.node(one))
        loops = int(np.count_nonzero(shapely.is_closed(pieces))) if len(pieces) > 1 else 0
        assert len(pieces) == 2 * loops + 1
        assert loops == 0 or "curls" in wish
    opened = [not np.array_equal(line[0], line[-1]) for line in lines]
    joined = "ends" in wish and "ends-not-joined" not in {one.code for one in found}
    assert sum(opened) == joined
    again, _ = meander(region, SPACING, seed, **wish)
    assert [line.tobytes() for line in again] == [line.tobytes() for line in lines]


@given(st.data(), regions(), st.integers(0, 2**32))
@settings(
    max_examples=20,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
def test_wishes_are_kept_over_any_region(data: st.DataObject, region: Area, seed: int) -> None:
    if not region.is_empty:
        assert_wish_is_kept(region, seed, data.draw(wishes(region)))


@pytest.mark.nightly
@given(st.data(), regions(), st.integers(0, 2**32))
@settings(
    max_examples=300,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
def test_wishes_are_kept_over_many_regions(data: st.DataObject, region: Area, seed: int) -> None:
    if not region.is_empty:
        assert_wish_is_kept(region, seed, data.draw(wishes(region)))
