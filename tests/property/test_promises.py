"""The promises of a plan, over random panels; all checked on one plan per example."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from scipy.spatial import cKDTree

from loftline.geometry import lengths
from loftline.plan import make_plan
from loftline.project import Project, motif_names, parse_project
from loftline.readers import READERS, read_stitch_file
from loftline.stitches.handing_over import ASIDE_MM
from loftline.units import CHORD_ERROR_MM, LEAST_STITCH_MM
from loftline.values import Kind, Plan
from loftline.writers import write_files
from support import drawn, projects, segments, spread, stitches
from support_looks import check_thread
from support_shapes import SHAPES, grounds

MAKERS_OWN = {
    "mate-outside-part",
    "mate-in-seam-allowance",
    "mate-in-the-way",
    "mate-on-dart",
    "piece-on-dart",
    "halves-apart",
    "nothing-to-sew",
}
"""Errors that say what the maker asked for cannot be; the quilting keeps its promises all the
same."""

QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def check_keep_outs(plan: Plan) -> None:
    """Promise 1: no needle point or stitch nearer to a hard edge than its reach."""
    ends, _ = stitches(plan)
    if not len(ends):
        return
    lines = shapely.linestrings(ends)
    for zone in plan.panel.keep_outs:
        if zone.reach > 0:
            shapely.prepare(zone.outline)
            assert not shapely.dwithin(zone.outline, lines, zone.reach - 1e-9).any(), zone.name
    hard = [zone.outline for zone in plan.panel.keep_outs if zone.sits == "above"]
    for move in moves(plan):
        for outline in hard:
            assert not shapely.crosses(outline, move), (outline.centroid, move)


def moves(plan: Plan) -> list[shapely.LineString]:
    """The machine's moves before each run, through the places it passes."""
    sewn = plan.sewn
    xy = np.column_stack([sewn.x, sewn.y])
    first = np.flatnonzero(np.append(True, np.diff(sewn.run) > 0))
    begin = [np.array(sewn.origin), *xy[first[1:] - 1]]
    out = []
    for start, at in zip(begin, first.tolist(), strict=True):
        via = sewn.via[sewn.via_run == sewn.run[at]]
        out.append(shapely.LineString(np.vstack([start, via, xy[at]]) / 10))
    return out


def check_lines(plan: Plan) -> None:
    """Promise 2: every required line is sewn once, end to end, and nothing else."""
    ends, kind = stitches(plan)
    network, runs = plan.network, plan.runs
    # once in the walks
    needed = np.flatnonzero(network.required)
    once = np.bincount(runs.edges[~runs.repeat], minlength=len(network.u))
    assert (once[needed] == 1).all()
    required = float(network.length[network.required].sum())
    assert abs(required - lengths(plan.lines.points, plan.lines.starts).sum()) < 1 + required / 100
    if not len(plan.lines):
        return
    # all of it under thread
    # a walking foot ties on the line itself, without going back
    forward = plan.project.machine.foot_kind == "walking foot"
    on_lines = np.isin(kind, [Kind.LINE, Kind.TIE] if forward else [Kind.LINE])
    sewn_lines = segments(ends[on_lines])
    shapely.prepare(sewn_lines)
    far = ~shapely.dwithin(sewn_lines, shapely.points(spread(plan)), 0.7)
    assert not far.any()
    # the same length of thread path as of line, ties apart; of a walking foot's ties, which
    # go forward, those at a line's end lie on it and those at the end of travel do not
    path = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    tolerance = max(0.02 * required, 0.3 * len(plan.lines))
    # going straight on between a line and what is sewn over again, the needle point that parts
    # the two stands aside where another pass turns off, and the piece between counts as line
    over = np.isin(kind, [Kind.LINE, Kind.DOUBLE])
    handed = (np.diff(kind) != 0) & over[1:] & over[:-1]
    tolerance += ASIDE_MM * handed.sum()
    assert path[kind == Kind.LINE].sum() <= required + tolerance
    assert path[on_lines].sum() >= required - tolerance
    # each kind on what it says
    tolerance = CHORD_ERROR_MM + 1e-6
    kinds = (
        (Kind.LINE, network.required),
        (Kind.DOUBLE, network.required),
        (Kind.TRAVEL, ~network.required),
        (Kind.TIE, np.ones(len(network.u), bool)),
    )
    for which, edges in kinds:
        mine = ends[kind == which]
        if not len(mine):
            continue
        ground = drawn(plan, edges)
        shapely.prepare(ground)
        middle = mine.mean(axis=1)
        for points in (mine[:, 0], mine[:, 1], middle):
            assert shapely.dwithin(ground, shapely.points(points), tolerance).all(), which.name
    assert set(np.unique(kind)) <= {k for k, _ in kinds}


