"""Plans seen from their other side: turned over twice they are what they were."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from loftline.mirror import mirrored
from loftline.plan import make_plan
from loftline.project import Project
from loftline.readers import read_stitch_file
from loftline.values import (
    BobbinChange,
    ClosedEdge,
    Dart,
    Fold,
    Hooping,
    KeepOut,
    Lines,
    Mark,
    Network,
    Panel,
    Part,
    Piece,
    Plan,
    Region,
    Sewn,
    Ways,
)
from loftline.writers import write_files
from support import projects
from support_shapes import grounds

NEAR = 1e-9
QUIET = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def alike(one: object, two: object) -> bool:
    """Whether two values are the same: whole numbers exactly, places to a billionth of a mm."""
    same: object = False
    match one, two:
        case shapely.Geometry(), shapely.Geometry():
            same = shapely.equals_exact(one, two, NEAR)
        case np.ndarray(), np.ndarray():
            off = NEAR if one.dtype.kind == "f" else 0
            near = np.shape(one) == np.shape(two)
            same = near and np.isclose(one, two, rtol=0, atol=off, equal_nan=True).all()
        case int() | float(), int() | float():
            same = np.isclose(one, two, rtol=0, atol=NEAR, equal_nan=True)
        case Mapping(), Mapping():
            same = list(one) == list(two) and all(alike(one[key], two[key]) for key in one)
        case tuple(), tuple():
            same = len(one) == len(two) and all(map(alike, one, two))
        case _ if is_dataclass(one) and type(one) is type(two):
            names = [field.name for field in fields(one)]
            same = all(alike(getattr(one, name), getattr(two, name)) for name in names)
        case _:
            same = one == two
    return bool(same)


def from_back(project: Project) -> Plan:
    quilting = project.quilting.model_copy(update={"sewn_from": "back"})
    return make_plan(project.model_copy(update={"quilting": quilting}))


@settings(max_examples=10, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False, on=grounds()))
def test_turned_over_twice_a_plan_is_as_it_was(project: Project) -> None:
    plan = make_plan(project)
    assert alike(plan, mirrored(mirrored(plan)))


@settings(max_examples=3, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False, on=grounds("folded pouch")))
def test_turned_over_once_it_is_not(project: Project) -> None:
    plan = make_plan(project)
    other = mirrored(plan)
    assert not alike(plan, other)
    assert not alike(plan, replace(mirrored(other), sewn=other.sewn)) or not len(plan.sewn)


@settings(max_examples=12, deadline=None, suppress_health_check=QUIET)
@given(project=projects(meander=False, on=grounds()))
def test_what_a_file_from_the_back_holds_lies_where_it_should(project: Project) -> None:
    plan = from_back(project)
    if not len(plan.sewn):
        return
    (data,) = write_files(plan, ("dst",)).values()
    read = read_stitch_file("dst", data)
    # by the definition: what lies x from the left lies as far from the right once turned over
    x0, _, x1, _ = plan.panel.outline.bounds
    across = round(10 * (x0 + x1))
    x = across - (read.x + (across - plan.sewn.origin[0]))
    y = read.y + plan.sewn.origin[1]
    assert np.array_equal(x, plan.sewn.x)
    assert np.array_equal(y, plan.sewn.y)
    assert np.array_equal(read.run, plan.sewn.run)
    inner = np.flatnonzero(np.diff(read.run) == 0)
    at = np.column_stack([x, y]) / 10
    stitches = shapely.linestrings(np.stack([at[inner], at[inner + 1]], axis=1))
    for zone in plan.panel.keep_outs:
        assert not shapely.dwithin(zone.outline, stitches, zone.reach - 1e-9).any()


TURNED = {
    Panel: "outline parts folds ground sewable pieces keep_outs ways darts closed_edge closed "
    "moves regions starts seen_from",
    Part: "area",
    Fold: "start end across strip",
    Piece: "at outline face_up",
    KeepOut: "outline zone",
    Region: "outline",
    Dart: "wedge zone tip legs",
    Ways: "points joints",
    ClosedEdge: "at inward",
    Lines: "points angle rows",
    Network: "nodes points line_points",
    Sewn: "x via origin",
    Hooping: "off turn cell place origin marks",
    Mark: "at",
    BobbinChange: "at",
}
"""What of each value has a place or a direction."""

ALIKE = {
    Panel: "name seam_allowance overhang edge findings closed_size run_off gussets standing strap "
    "edge_lengths",
    Part: "name",
    Fold: "name closed_to gap crease bends over",
    Piece: "name kind clearance reach sits fitted mate_of magnetic from_cut from_finished "
    "outer_down",
    KeepOut: "name clearance reach sits mate_of hardware tolerance draw_in outer_down",
    Region: "name sewn_border",
    Dart: "name boxed",
    Ways: "starts kind open",
    ClosedEdge: "name both_sides",
    Lines: "starts fill family closed findings miss ends",
    Network: "u v way required line length cost starts line_starts once end_cost at_edge fill",
    Sewn: "y run kind via_run",
    Hooping: "field hoop row column first last misplacing",
    Mark: "kind sewn",
    BobbinChange: "bag run point on_travel",
}
"""What looks the same from both sides."""


@pytest.mark.parametrize("value", TURNED, ids=lambda value: value.__name__)
def test_it_is_known_of_every_field_whether_it_is_turned_over(value: type) -> None:
    # a field that a value gains must be named above, and turned over in loftline.mirror if it
    # has a place
    names = {field.name for field in fields(value)}
    assert names == {*TURNED[value].split(), *ALIKE[value].split()}
