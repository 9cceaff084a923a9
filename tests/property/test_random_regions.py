"""Every fill over random regions: inside, unbroken, the same twice, families apart."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from loftline.errors import does_nothing
from loftline.fills.fill_lines import FillLines
from loftline.fills.patterns import PATTERNS
from loftline.geometry import circle, only_polygons
from loftline.project import FillSpec
from loftline.values import Area, Field, Floats
from support_fills import FILLS, TO_THE_EDGE

FEW, MANY = 2, 500
RUN_OFF = 6.0
SELF_CROSSING = {"meander with loops"}
ENDS_MM = 1e-9


def random_field(seed: int) -> Field:
    """A part of discs, boxes and triangles, with keep-outs; in pieces, thin, or nothing at all."""
    rng = np.random.default_rng(seed)

    def piece(largest: float) -> Polygon:
        at, reach = rng.uniform(0, 130, 2), rng.uniform(1.0, largest)
        match rng.integers(4):
            case 0:
                return circle((float(at[0]), float(at[1])), 2 * reach)
            case 1:
                # whole numbers: edges meet lines squarely
                x, y = at.round()
                box: Polygon = shapely.box(x, y, x + round(reach) + 1, y + rng.integers(1, 90))
                return box
            case 2:
                return Polygon(at + rng.uniform(-reach, reach, (3, 2)))
            case _:
                x, y = at
                thin: Polygon = shapely.box(x, y, x + reach, y + rng.uniform(0.1, 4))
                return thin

    outline = only_polygons(
        shapely.union_all(
            [shapely.box(0, 0, *rng.uniform(15, 140, 2)), *(piece(60) for _ in range(3))]
        )
    )
    ground = outline.buffer(RUN_OFF) if rng.random() < 0.5 else outline
    zones = shapely.union_all([piece(25) for _ in range(rng.integers(0, 7))])
    x0, y0, x1, y1 = outline.bounds
    return Field(
        index=0,
        part="all",
        region=only_polygons(shapely.difference(ground, zones)),
        outline=outline,
        centre=((x0 + x1) / 2, (y0 + y1) / 2),
        keep_outs=only_polygons(shapely.intersection(ground, zones)),
        finished=only_polygons(outline.buffer(-3)),
    )


def spec_for(fill: dict[str, Any], field: Field) -> FillSpec:
    """The fill, its entry and exit moved to the region where it has them."""
    keys = dict(fill) if fill["pattern"] == "motif" else {"spacing": 9.0} | fill
    if "entry" in keys and not field.region.is_empty:
        corners = shapely.get_coordinates(field.region)
        # a ring ends where it begins: where the first one ends half way, the next corner
        others = corners[len(corners) // 2 :]
        other = others[(others != corners[0]).any(axis=1)][0]
        keys |= {"entry": corners[0].tolist(), "exit": other.tolist()}
    return FillSpec.model_validate(keys)


def made(spec: FillSpec, field: Field) -> FillLines:
    return PATTERNS[spec.pattern](field, spec, 5, "full", does_nothing)


def far_from(area: Area, points: Floats) -> float:
    return float(np.max(shapely.distance(area.boundary, shapely.points(points)), initial=0.0))


def touch_on_the_edge(one: LineString, other: LineString, region: Area) -> bool:
    """Whether two lines have no more in common than ends, where a line touches the edge."""
    common = shapely.intersection(one, other)
    ends = shapely.intersection(one.boundary, other.boundary)
    on_edge = shapely.distance(region.boundary, shapely.get_parts(common)) < ENDS_MM
    return bool(shapely.equals(common, ends) and on_edge.all())


def check(name: str, seed: int) -> None:
    field = random_field(seed)
    spec = spec_for(FILLS[name], field)
    lines = made(spec, field)
    drawn = np.array([LineString(curve) for curve in lines.curves], dtype=object)
    assert len(lines.family) == len(lines.angle) == len(lines.closed) == len(drawn)
    assert shapely.covers(field.region.buffer(1e-6), drawn).all()
    for curve, closed in zip(lines.curves, lines.closed.tolist(), strict=True):
        assert np.hypot(*np.diff(curve, axis=0).T).min() > 0
        assert closed == bool((curve[0] == curve[-1]).all())
    if name not in SELF_CROSSING and spec.pattern != "motif":
        assert shapely.is_simple(drawn).all()
    if spec.pattern != "rays":
        one, other = shapely.STRtree(drawn).query(drawn, predicate="intersects")
        mine = (one < other) & (lines.family[one] == lines.family[other])
        for i, j in zip(one[mine].tolist(), other[mine].tolist(), strict=True):
            assert touch_on_the_edge(drawn[i], drawn[j], field.region)
    if name in TO_THE_EDGE and len(drawn):
        ends = np.concatenate([curve[[0, -1]] for curve in lines.curves])
        assert far_from(field.region, ends) < ENDS_MM
    again = made(spec, field)
    assert all(map(np.array_equal, lines.curves, again.curves))
    assert len(lines.curves) == len(again.curves)


@pytest.mark.parametrize("name", FILLS)
def test_every_fill_is_sound_on_a_few_random_regions(name: str) -> None:
    for seed in range(FEW):
        check(name, seed)


@pytest.mark.nightly
@pytest.mark.parametrize("name", FILLS)
def test_every_fill_is_sound_on_500_random_regions(name: str) -> None:
    for seed in range(MANY):
        check(name, seed)


def test_a_line_beyond_its_region_would_be_seen() -> None:
    field = random_field(0)
    whole = Field(
        index=0,
        part="all",
        region=shapely.box(-9, -9, 150, 150),
        outline=field.outline,
        centre=field.centre,
    )
    drawn = [LineString(c) for c in made(spec_for(FILLS["aslant"], whole), whole).curves]
    assert not shapely.covers(field.region.buffer(1e-6), drawn).all()
