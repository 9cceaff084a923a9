"""No stitch under the least, where curves end beside other lines on the edge."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.runs.ends import MERGE_MM, settle_ends
from loftline.units import LEAST_STITCH_MM
from loftline.values import Kind, Lines, Way, Ways
from support import stitches

# width, height, angle of the waves, their height, their length, stitch
CROSSED = [
    (94.4, 137.3, 17, 1.2, 18.7, 2.9),
    (132.8, 104.9, 30, 1.9, 14.3, 2.9),
    (123.1, 123.9, 17, 2.5, 10.7, 2.3),
    (83.5, 121.4, 17, 1.5, 8.9, 2.9),
]
"""Found by a search over random waves: here a wave's end was moved back past its own points."""


@pytest.mark.parametrize("case", CROSSED)
def test_waves_over_a_fine_grid_keep_the_least_stitch(case: tuple[float, ...]) -> None:
    width, height, angle, high, long, stitch = case
    wave = {"pattern": "channel", "angle": angle, "spacing": 5}
    table = {
        "format": 1,
        "name": "Workbench caddy",
        "panel": {"shape": "rectangle", "width": width, "height": height},
        "fills": [
            {"pattern": "grid", "angle": [0, 60], "spacing": 5},
            wave | {"wave_height": high, "wave_length": long},
        ],
        "quilting": {"stitch_length": stitch},
    }
    ends, kind = stitches(make_plan(parse_project(table), effort="quick"))
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    assert length[kind != Kind.TIE].min() >= LEAST_STITCH_MM - 1e-9


def test_a_curve_whose_end_is_moved_does_not_turn_back() -> None:
    edge = np.array([(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (0.0, 40.0), (0.0, 0.0)])
    ways = Ways(
        points=edge,
        starts=np.array([0, 5]),
        kind=np.full(5, int(Way.EDGE)),
        open=np.ones(5, bool),
    )
    straight = np.array([(20.0, 0.0), (20.0, 40.0)])
    # comes in flat: its last points lie beside the place its end is moved to
    curve = np.array([(30.0, 20.0), (22.0, 0.5), (20.1, 0.1), (20.4, 0.0)])
    lines = Lines(
        points=np.concatenate([straight, curve]),
        starts=np.array([0, 2, 6]),
        fill=np.zeros(2, np.int64),
        family=np.array([0, 1]),
        angle=np.array([90.0, np.nan]),
        closed=np.zeros(2, bool),
    )
    assert np.hypot(*(curve[-1] - straight[0])) < MERGE_MM
    points, starts, ends = settle_ends(lines, ways, shapely.box(0, 0, 50, 40))
    own = points[starts[1] : starts[2]]
    assert own[-1].tolist() == [20.0, 0.0]
    step = np.diff(own, axis=0)
    assert (step[:, 0] < 0).all()
    assert points[ends.index].tolist() == ends.points[ends.node].tolist()
