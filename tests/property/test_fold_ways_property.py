"""Promises about folds over random panels: what is closed stays closed, creases are whole."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings, strategies as st
from shapely import LineString, Polygon

from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.values import Fold, Kind, Plan

Table = dict[str, Any]

QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
STRIP = 6.0
MERGE = 0.45  # the end of a line moves by so much to share its node with another


@st.composite
def settings_of(draw: st.DrawFn) -> Table:
    return {
        "closed_to": draw(st.sampled_from(["nothing", "quilting", "travel", "both"])),
        "gap": draw(st.sampled_from([0, 0, 3, 8, 15])),
        "crease": draw(st.booleans()),
    }


@st.composite
def panels(draw: st.DrawFn) -> Table:
    shape = draw(st.sampled_from(["rectangle", "folded pouch", "polygon"]))
    panel: Table = {
        "shape": shape,
        "seam_allowance": draw(st.sampled_from([0, 3, 10])),
        "overhang": draw(st.sampled_from([0, 8, 25])),
    }
    if panel["overhang"] and draw(st.booleans()):
        panel["run_off"] = draw(st.integers(2, panel["overhang"] - 2))
    if shape == "folded pouch":
        names = draw(
            st.sampled_from([["lower fold"], ["upper fold"], ["lower fold", "upper fold"]])
        )
        return panel | {
            "width": draw(st.integers(60, 160)),
            "body": draw(st.integers(50, 90)),
            "flap": draw(st.integers(30, 50)),
            "flap_inset": draw(st.sampled_from([0, 3, 15])),
            "folds": [draw(settings_of()) | {"name": name} for name in names],
        }
    width, height = draw(st.integers(60, 180)), draw(st.integers(60, 180))
    if shape == "rectangle":
        panel |= {"width": width, "height": height}
        outline = shapely.box(0, 0, width, height)
    else:
        # a convex outline: a straight line across it is one fold
        turn = np.radians(sorted(draw(st.permutations(range(0, 360, 24)))[:9]))
        round_ = np.column_stack([1 + np.cos(turn), 1 + np.sin(turn)]) * (width / 2, height / 2)
        outline = Polygon(np.round(round_, 2))
        panel["points"] = shapely.get_coordinates(outline)[:-1].tolist()
    panel["folds"] = [
        draw(settings_of()) | across(outline, f"fold {i}", draw(chords()))
        for i in range(draw(st.integers(1, 3)))
    ]
    return panel


@st.composite
def chords(draw: st.DrawFn) -> tuple[float, float]:
    """Where a fold begins and ends, as shares of the way round the panel, well apart."""
    start = draw(st.integers(0, 99))
    return start / 100, (start + draw(st.integers(20, 80))) % 100 / 100


def across(outline: Polygon, name: str, chord: tuple[float, float]) -> Table:
    ends = shapely.line_interpolate_point(outline.exterior, np.array(chord), normalized=True)
    (x0, y0), (x1, y1) = shapely.get_coordinates(ends).tolist()
    assume(outline.buffer(-5).intersects(LineString([(x0, y0), (x1, y1)])))
    return {"name": name, "from": [x0, y0], "to": [x1, y1]}


def middle(panel: Table) -> list[float]:
    """A place well inside, on or near a fold."""
    if "points" in panel:
        x, y = np.mean(panel["points"], axis=0).tolist()
        return [x, y]
    return [panel["width"] / 2, panel.get("body", panel.get("height", 0) / 2)]


@st.composite
def projects(draw: st.DrawFn, *, meander: bool) -> Project:
    panel = draw(panels())
    patterns = ["channel", "grid", "grid"]
    pattern = "meander" if meander else draw(st.sampled_from(patterns))
    fill: Table = {"pattern": pattern, "spacing": draw(st.integers(9, 25))}
    if not meander:
        fill["angle"] = draw(st.sampled_from([0, 90, 45, 30, 17, 140]))
    document: Table = {
        "panel": panel,
        "fills": [fill],
        "quilting": {
            "edge": draw(st.sampled_from(["overhang", "overhang", "seam allowance", "none"])),
            "order": draw(st.sampled_from(["least cost", "least cost", "fewest cuts"])),
        },
        "layers": {"foam_to": draw(st.sampled_from(["overhang", "outline", "seam line"]))},
    }
    if draw(st.booleans()):
        size = draw(st.integers(8, 40))
        label = {"name": "label", "shape": "circle", "at": middle(panel), "diameter": size}
        document["keep_outs"] = [label | {"clearance": 3}]
    return parse_project(document)


def drawn(fold: Fold, plan: Plan) -> shapely.Geometry:
    """The fold as the maker drew it, within the outline."""
    return shapely.intersection(LineString([fold.start, fold.end]), plan.panel.outline)


def besides(plan: Plan) -> list[LineString]:
    """All that is sewn as travel or over again, edge by edge."""
    network, runs = plan.network, plan.runs
    extra = np.unique(runs.edges[runs.repeat | ~network.required[runs.edges]]).tolist()
    return [LineString(network.points[network.starts[e] : network.starts[e + 1]]) for e in extra]


def sewn(plan: Plan, *kinds: Kind) -> list[LineString]:
    xy = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    step = np.flatnonzero(np.diff(plan.sewn.run) == 0)
    step = step[np.isin(plan.sewn.kind[step + 1], kinds)]
    return [LineString(xy[[k, k + 1]]) for k in step.tolist()]


def check_quilting(plan: Plan) -> None:
    """No line of a fill lies within the strip of a fold that is closed to quilting."""
    lines = [LineString(plan.lines.line(i)) for i in np.flatnonzero(plan.lines.fill >= 0).tolist()]
    for fold in plan.panel.folds:
        if fold.closed_to in ("quilting", "both") and lines:
            apart = min(shapely.distance(drawn(fold, plan), line) for line in lines)
            # an end that moves along the edge of an oblique strip comes no nearer than this
            assert apart >= max(fold.gap, STRIP) / 2 - 0.02


def check_travel(plan: Plan) -> None:
    """Neither travel nor sewing over again crosses a fold closed to it, in the overhang too."""
    extra, stitches = besides(plan), sewn(plan, Kind.TRAVEL, Kind.DOUBLE)
    for fold in plan.panel.folds:
        if fold.closed_to in ("travel", "both"):
            assert not any(fold_way(fold).intersects(each) for each in [*extra, *stitches])
        if fold.gap > 0:
            band = shapely.buffer(drawn(fold, plan), fold.gap / 2 - 0.06, cap_style="flat")
            bare = shapely.intersection(band, plan.panel.outline.buffer(-0.01))
            assert not any(shapely.intersects(bare, each) for each in extra)


def fold_way(fold: Fold) -> LineString:
    return LineString(fold.across)


def check_sides(plan: Plan) -> None:
    """What ``across`` says parts the ground, or travel could pass it at its ends."""
    for fold in plan.panel.folds:
        ends = shapely.points([fold.across[0], fold.across[-1]])
        assert not shapely.contains_properly(plan.panel.ground.buffer(-1e-6), ends).any()
        assert fold_way(fold).buffer(1e-6).covers(drawn(fold, plan))


def check_creases(plan: Plan) -> None:
    """A crease is sewn once from end to end, but where no needle goes."""
    network, runs, lines = plan.network, plan.runs, plan.lines
    pieces = np.flatnonzero(np.isin(network.line, np.flatnonzero(lines.fill < 0)))
    once = np.bincount(runs.edges[~runs.repeat], minlength=len(network.u))[pieces]
    assert set(once.tolist()) <= {1}
    made = shapely.union_all(
        [LineString(network.points[network.starts[e] : network.starts[e + 1]]) for e in pieces]
    )
    wanted = [drawn(f, plan) for f in plan.panel.folds if f.crease]
    for fold in wanted:
        for piece in shapely.get_parts(shapely.intersection(fold, plan.panel.sewable)):
            # what is left of it between two zones may be less than a stitch
            if piece.length > 2.1:
                assert piece.difference(made.buffer(MERGE + 0.01)).is_empty
    near = shapely.union_all(wanted).buffer(MERGE) if wanted else Polygon()
    # straight on past the end of a fold, a crease may follow the cut edge for a little
    inside = plan.panel.outline.buffer(-MERGE)
    assert shapely.intersection(made, inside).difference(near).is_empty


def check_all(plan: Plan) -> None:
    if not len(plan.sewn):
        return
    check_sides(plan)
    check_quilting(plan)
    check_travel(plan)
    check_creases(plan)
    assert not [f.code for f in plan.findings if f.severity == "error"]


@settings(max_examples=60, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False))
def test_closed_folds_stay_closed_and_creases_are_whole(project: Project) -> None:
    check_all(make_plan(project))


@settings(max_examples=8, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=True))
def test_closed_folds_stop_a_meander(project: Project) -> None:
    check_all(make_plan(project))


@pytest.mark.nightly
@settings(max_examples=2000, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False))
def test_closed_folds_stay_closed_at_length(project: Project) -> None:
    check_all(make_plan(project))
