"""What every fill keeps, whatever the region."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Polygon

from loftline.errors import does_nothing
from loftline.fills.fill_lines import FillLines
from loftline.fills.patterns import PATTERNS
from loftline.geometry import circle, only_polygons
from loftline.project import FillSpec
from loftline.values import Area, Field
from support_fills import FILLS, TO_THE_EDGE

SPACING = 9.0
BOX = shapely.box(0, 0, 120, 90)
KEEP_OUTS = shapely.union(circle((40, 40), 22), shapely.box(80, 20, 95, 60))
HOLED = only_polygons(shapely.difference(BOX, KEEP_OUTS))
BITTEN = only_polygons(shapely.difference(BOX, circle((120, 45), 40)))
APART = MultiPolygon([shapely.box(0, 0, 50, 90), shapely.box(70, 0, 120, 90)])
SLIVER = shapely.box(0, 0, 0.3, 90)
REGIONS: dict[str, Area] = {
    "plain": BOX,
    "with keep-outs": HOLED,
    "hole at the edge": BITTEN,
    "two pieces": APART,
    "sliver": SLIVER,
    "sliver beside a piece": only_polygons(
        shapely.union(APART.geoms[0], shapely.box(60, 0, 61, 9))
    ),
    "empty": Polygon(),
}


def made(fill: dict[str, Any], region: Area, seed: int = 5) -> FillLines:
    x0, y0, x1, y1 = BOX.bounds if region.is_empty else region.bounds
    field = Field(
        index=0,
        part="all",
        region=region,
        outline=BOX,
        centre=((x0 + x1) / 2, (y0 + y1) / 2),
        keep_outs=only_polygons(shapely.difference(BOX, region)),
    )
    # the lines of a motif are as far apart as they are drawn
    usual = {} if fill["pattern"] == "motif" else {"spacing": SPACING}
    spec = FillSpec.model_validate(usual | fill)
    return PATTERNS[spec.pattern](field, spec, seed, "full", does_nothing)


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize("fill", FILLS)
def test_no_line_leaves_its_region(fill: str, region: str) -> None:
    curves = [LineString(curve) for curve in made(FILLS[fill], REGIONS[region]).curves]
    assert shapely.covers(REGIONS[region].buffer(1e-6), curves).all()


def test_a_line_that_leaves_its_region_would_be_seen() -> None:
    curves = [LineString(curve) for curve in made(FILLS["aslant"], BOX).curves]
    assert not shapely.covers(HOLED.buffer(1e-6), curves).all()


@pytest.mark.parametrize("fill", FILLS)
def test_the_same_seed_draws_the_same_lines(fill: str) -> None:
    first, again = made(FILLS[fill], HOLED), made(FILLS[fill], HOLED)
    assert len(first.curves) == len(again.curves) > 0
    assert all(map(np.array_equal, first.curves, again.curves))


@pytest.mark.parametrize("fill", FILLS)
def test_nothing_is_drawn_where_nothing_is_free(fill: str) -> None:
    assert made(FILLS[fill], Polygon()).curves == ()


@pytest.mark.parametrize("fill", FILLS)
def test_both_of_two_pieces_get_lines(fill: str) -> None:
    lines = shapely.union_all([LineString(c) for c in made(FILLS[fill], APART).curves])
    assert all(shapely.intersection(lines, piece).length > 200 for piece in APART.geoms)


@pytest.mark.parametrize("fill", FILLS)
def test_what_is_said_of_lines_is_said_of_each(fill: str) -> None:
    lines = made(FILLS[fill], HOLED)
    count = len(lines.curves)
    assert [len(lines.family), len(lines.angle), len(lines.closed)] == [count] * 3
    for curve, closed in zip(lines.curves, lines.closed, strict=True):
        assert len(curve) >= 2
        assert np.isfinite(curve).all()
        assert np.hypot(*np.diff(curve, axis=0).T).min() > 0
        if closed:
            assert np.array_equal(curve[0], curve[-1])


@pytest.mark.parametrize("region", ["plain", "with keep-outs", "hole at the edge", "two pieces"])
@pytest.mark.parametrize("fill", TO_THE_EDGE)
def test_lines_end_on_the_rings_of_their_region(fill: str, region: str) -> None:
    curves = made(FILLS[fill], REGIONS[region]).curves
    ends = np.concatenate([curve[[0, -1]] for curve in curves])
    assert shapely.distance(shapely.points(ends), REGIONS[region].boundary).max() < 1e-9


@pytest.mark.parametrize("fill", TO_THE_EDGE)
def test_lines_of_one_family_never_meet(fill: str) -> None:
    lines = made(FILLS[fill], HOLED)
    strokes = np.array([LineString(curve) for curve in lines.curves], dtype=object)
    for number in np.unique(lines.family):
        own = strokes[lines.family == number]
        one, other = np.triu_indices(len(own), 1)
        assert shapely.distance(own[one], own[other]).min() > 0.1