def check_lengths(plan: Plan) -> None:
    """Promise 3: stitches even on the straight, none too long, none too short but ties."""
    ends, kind = stitches(plan)
    if not len(ends):
        return
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    assert length.max() <= plan.project.machine.longest_stitch + 1e-9
    usual = plan.project.quilting.stitch_length
    lengths = [usual, *(fill.stitch_length or usual for fill in plan.project.fills)]
    assert length.max() <= max(lengths) + 0.15
    assert length[kind != Kind.TIE].min() >= LEAST_STITCH_MM - 1e-9
    # straight parts: consecutive stitches of one kind that go on in one direction
    angle = np.arctan2(*(ends[:, 1] - ends[:, 0]).T[::-1])
    joined = np.abs(ends[1:, 0] - ends[:-1, 1]).max(axis=1) < 1e-9
    bend = np.abs((angle[1:] - angle[:-1] + np.pi) % (2 * np.pi) - np.pi)
    straight = np.isin(kind, [Kind.LINE]) & ~np.isnan(angle)
    on = joined & straight[1:] & straight[:-1] & (bend * length[1:] < 0.16)
    # two lines that meet end to end in one direction are each even, for itself
    own = plan.network
    tips = np.concatenate(
        [own.line_points[own.line_starts[:-1]], own.line_points[own.line_starts[1:] - 1]]
    )
    on &= cKDTree(tips).query(ends[1:, 0])[0] > 0.1
    part = np.cumsum(np.append(True, ~on))
    # lines of two fills, or a crease, may follow on each other in one direction, each even
    if len(np.unique(plan.lines.fill)) > 1 or np.isnan(plan.lines.angle).any():
        return
    for p in np.unique(part[straight]).tolist():
        mine = length[(part == p) & straight]
        # 10 %, and what rounding both ends to tenths can do
        assert mine.max() - mine.min() <= 0.1 * mine.mean() + 0.15


def check_bytes(plan: Plan) -> None:
    """Promise 4 on dst and exp: the file holds what was planned, and keeps away as it should."""
    if not len(plan.sewn):
        return
    for ext, data in zip(("dst", "exp"), write_files(plan, ("dst", "exp")).values(), strict=True):
        assert ext in READERS
        read = read_stitch_file(ext, data)
        assert len(read) == len(plan.sewn)
        assert np.array_equal(read.x + plan.sewn.origin[0], plan.sewn.x)
        assert np.array_equal(read.y + plan.sewn.origin[1], plan.sewn.y)
        assert np.array_equal(read.run, plan.sewn.run)
        if ext == "dst":
            check_thread(plan, data)


def check_cost(plan: Plan) -> None:
    """Promise 5: the printed cost is that of the walk, and no less than the proved least."""
    network, runs = plan.network, plan.runs
    extra = runs.repeat | ~network.required[runs.edges]
    count = len(runs.starts) - 1
    if count == 0:
        return
    u = np.where(runs.forward, network.u[runs.edges], network.v[runs.edges])
    v = np.where(runs.forward, network.v[runs.edges], network.u[runs.edges])
    assert network.end_cost is not None
    # half a thread cut at every end, less the two there must be, where they are cheapest
    ends = float(network.end_cost[u[runs.starts[:-1]]].sum())
    ends += float(network.end_cost[v[runs.starts[1:] - 1]].sum())
    ends -= 2 * float(network.end_cost[np.concatenate([network.u, network.v])].min())
    recomputed = float(network.cost[runs.edges[extra]].sum()) + ends
    assert runs.cost == pytest.approx(recomputed, abs=0.01)
    assert runs.cost == pytest.approx(sum(runs.parts.values()))
    assert runs.least_cost <= runs.cost + 1e-6
    assert not runs.optimal or runs.least_cost == pytest.approx(runs.cost, abs=1.0)
    assert plan.report.runs == count
    if runs.habit is not None:
        assert runs.habit.least_cost <= runs.cost + 1e-6
        assert runs.habit.free_cost >= runs.least_cost - 1e-6
        assert not runs.habit.optimal or runs.habit.least_cost == pytest.approx(runs.cost)
    # a walk hangs together: each edge begins where the last one ended
    inner = np.ones(len(u) - 1, bool)
    inner[runs.starts[1:-1] - 1] = False
    assert (u[1:] == v[:-1])[inner].all()


