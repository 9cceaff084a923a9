"""Echo, spiral and rays over random regions."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings, strategies as st
from shapely import LinearRing, LineString, Point

from loftline.errors import does_nothing
from loftline.fills.patterns import PATTERNS
from loftline.geometry import only_polygons, polygons
from loftline.project import FillSpec
from loftline.values import Area, Field
from support_meander import disc

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much]
DESIGNS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("echo", {}),
    ("echo", {"joined": False}),
    ("spiral", {}),
    ("spiral", {"start_at": [40, 75]}),
    ("rays", {}),
    ("rays", {"joined": False}),
    ("rays", {"start_at": [0, 0]}),
)
PLAIN = shapely.box(0, 0, 120, 150)
REGIONS = {
    "empty": shapely.MultiPolygon(),
    "sliver": shapely.box(0, 0, 150, 1.5),
    "hole": PLAIN.difference(disc(50, 80, 17)),
    "hole at the edge": PLAIN.difference(disc(0, 80, 17)),
    "hole beside the edge": PLAIN.difference(disc(20, 80, 17)),
    "two pieces": PLAIN.difference(shapely.box(-1, 60, 130, 71)),
    "two at a neck": shapely.union_all([PLAIN, shapely.box(119, 70, 161, 79), disc(200, 75, 40)]),
    "a few holes": PLAIN.difference(
        shapely.union_all([disc(30, 30, 11), disc(52, 30, 11), disc(80, 110, 25)])
    ),
}


def field_of(region: Area, outline: Area | None = None) -> Field:
    x0, y0, x1, y1 = (0, 0, 1, 1) if region.is_empty else region.bounds
    return Field(
        index=0,
        part="all",
        region=region,
        outline=region if outline is None else outline,
        centre=((x0 + x1) / 2, (y0 + y1) / 2),
    )


def check_lines(field: Field, pattern: str, spacing: float, keys: dict[str, Any]) -> None:
    """Inside the region, none crosses itself or another, and the same again the next time."""
    spec = FillSpec.model_validate({"pattern": pattern, "spacing": spacing} | keys)
    made = PATTERNS[pattern](field, spec, 3, "full", does_nothing)
    lines = np.array([LineString(curve) for curve in made.curves], dtype=object)
    if len(lines):
        assert shapely.covers(field.region.buffer(1e-6), lines).all()
        assert shapely.is_simple(lines).all()
        a, b = shapely.STRtree(lines).query(lines, predicate="intersects")
        one, other = lines[a[a < b]], lines[b[a < b]]
        if pattern == "rays" and spec.joined:
            # they branch off each other, and meet nowhere else
            begun = shapely.union_all([Point(curve[0]).buffer(1e-3) for curve in made.curves])
            assert shapely.covers(begun, shapely.intersection(one, other)).all()
        else:
            assert not len(one)
        assert shapely.length(lines).min() >= 2
    for curve, closed in zip(made.curves, made.closed.tolist(), strict=True):
        assert closed == (pattern == "echo")
        assert not closed or LinearRing(curve).is_simple
        assert not closed or np.array_equal(curve[0], curve[-1])
    again = PATTERNS[pattern](field, spec, 3, "full", does_nothing)
    assert len(made.curves) == len(again.curves)
    assert all(np.array_equal(x, y) for x, y in zip(made.curves, again.curves, strict=True))


@pytest.mark.parametrize("name", REGIONS)
@pytest.mark.parametrize(("pattern", "keys"), DESIGNS, ids=str)
def test_lines_are_sound_on_every_kind_of_region(
    name: str, pattern: str, keys: dict[str, Any]
) -> None:
    check_lines(field_of(only_polygons(REGIONS[name])), pattern, 9, keys)


@st.composite
def regions(draw: st.DrawFn) -> Area:
    """Discs and a box, less discs and boxes."""
    numbers = st.integers(0, 200)
    region = shapely.union_all(
        [
            shapely.box(0, 0, draw(st.integers(10, 200)), draw(st.integers(10, 200))),
            *(
                disc(draw(numbers), draw(numbers), draw(st.integers(5, 80)))
                for _ in range(draw(st.integers(0, 3)))
            ),
        ]
    )
    for _ in range(draw(st.integers(0, 5))):
        x, y = draw(numbers), draw(numbers)
        if draw(st.booleans()):
            hole = disc(x, y, draw(st.integers(2, 25)))
        else:
            hole = shapely.box(x, y, x + draw(st.integers(3, 60)), y + draw(st.integers(3, 40)))
        region = region.difference(hole)
    return only_polygons(region)


def _sound(examples: int) -> None:
    @settings(max_examples=examples, deadline=None, suppress_health_check=QUIET)
    @given(
        region=regions(), spacing=st.sampled_from([4, 7.5, 12, 25]), design=st.sampled_from(DESIGNS)
    )
    def sound(region: Area, spacing: float, design: tuple[str, dict[str, Any]]) -> None:
        check_lines(field_of(region), design[0], spacing, design[1])

    sound()


def test_lines_are_sound_on_random_regions() -> None:
    _sound(80)


@pytest.mark.nightly
def test_lines_are_sound_on_many_random_regions() -> None:
    _sound(500)


def test_an_echo_is_one_line_on_random_regions() -> None:
    """One line for each piece of the ground that is wide enough to be one through and through."""
    rng = np.random.default_rng(8)
    single = total = 0
    for _ in range(40):
        middles = rng.uniform(30, 170, (3, 2)).tolist()
        ground = shapely.union_all([disc(x, y, 50) for x, y in middles])
        spots = rng.uniform((0, 0, 5), (200, 200, 20), (3, 3)).tolist()
        holes = [disc(x, y, radius) for x, y, radius in spots]
        region = only_polygons(ground.difference(shapely.union_all(holes)))
        for part in polygons(region):
            # no neck narrower than three spacings
            if len(polygons(part.buffer(-12))) != 1:
                continue
            spec = FillSpec.model_validate({"pattern": "echo", "spacing": 8})
            made = PATTERNS["echo"](field_of(part), spec, 0, "full", does_nothing)
            total += 1
            single += len(made.curves) == 1
    assert total > 15
    assert single == total
