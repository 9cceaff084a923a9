"""Drawn outlines come back as they were drawn, and plan within the promises."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from loftline.plan import make_plan
from loftline.project.drawn.mending import mended
from loftline.values import Plan
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


def needle_points(plan: Plan) -> np.ndarray:
    return np.column_stack([plan.sewn.x, plan.sewn.y]) / 10


@pytest.mark.parametrize("kind", sorted(WRITERS))
@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10**6), pattern=st.sampled_from(["channel", "grid", "meander"]))
def test_coasts_with_a_keep_out_plan_within_the_promises(
    kind: str, seed: int, pattern: str
) -> None:
    """Every needle point on the cloth, none in the keep-out; all lines sewn once."""
    points = coast(seed, 300)
    if not shapely.Polygon(points).is_valid:
        return
    fills = [{"pattern": pattern, "spacing": 9}]
    outline = read(WRITERS[kind](points)).outline
    circle = shapely.maximum_inscribed_circle(outline, 0.5)
    (x, y), _ = circle.coords
    if circle.length < 8:
        return
    label = {"name": "label", "shape": "circle", "at": [x, y], "diameter": 6, "clearance": 3}
    plan = make_plan(project(WRITERS[kind](points), fills=fills, keep_outs=[label]))
    assert [f for f in plan.findings if f.severity == "error"] == []
    needle = shapely.points(needle_points(plan))
    assert shapely.covers(shapely.buffer(outline, 20), needle).all()
    assert shapely.distance(shapely.Point(x, y), needle).min() >= 6 - 0.05
    sewn = plan.report.length["line"]
    lengths = [
        np.hypot(*np.diff(plan.lines.points[a:b], axis=0).T).sum()
        for a, b in zip(plan.lines.starts[:-1], plan.lines.starts[1:], strict=True)
    ]
    # chords of stitches cut corners a little
    assert sewn == pytest.approx(sum(lengths), rel=0.02, abs=1)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6), count=st.integers(8, 200), at=st.integers(0, 10**6))
def test_a_knot_anywhere_on_a_coast_is_left_out_and_moves_the_outline_no_farther(
    seed: int, count: int, at: int
) -> None:
    points = np.array(coast(seed, count))
    if not shapely.Polygon(points).is_valid:
        return
    here = at % (count - 1)
    ends = points[here : here + 2]
    along = ends[1] - ends[0]
    if np.hypot(*along) < 3:
        return
    along = along / np.hypot(*along)
    aside = np.array([-along[1], along[0]])
    middle = ends.mean(axis=0)
    knot = middle + np.stack([along * 0.2, (along + aside) * 0.1, (along - aside) * 0.1])
    tied = np.concatenate([points[: here + 1], knot, points[here + 1 :]])
    assert not shapely.Polygon(tied).is_valid
    found = mended(tied)
    assert found is not None
    assert shapely.hausdorff_distance(found.area.exterior, shapely.Polygon(points).exterior) < 0.5
    assert len(found.loops) >= 1
