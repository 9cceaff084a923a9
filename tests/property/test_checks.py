"""Checks and counts against slow ones written plainly."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely
from hypothesis import given, settings, strategies as st
from shapely import LineString, Point

from loftline.checks.density import CROWD_RADIUS_MM, check_density
from loftline.checks.zones import check_zones
from loftline.estimates.thread import ellipse, rectangle, stadium
from loftline.estimates.turns import REACH_MM, ROUNDING, ROUNDING_MM, TURN, count_turns
from loftline.geometry import circle
from loftline.values import Kind, Sewn
from support_sewn import keep_out, panel, sewn


@st.composite
def plans(draw: st.DrawFn, spread: float = 60, longest: int = 90) -> Sewn:
    """Random needle points in one to three runs, some of them ties."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    counts = draw(st.lists(st.integers(1, longest), min_size=1, max_size=3))
    runs = []
    for count in counts:
        steps = rng.normal(0, draw(st.sampled_from([0.2, 2.0, 6.0])), (count, 2))
        runs.append((rng.uniform(0, spread, 2) + np.cumsum(steps, axis=0)).tolist())
    share = draw(st.sampled_from([0.0, 0.2]))
    kinds = [Kind.TIE if rng.random() < share else Kind.LINE for run in runs for _ in run]
    return sewn(*runs, kind=kinds)


def runs_of(plan: Sewn) -> list[list[tuple[float, float]]]:
    return [
        [(x / 10, y / 10) for x, y in zip(plan.x[at].tolist(), plan.y[at].tolist(), strict=True)]
        for at in (np.flatnonzero(plan.run == run) for run in np.unique(plan.run))
    ]


@given(plans(), st.floats(2, 30), st.floats(0, 12))
@settings(max_examples=60, deadline=None)
def test_keep_outs_are_found_as_by_measuring_every_stitch(
    plan: Sewn, diameter: float, reach: float
) -> None:
    zones = [
        keep_out("round", circle((30, 30), diameter), reach),
        keep_out("square", shapely.box(50, 5, 50 + diameter, 12), reach),
    ]
    expected = []
    for zone in zones:
        paths = [LineString(run) if len(run) > 1 else Point(run[0]) for run in runs_of(plan)]
        if reach > 1e-6:
            entered = min(path.distance(zone.outline) for path in paths) < reach - 1e-6
        else:
            entered = any(path.intersects(zone.outline.buffer(-1e-6)) for path in paths)
        if entered:
            expected.append(zone.name)
    found = check_zones(panel(*zones), plan)
    assert [finding.where.split(",")[0] for finding in found] == expected


@given(plans(spread=4))
@settings(max_examples=60, deadline=None)
def test_crowds_are_found_as_by_counting_every_pair(plan: Sewn) -> None:
    tie_of, number = [], 0
    for i in range(len(plan)):
        tied = plan.kind[i] == Kind.TIE
        fresh = i == 0 or plan.kind[i - 1] != Kind.TIE or plan.run[i - 1] != plan.run[i]
        number += bool(tied and fresh)
        tie_of.append(number if tied else 0)
    near = (plan.x[:, None] - plan.x) ** 2 + (plan.y[:, None] - plan.y) ** 2
    most = 0
    for row in near <= round(CROWD_RADIUS_MM * 10) ** 2:
        there = [tie_of[i] for i in np.flatnonzero(row)]
        most = max(most, there.count(0) + len(set(there) - {0}))
    found = check_density(plan)
    assert bool(found) == (most > 4)
    if found:
        assert found[0].message.endswith(f"the most {most}")


@given(plans())
@settings(max_examples=60, deadline=None)
def test_turns_are_counted_as_by_walking(plan: Sewn) -> None:
    turns, reach = 0, REACH_MM + ROUNDING_MM
    for run in np.unique(plan.run):
        at = np.flatnonzero(plan.run == run)
        legs = [
            (plan.x[j] - plan.x[i], plan.y[j] - plan.y[i])
            for i, j in pairwise(at)
            if plan.kind[j] != Kind.TIE and (plan.x[j], plan.y[j]) != (plan.x[i], plan.y[i])
        ]
        way, corners = 0.0, []
        for (ax, ay), (bx, by) in pairwise(legs):
            way += math.hypot(ax, ay) / 10
            corners.append((way, math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))))
        behind = -math.inf
        for last, (there, _) in enumerate(corners):
            total = 0.0
            for here, change in reversed(corners[: last + 1]):
                total += change
                if here < there - reach or here <= behind:
                    break
                if abs(total) >= TURN - ROUNDING:
                    turns += 1
                    behind = here + reach
                    break
    assert count_turns(plan) == turns


@given(st.floats(0, 100), st.floats(0, 100))
def test_loops_are_ordered(s: float, thickness: float) -> None:
    slack = 1e-9 * (s + thickness)
    low, middle, high = (float(f(s, thickness)) for f in (ellipse, stadium, rectangle))
    assert 2 * s <= low + slack
    assert low <= middle + slack
    assert middle <= high + slack
