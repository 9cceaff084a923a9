"""Promises about darts over random panels."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings, strategies as st

from loftline.errors import ProjectError
from loftline.panel.square_corners import TOWARDS
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Plan
from support import fills, panels, stitches

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def _corners() -> st.SearchStrategy[dict[str, Any]]:
    def dart(name: str, unit: int, depth: int) -> dict[str, Any]:
        table: dict[str, Any] = {"name": name, "corner": name, "unit": unit}
        return table | ({"depth": unit * depth / 10} if depth else {})

    names = st.sampled_from(sorted(TOWARDS))
    return st.builds(dart, names, st.integers(4, 25), st.sampled_from([0, 10, 20]))


def _others(panel: dict[str, Any], number: int) -> st.SearchStrategy[dict[str, Any]]:
    def drawn(at: float, half: int, deep: int, slant: int) -> dict[str, Any]:
        # on the panel's left edge, or on what a polygon has there
        y = at * (panel.get("height") or 60)
        tip = [deep, y + slant]
        points = [[-20, y - half], tip, [-20, y + half]]
        return {"name": f"drawn {number}", "points": points}

    def boxed(side: str, depth: int) -> dict[str, Any]:
        return {"name": f"fold {side}", "fold": "lower fold", "side": side, "depth": depth}

    by_points = st.builds(
        drawn, st.floats(0.3, 0.7), st.integers(4, 15), st.integers(5, 30), st.integers(-5, 5)
    )
    if panel["shape"] != "folded pouch":
        return by_points
    sides = st.sampled_from(["left", "right"])
    return st.one_of(by_points, st.builds(boxed, sides, st.integers(26, 70)))


@st.composite
def projects(draw: st.DrawFn, *, meander: bool) -> Project:
    """A panel with one to three darts."""
    panel = draw(panels())
    if panel["shape"] == "polygon":
        panel["corner_radius"] = draw(st.sampled_from([0, 0, 1, 3]))
    kinds = st.integers(0, 1) if panel["shape"] != "ellipse" else st.just(1)
    darts: dict[str, dict[str, Any]] = {}
    for number in range(draw(st.integers(1, 3))):
        dart = draw(_others(panel, number) if draw(kinds) else _corners())
        darts[dart["name"]] = dart
    panel["darts"] = list(darts.values())
    parts = ("all", "front", "flap") if panel["shape"] == "folded pouch" else ("all",)
    document = {
        "panel": panel,
        "fills": draw(st.lists(fills(parts, meander=meander), min_size=1, max_size=1)),
        "quilting": {"edge": draw(st.sampled_from(["overhang", "seam allowance", "none"]))},
    }
    try:
        return parse_project(document)
    except ProjectError:  # too round for a polygon's edge: told elsewhere
        assume(False)
        raise


def _planned(project: Project) -> Plan:
    try:
        return make_plan(project)
    except ProjectError:  # darts over each other or over a hole: told elsewhere
        assume(False)
        raise


def check_darts(plan: Plan) -> None:
    """No needle in a dart; legs that meet; wedges within the panel."""
    ends, _ = stitches(plan)
    lines = shapely.linestrings(ends)
    needles = shapely.points(np.column_stack([plan.sewn.x, plan.sewn.y]) / 10)
    panel = plan.panel
    convex = panel.outline.area > panel.outline.convex_hull.area - 1e-6
    for dart, spec in zip(panel.darts, plan.project.panel.darts, strict=True):
        for thread in (lines, needles):
            assert not shapely.intersects(dart.zone, thread).any()
        if convex:  # by a second way: how far from the wedge every stitch on the panel lies
            within = np.asarray(shapely.intersection(lines, panel.outline), object)
            within = within[~shapely.is_empty(within)]
            apart = shapely.distance(within, dart.wedge).min(initial=np.inf)
            assert apart >= panel.seam_allowance
        assert panel.outline.buffer(1e-6).covers(dart.wedge)
        assert dart.zone.buffer(1e-6).covers(dart.wedge)
        for leg, end in zip(dart.legs, dart.ends, strict=True):
            assert leg[0] == pytest.approx(end)
            assert leg[-1] == pytest.approx(dart.tip)
            assert shapely.distance(panel.outline.exterior, shapely.Point(end)) < 1e-6
        one, two = dart.leg_lengths
        if spec.fold is not None or (spec.corner is not None and convex):
            assert one == pytest.approx(two, abs=1e-3)
        told = any(f.code == "dart-legs-differ" and dart.name in f.where for f in plan.findings)
        assert told == (abs(one - two) > 0.5)
    wrong = [f for f in plan.findings if f.severity == "error" and f.code != "nothing-to-sew"]
    assert not wrong


@settings(max_examples=120, derandomize=True, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False))
def test_no_needle_enters_a_dart(project: Project) -> None:
    check_darts(_planned(project))


@settings(max_examples=15, derandomize=True, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=True))
def test_no_meander_enters_a_dart(project: Project) -> None:
    check_darts(_planned(project))


@pytest.mark.nightly
@settings(max_examples=2000, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=True))
def test_no_needle_enters_a_dart_at_length(project: Project) -> None:
    check_darts(_planned(project))