def check_again(plan: Plan) -> None:
    """Promise 6: same input, same bytes."""
    if not len(plan.sewn):
        return
    again = make_plan(plan.project)
    assert write_files(again, ("dst", "json", "svg")) == write_files(plan, ("dst", "json", "svg"))


def check_all(plan: Plan) -> None:
    check_keep_outs(plan)
    check_lines(plan)
    check_lengths(plan)
    check_cost(plan)
    check_bytes(plan)
    assert not [f for f in plan.findings if f.severity == "error" and f.code not in MAKERS_OWN]


def _keeps(check: Callable[[Plan], None], examples: int, shape: str, *, meander: bool) -> None:
    """Check so many random projects of one shape."""

    @settings(max_examples=examples, deadline=None, suppress_health_check=QUIET)
    @given(project=projects(meander=meander, on=grounds(shape)))
    def keeps(project: Project) -> None:
        check(make_plan(project))

    keeps()


def check_twice(plan: Plan) -> None:
    check_all(plan)
    check_again(plan)


@pytest.mark.parametrize("shape", SHAPES)
def test_promises_straight(shape: str) -> None:
    _keeps(check_all, 28, shape, meander=False)


@pytest.mark.parametrize("shape", SHAPES)
def test_promises_with_meander(shape: str) -> None:
    _keeps(check_twice, 5, shape, meander=True)


ROUND_DESIGNS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("echo", {}),
    ("echo", {"joined": False}),
    ("spiral", {}),
    ("spiral", {"start_at": [40, 75]}),
    ("rays", {}),
    ("rays", {"start_at": [0, 0]}),
)


@pytest.mark.parametrize(("pattern", "keys"), ROUND_DESIGNS, ids=str)
@pytest.mark.parametrize("parts", [("all",), ("front", "back", "flap")], ids=["all", "parts"])
def test_promises_on_a_pouch_with_round_designs(
    pattern: str, keys: dict[str, Any], parts: tuple[str, ...]
) -> None:
    table = {
        "format": 1,
        "name": "Spoke pouch",
        "panel": {"shape": "folded pouch", "width": 160, "body": 110, "flap": 80},
        "hardware": [
            {"name": "magnet", "kind": "sew-in magnet", "at": [80, 265], "diameter": 18}
            | {"sits": "inside", "fitted": "before quilting", "mate": True}
        ],
        "keep_outs": [{"name": "label", "shape": "rectangle", "width": 50, "height": 20}
            | {"at": [60, 150], "clearance": 3}],
        "fills": [{"part": part, "pattern": pattern, "spacing": 14} | keys for part in parts],
    }  # fmt: skip
    check_twice(make_plan(parse_project(table)))


# rows that touch, ends on lines, closed lines, lines that cross themselves, and all of it
@pytest.mark.parametrize("name", ["clamshell", "herringbone", "pebbles", "loops", "spool"])
def test_promises_on_a_pouch_with_a_motif(name: str) -> None:
    check_all(make_plan(parse_project(_with_motif(name))))


@pytest.mark.nightly
@pytest.mark.parametrize("angle", [0, 31])
@pytest.mark.parametrize("size", [14, 33, 70])
@pytest.mark.parametrize("name", motif_names())
def test_promises_with_a_motif_of_any_size(name: str, size: int, angle: int) -> None:
    check_twice(make_plan(parse_project(_with_motif(name, size=size, angle=angle))))


def _with_motif(name: str, **keys: int) -> dict[str, Any]:
    return {
        "panel": {"shape": "folded pouch", "width": 120, "body": 80, "flap": 60},
        "hardware": [
            {"name": "magnet", "kind": "sew-in magnet", "at": [60, 195], "diameter": 18}
            | {"sits": "inside", "fitted": "before quilting", "mate": True}
        ],
        "fills": [{"pattern": "motif", "motif": name} | keys],
    }


@pytest.mark.nightly
@pytest.mark.parametrize("shape", SHAPES)
def test_promises_at_length(shape: str) -> None:
    _keeps(check_twice, 350, shape, meander=True)
