"""Turning a panel, or looking at it in a mirror, changes no cost."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from hypothesis import HealthCheck, assume, given, settings, strategies as st
from shapely import affinity

from loftline.errors import ProjectError
from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import Project
from loftline.runs import make_network, plan_runs
from loftline.values import Area, Lines, Panel, Point
from support import projects

Floats = npt.NDArray[np.float64]
Shape = TypeVar("Shape", bound=Area)

RULED_BY_COST = ("least cost", "fewest cuts")

ROUNDING = 0.05
"""Costs are matched in whole thousandths of a millimetre, one rounding an edge."""


def _moved(panel: Panel, lines: Lines, degrees: float, *, mirrored: bool) -> tuple[Panel, Lines]:
    """The same panel and lines turned round the origin, after a mirror on the y axis if asked."""
    turn = math.radians(degrees)
    across = -1.0 if mirrored else 1.0
    matrix = np.array(
        [
            [across * math.cos(turn), -math.sin(turn)],
            [across * math.sin(turn), math.cos(turn)],
        ]
    )

    def move(points: Floats) -> Floats:
        moved: Floats = points @ matrix.T
        return moved

    def place(point: Point) -> Point:
        x, y = move(np.array(point)).tolist()
        return x, y

    def area(shape: Shape) -> Shape:
        return affinity.affine_transform(shape, [*matrix.ravel().tolist(), 0.0, 0.0])

    ways = replace(
        panel.ways, points=move(panel.ways.points), joints=move(panel.ways.joints.reshape(-1, 2))
    )
    folds = tuple(
        replace(
            fold,
            start=place(fold.start),
            end=place(fold.end),
            across=tuple(place(point) for point in fold.across),
        )
        for fold in panel.folds
    )
    turned = replace(
        panel, sewable=area(panel.sewable), outline=area(panel.outline), ways=ways, folds=folds
    )
    return turned, replace(lines, points=move(lines.points))


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
@given(
    project=projects(meander=False),
    degrees=st.one_of(st.sampled_from([90.0, 180.0, 270.0]), st.floats(1, 359)),
    look=st.sampled_from(["straight at it", "in a mirror"]),
)
def test_a_turned_or_mirrored_panel_costs_the_same(
    project: Project, degrees: float, look: str
) -> None:
    try:
        panel = make_panel(project)
    except ProjectError:
        assume(False)
        raise
    lines = make_lines(project, panel, make_fields(project, panel))
    order = project.quilting.order if project.quilting.order in RULED_BY_COST else "least cost"
    here = plan_runs(make_network(panel, lines), order, project.seed)
    network = make_network(*_moved(panel, lines, degrees, mirrored=look == "in a mirror"))
    there = plan_runs(network, order, project.seed)
    if here.optimal and there.optimal:
        assert abs(there.cost - here.cost) <= ROUNDING
    # where it is not proved least, each lies within the gap printed for the other
    assert here.cost >= there.least_cost - ROUNDING
    assert there.cost >= here.least_cost - ROUNDING
