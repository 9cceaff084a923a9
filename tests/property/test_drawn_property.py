"""Drawn outlines come back as they were drawn, and plan within the promises."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from loftline.plan import make_plan
from support import segments, stitches
from support_drawings import WRITERS, project, read


def coast(seed: int, count: int) -> list[tuple[float, float]]:
    """A closed line with bays, necks and thousands of corners that never crosses itself."""
    rng = np.random.default_rng(seed)
    turn = np.sort(rng.uniform(0, 2 * np.pi, count))
    waves = sum(
        rng.normal(0, 0.6 / k) * np.sin(k * turn + rng.uniform(0, 6)) for k in (2, 3, 5, 9, 17, 40)
    )
    radius = 90 * np.exp(np.clip(waves, -1.5, 0.6)) + rng.uniform(0, 0.4, count)
    points = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    return [(float(x), float(y)) for x, y in points.round(4)]


@pytest.mark.parametrize("kind", sorted(WRITERS))
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(5, 60))
def test_stars_come_back_within_the_promise(kind: str, seed: int, count: int) -> None:
    points = np.array(coast(seed, count))
    true = shapely.Polygon(points - points.min(axis=0))
    if kind == "svg":  # y runs down there
        flipped = points * (1, -1)
        true = shapely.Polygon(flipped - flipped.min(axis=0))
    if not true.is_valid:
        return
    found = read(WRITERS[kind](points.tolist())).outline
    assert shapely.hausdorff_distance(found.exterior, true.exterior) <= 0.05


@pytest.mark.parametrize("kind", sorted(WRITERS))
def test_a_coast_of_thousands_of_points_plans_within_the_promises(kind: str) -> None:
    plan = make_plan(project(WRITERS[kind](coast(7, 6000))))
    assert [f for f in plan.findings if f.severity == "error"] == []
    ends, _ = stitches(plan)
    assert len(ends) > 500
    ground = shapely.buffer(plan.panel.ground, 0.3)
    assert shapely.covers(ground, segments(ends))
