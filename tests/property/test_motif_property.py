"""Motifs over random regions."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings, strategies as st

from loftline.geometry import only_polygons
from loftline.values import Area
from support_motifs import NAMES, laid, strings

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much]


@st.composite
def regions(draw: st.DrawFn) -> Area:
    """A box and a disc, less boxes and discs; whole numbers, so that edges meet lines squarely."""
    whole = st.integers(0, 120)
    spots = st.tuples(whole, whole, st.integers(2, 30), st.booleans())

    def area(x: int, y: int, reach: int, *, is_round: bool) -> shapely.Geometry:
        near = shapely.Point(x, y).buffer(reach)
        return near if is_round else shapely.box(x, y, x + reach, y + 2 * reach)

    region = shapely.box(0, 0, draw(st.integers(5, 120)), draw(st.integers(5, 120)))
    more = [area(*spot[:3], is_round=spot[3]) for spot in draw(st.lists(spots, max_size=2))]
    less = [area(*spot[:3], is_round=spot[3]) for spot in draw(st.lists(spots, max_size=4))]
    joined = shapely.union_all([region, *more])
    return only_polygons(shapely.difference(joined, shapely.union_all(less)))


def check(region: Area, name: str, size: float, angle: float) -> None:
    """Inside the region, apart within a family, and the same again the next time."""
    keys = {"size": size, "angle": angle}
    lines = laid(name, region, region, **keys)
    drawn = np.array(strings(lines), dtype=object)
    if len(drawn):
        assert shapely.covers(region.buffer(1e-6), drawn).all()
        one, other = shapely.STRtree(drawn).query(drawn, predicate="intersects")
        assert not ((one < other) & (lines.family[one] == lines.family[other])).any()
    for curve, closed in zip(lines.curves, lines.closed.tolist(), strict=True):
        assert np.hypot(*np.diff(curve, axis=0).T).min() > 0
        assert closed == bool((curve[0] == curve[-1]).all())
    again = laid(name, region, region, **keys)
    assert len(lines.curves) == len(again.curves)
    assert all(map(np.array_equal, lines.curves, again.curves))


def _sound(examples: int) -> None:
    @settings(max_examples=examples, deadline=None, suppress_health_check=QUIET)
    @given(
        region=regions(),
        name=st.sampled_from(NAMES),
        size=st.sampled_from([12, 20, 24, 37.5, 80]),
        angle=st.sampled_from([0, 30, 45, 90, 137]),
    )
    def sound(region: Area, name: str, size: float, angle: float) -> None:
        check(region, name, size, angle)

    sound()


def test_lines_are_sound_on_random_regions() -> None:
    _sound(25)


@pytest.mark.nightly
def test_lines_are_sound_on_many_random_regions() -> None:
    _sound(500)
