"""Channels and grids against closed forms; which lines are left out."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.fills import make_fields, make_lines
from loftline.geometry import lengths
from loftline.panel import make_panel
from loftline.project import parse_project
from loftline.values import Lines, Panel

BARE = {"overhang": 0, "seam_allowance": 0}


def lines_of(
    panel: dict[str, Any],
    fills: list[dict[str, Any]],
    **more: Any,  # noqa: ANN401 - tables
) -> tuple[Panel, Lines]:
    project = parse_project({"format": 1, "name": "x", "panel": panel, "fills": fills} | more)
    made = make_panel(project)
    return made, make_lines(project, made, make_fields(project, made))


def test_channel_lengths_on_a_rectangle() -> None:
    # closed form: upright lines through the centre, each as long as the panel is high
    panel = {"shape": "rectangle", "width": 102, "height": 60, **BARE}
    _, lines = lines_of(panel, [{"pattern": "channel", "angle": 90, "spacing": 12}])
    assert lengths(lines.points, lines.starts) == pytest.approx([60] * 9)
    assert sorted(lines.points[::2, 0]) == pytest.approx([51 + 12 * k for k in range(-4, 5)])


def test_channel_lengths_on_a_circle() -> None:
    # closed form: chords 2 sqrt(r^2 - (k s)^2)
    panel = {"shape": "ellipse", "width": 200, "height": 200, **BARE}
    _, lines = lines_of(panel, [{"pattern": "channel", "angle": 33, "spacing": 15}])
    chords = [2 * math.sqrt(100**2 - (15 * k) ** 2) for k in range(-6, 7)]
    assert sorted(lengths(lines.points, lines.starts)) == pytest.approx(sorted(chords), rel=1e-3)


def test_grid_families() -> None:
    panel = {"shape": "rectangle", "width": 100, "height": 100, **BARE}
    for angle, wanted in ((45, {45, 135}), ([30, 150], {30, 150}), ([30, 90, 150], {30, 90, 150})):
        _, lines = lines_of(panel, [{"pattern": "grid", "angle": angle, "spacing": 10}])
        assert set(lines.angle.tolist()) == wanted
        assert len(np.unique(lines.family)) == len(wanted)


def test_triangle_grid_meets_in_points() -> None:
    panel = {"shape": "rectangle", "width": 120, "height": 120, **BARE}
    _, lines = lines_of(panel, [{"pattern": "grid", "angle": [30, 90, 150], "spacing": 15}])
    strokes = np.asarray(shapely.linestrings(lines.points.reshape(-1, 2, 2)))
    for family in (1, 2):
        first, second = strokes[lines.family == 0], strokes[lines.family == family]
        crossings = np.asarray(shapely.intersection(first[:, None], second))
        points = crossings[~shapely.is_empty(crossings)]
        third = shapely.union_all(strokes[lines.family == 3 - family])
        inner = shapely.within(points, shapely.box(1, 1, 119, 119))
        assert shapely.distance(points[inner], third).max() < 1e-9


def test_mirrored_panels_get_mirrored_lines() -> None:
    points = np.array([[0, 0], [90, 0], [120, 70], [30, 100]], float)
    mirrored = points * (-1, 1) + (120, 0)
    found = []
    for shape, angle, mirror in ((points, 35, 1), (mirrored[::-1], 145, -1)):
        panel = {"shape": "polygon", "points": shape.tolist()}
        _, lines = lines_of(panel, [{"pattern": "channel", "angle": angle, "spacing": 9}])
        back = lines.points if mirror > 0 else lines.points * (-1, 1) + (120, 0)
        strokes = back.reshape(-1, 2, 2).round(5) + 0.0
        found.append({tuple(sorted(map(tuple, ends))) for ends in strokes.tolist()})
    assert found[0] == found[1]
    assert len(found[0]) > 10


@pytest.mark.parametrize(("width", "kept"), [(97, 9), (101.9, 9), (102.1, 9), (104, 9), (110, 9)])
def test_a_line_beside_a_parallel_edge_is_left_out(width: float, kept: int) -> None:
    # lines at centre +- 12 k; the outermost lies (width / 2) % 12 inside the edge
    panel = {"shape": "rectangle", "width": width, "height": 60, **BARE}
    _, lines = lines_of(panel, [{"pattern": "channel", "angle": 90, "spacing": 12}])
    reach = math.floor(width / 2 / 12)
    nearest = width / 2 - 12 * reach
    wanted = 2 * (reach if nearest >= 3 else reach - 1) + 1
    assert len(lines) == wanted
    assert wanted <= kept


def test_no_line_lies_wholly_in_the_waste() -> None:
    panel, lines = lines_of(
        {"shape": "rectangle", "width": 100, "height": 60},
        [{"pattern": "grid", "angle": 0, "spacing": 5}],
    )
    strokes = shapely.linestrings(lines.points.reshape(-1, 2, 2))
    inside = shapely.length(shapely.intersection(strokes, panel.outline))
    assert inside.min() > 50
    # all run off past the cut edge
    assert lines.points[:, 0].min() == pytest.approx(-6)


def test_parts_fill_up_to_the_fold() -> None:
    pouch = {"shape": "folded pouch", "width": 200, "body": 120, "flap": 90}
    _, lines = lines_of(
        pouch,
        [
            {"part": "front", "pattern": "channel", "angle": 90, "spacing": 20},
            {"part": "flap", "pattern": "channel", "angle": 0, "spacing": 20},
        ],
    )
    front = lines.points[np.repeat(lines.fill, 2) == 0]
    flap = lines.points[np.repeat(lines.fill, 2) == 1]
    assert front[:, 1].min() == pytest.approx(-6)
    assert front[:, 1].max() == pytest.approx(120)
    assert flap[:, 1].min() > 240
    assert set(np.unique(lines.family)) == {0, 1}


def test_lines_keep_clear_of_zones() -> None:
    zone = {"name": "z", "shape": "circle", "diameter": 20, "at": [50, 30], "clearance": 5}
    panel, lines = lines_of(
        {"shape": "rectangle", "width": 100, "height": 60},
        [{"pattern": "grid", "angle": 45, "spacing": 6}],
        keep_outs=[zone],
    )
    strokes = shapely.linestrings(lines.points.reshape(-1, 2, 2))
    assert shapely.distance(strokes, shapely.Point(50, 30)).min() >= 15
    assert shapely.covers(panel.sewable.buffer(1e-9), strokes).all()


def test_nothing_left_to_sew() -> None:
    cover = {"name": "c", "shape": "rectangle", "at": [50, 30], "width": 200, "height": 200}
    _, lines = lines_of(
        {"shape": "rectangle", "width": 100, "height": 60},
        [{"pattern": "channel"}, {"pattern": "meander"}],
        keep_outs=[cover],
    )
    assert len(lines) == 0
