"""Stitches of all designs over random panels: as long as asked for, even, on the drawn line."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings, strategies as st

from loftline.plan import make_plan
from loftline.project import Project, motif_names, parse_project
from loftline.units import CHORD_ERROR_MM, LEAST_STITCH_MM
from loftline.values import Kind, Plan
from support import drawn, stitches
from support_shapes import tenths
from support_stitches import close_holes

DESIGNS: list[dict[str, Any]] = [
    {"pattern": "channel"},
    {"pattern": "channel", "wave_height": 3, "wave_length": 31},
    {"pattern": "channel", "paired": 3},
    {"pattern": "grid"},
    {"pattern": "grid", "setting": "triangle"},
    {"pattern": "grid", "setting": "hanging diamond"},
    {"pattern": "meander"},
    {"pattern": "meander", "handwriting": "loops"},
    {"pattern": "echo"},
    {"pattern": "echo", "joined": False},
    {"pattern": "spiral"},
    {"pattern": "rays"},
    {"pattern": "motif"},
]
SLANTED = {"channel", "grid"}
QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]
# a tie is 0.5 mm and more; half a stitch of this lies farther apart than holes should
LEAST_WISH_MM = 1.5


@st.composite
def designs(draw: st.DrawFn, design: dict[str, Any], part: str) -> dict[str, Any]:
    """The design with a spacing, an angle where it has one, and a stitch of its own or not."""
    keys: dict[str, Any] = design | {"part": part}
    if design["pattern"] == "motif":
        keys["motif"] = draw(st.sampled_from(motif_names()))
    else:
        keys["spacing"] = draw(tenths(9, 20))
    if design["pattern"] in SLANTED and "setting" not in design:
        keys["angle"] = draw(st.integers(0, 179))
    if draw(st.booleans()):
        keys["stitch_length"] = draw(tenths(LEAST_WISH_MM, 5))
    return keys


@st.composite
def projects(draw: st.DrawFn, design: dict[str, Any]) -> Project:
    """A pouch with the design on one part and any other on another, or on all of it."""
    body = draw(tenths(60, 90))
    panel = {"shape": "folded pouch", "width": draw(tenths(90, 140)), "body": body, "flap": 50}
    fills = [draw(designs(design, "all"))]
    if draw(st.booleans()):
        other = draw(st.sampled_from(DESIGNS[:6]))
        fills = [draw(designs(design, "front")), draw(designs(other, "back"))]
    label = {"name": "label", "shape": "rectangle", "width": 30, "height": 14, "clearance": 3}
    return parse_project(
        {
            "name": "Spoke pouch",
            "seed": draw(st.integers(0, 9)),
            "panel": panel,
            "keep_outs": [label | {"at": [45, body / 2]}],
            "fills": fills,
            "quilting": {
                "stitch_length": draw(tenths(LEAST_WISH_MM, 5)),
                "edge": draw(st.sampled_from(["overhang", "none"])),
            },
        }
    )


def check_stitches(plan: Plan) -> None:
    ends, kind = stitches(plan)
    if not len(ends):
        return
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    assert length[kind != Kind.TIE].min() >= LEAST_STITCH_MM - 1e-9
    # as long as asked for by the design whose line it lies on, and rounding
    usual = plan.project.quilting.stitch_length
    own = [fill.stitch_length or usual for fill in plan.project.fills]
    lines = np.asarray(shapely.linestrings(plan.lines.points, indices=_owner(plan)), object)
    mine = np.isin(kind, [Kind.LINE, Kind.DOUBLE])
    near = shapely.STRtree(lines).query_nearest(shapely.points(ends[mine].mean(axis=1)))
    asked = np.array([*own, usual])[plan.lines.fill[near[1]]]
    most = np.zeros(int(mine.sum()))
    np.maximum.at(most, near[0], asked)
    assert (length[mine] <= most + 0.15).all()
    # no place of what is sewn lies farther from the stitches than a thread is thick
    sewn = shapely.union_all(shapely.linestrings(ends))
    edges = np.isin(np.arange(len(plan.network.u)), plan.runs.edges)
    spots = shapely.segmentize(drawn(plan, edges), 0.4)
    shapely.prepare(sewn)
    assert shapely.dwithin(sewn, shapely.points(shapely.get_coordinates(spots)), _OFF_MM).all()


_OFF_MM = CHORD_ERROR_MM + 1e-6


def _owner(plan: Plan) -> np.ndarray[Any, np.dtype[np.int64]]:
    return np.repeat(np.arange(len(plan.lines)), np.diff(plan.lines.starts))


def _keeps(design: dict[str, Any], examples: int) -> None:
    @settings(max_examples=examples, deadline=None, suppress_health_check=QUIET)
    @given(project=projects(design))
    def keeps(project: Project) -> None:
        check_stitches(make_plan(project, effort="quick"))

    keeps()


@pytest.mark.parametrize("design", DESIGNS, ids=str)
def test_stitches_of_any_design(design: dict[str, Any]) -> None:
    _keeps(design, 2)


@pytest.mark.nightly
@pytest.mark.parametrize("design", DESIGNS, ids=str)
def test_stitches_of_any_design_at_length(design: dict[str, Any]) -> None:
    _keeps(design, 120)


@settings(max_examples=12, deadline=None, suppress_health_check=QUIET)
@given(
    grid=st.sampled_from([d for d in DESIGNS if d["pattern"] == "grid"]).flatmap(
        lambda design: designs(design, "all")
    )
)
def test_grids_of_any_kind_hardly_stack_their_holes(grid: dict[str, Any]) -> None:
    panel = {"shape": "rectangle", "width": 180, "height": 140}
    plan = make_plan(parse_project({"panel": panel, "fills": [grid]}), effort="quick")
    apart, _ = close_holes(plan.sewn)
    # with even stitches 1.3 in a hundred on such panels, up to 2.5
    assert len(apart) <= 0.01 * len(plan.sewn)
