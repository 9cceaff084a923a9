"""Spirals and rays against closed forms."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from loftline.fills import make_fields, make_lines
from loftline.fills.clipping import Sector
from loftline.fills.rays import beginnings, branched
from loftline.fills.spiral import turns
from loftline.geometry import lengths
from loftline.panel import make_panel
from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.values import Lines, Panel

BARE = {"overhang": 0, "seam_allowance": 0}
CADDY = {"shape": "rectangle", "width": 240, "height": 300, **BARE}
LABEL = {"name": "label", "shape": "rectangle", "width": 60, "height": 25, "at": [150, 100]}


def design(
    pattern: str,
    panel: dict[str, Any],
    spacing: float = 10,
    **more: Any,  # noqa: ANN401 - keys of the fill
) -> tuple[Panel, Lines]:
    fill = {"pattern": pattern, "spacing": spacing, **more}
    tables = {"panel": panel, "fills": [fill], "keep_outs": [LABEL]}
    project = parse_project({"format": 1, "name": "Workbench caddy", **tables})
    made = make_panel(project)
    return made, make_lines(project, made, make_fields(project, made))


def arc_length(spacing: float, begin: float, end: float) -> float:
    """Closed form for r = a t, a = spacing / 2 pi: a/2 (t sqrt(1 + t^2) + asinh t)."""
    a = spacing / (2 * math.pi)

    def upto(turn: float) -> float:
        t = 2 * math.pi * turn
        return a / 2 * (t * math.sqrt(1 + t * t) + math.asinh(t))

    return upto(end) - upto(begin)


def test_a_spiral_is_as_long_as_its_formula_says() -> None:
    drawn = turns(np.zeros(2), 10, Sector(farthest=95))
    found = sum(float(np.hypot(*np.diff(turn, axis=0).T).sum()) for turn in drawn)
    assert found == pytest.approx(arc_length(10, 0.5, len(drawn)), rel=1e-4)


def test_turns_of_a_spiral_lie_a_spacing_apart() -> None:
    points = np.concatenate(turns(np.zeros(2), 10, Sector(farthest=95)))
    radius, angle = np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0])
    share = (radius / 10 - angle / (2 * math.pi)) % 1
    assert np.minimum(share, 1 - share) == pytest.approx(0, abs=1e-9)


def test_a_spiral_starts_at_its_place() -> None:
    _, lines = design("spiral", CADDY, 10, start_at=[60, 200])
    near = min(float(np.hypot(*(lines.line(i)[0] - (60, 200)))) for i in range(len(lines)))
    assert near == pytest.approx(5)


def test_a_spiral_on_a_disc_stays_away_from_the_edge_it_runs_along() -> None:
    panel, lines = design("spiral", {"shape": "ellipse", "width": 201, "height": 201, **BARE}, 10)
    points = np.concatenate([lines.line(i) for i in range(len(lines))])
    away = shapely.distance(panel.outline.exterior, shapely.points(points))
    assert away.min() > 2.4


def test_a_spiral_goes_on_over_the_start_of_a_turn() -> None:
    # no keep-out within 60 mm of its centre: whole turns there are one line
    _, lines = design("spiral", CADDY, 10, start_at=[120, 200])
    first = min(range(len(lines)), key=lambda i: float(np.hypot(*(lines.line(i)[0] - (120, 200)))))
    assert np.hypot(*(lines.line(first)[-1] - (120, 200))) > 60


@pytest.mark.parametrize("spacing", [3, 8, 20])
def test_rays_lie_between_one_and_two_spacings_apart(spacing: float) -> None:
    rays = beginnings(np.zeros(2), spacing, Sector(farthest=300))
    begin = np.hypot(*rays[:, 0].T)
    for radius in np.linspace(spacing, 299, 200).tolist():
        at = np.flatnonzero(begin <= radius)
        turn = np.diff(at, append=at[0] + len(rays)) * (2 * math.pi / len(rays))
        gaps = 2 * radius * np.sin(turn / 2)
        assert gaps.min() >= spacing - 1e-9
        assert gaps.max() <= 2 * spacing + 1e-9


def test_rays_end_on_the_edge() -> None:
    panel, lines = design("rays", CADDY, 12)
    ends = lines.points[lines.starts[1:] - 1]
    edge = panel.sewable.boundary
    assert shapely.dwithin(edge, shapely.points(ends), 1e-6).all()


def test_rays_point_away_from_their_place() -> None:
    _, lines = design("rays", CADDY, 12, start_at=[40, 60], joined=False)
    strokes = lines.points.reshape(-1, 2, 2) - np.array([40.0, 60.0])
    cross = strokes[:, 0, 0] * strokes[:, 1, 1] - strokes[:, 0, 1] * strokes[:, 1, 0]
    assert np.abs(cross).max() < 1e-6


def test_joined_rays_are_straight_beyond_their_branch() -> None:
    # a branch is a ray from 0.6 spacings beyond the place where a ray would begin
    apart = beginnings(np.zeros(2), 12, Sector(farthest=300))
    for ray, joined in zip(apart, branched(apart, np.zeros(2), 12), strict=True):
        (x0, y0), (x1, y1) = joined[-2:]
        assert x0 * y1 - y0 * x1 == pytest.approx(0, abs=1e-9)
        assert np.hypot(*joined[-2]) <= np.hypot(*ray[0]) + 0.6 * 12 + 1e-9


def test_joined_rays_begin_two_by_two_on_another() -> None:
    apart = beginnings(np.zeros(2), 12, Sector(farthest=300))
    rays = branched(apart, np.zeros(2), 12)
    roots, count = np.unique(
        np.round([ray[0] for ray in rays], 6) + 0.0, axis=0, return_counts=True
    )
    assert sorted(set(count.tolist())) == [2, 4]
    drawn = [shapely.LineString(ray) for ray in rays]
    on = [sum(line.distance(shapely.Point(root)) < 1e-5 for line in drawn) for root in roots]
    # at the centre the first four, elsewhere two branches and what they branch off
    assert sorted(set(on)) == [3, 4]


def test_joined_rays_need_no_thread_cut() -> None:
    cuts = []
    for joined in (True, False):
        fill = {"pattern": "rays", "spacing": 12, "joined": joined}
        panel = {"shape": "rectangle", "width": 240, "height": 300}
        project = parse_project({"format": 1, "panel": panel, "fills": [fill]})
        cuts.append(make_plan(project, effort="quick").report.cuts)
    assert cuts[0] == 0
    assert cuts[1] > 10


def test_a_ray_along_an_edge_is_left_out() -> None:
    _, lines = design("rays", CADDY, 12, start_at=[0, 0], joined=False)
    drawn = lines.points.reshape(-1, 2, 2)
    assert drawn[:, 1].min() > 3


def test_both_reach_a_part_from_a_place_outside_it() -> None:
    for pattern in ("spiral", "rays"):
        panel, lines = design(pattern, CADDY, 12, start_at=[-80, 150])
        total = float(lengths(lines.points, lines.starts).sum())
        assert panel.sewable.area / total < 2.05 * 12


@pytest.mark.parametrize("pattern", ["spiral", "rays"])
def test_from_far_away_lines_are_nearly_straight_and_as_dense(pattern: str) -> None:
    panel, lines = design(pattern, CADDY, 12, start_at=[4000, 4500])
    total = float(lengths(lines.points, lines.starts).sum())
    assert 0.95 * 12 < panel.sewable.area / total < 2.05 * 12
    first = lines.points[lines.starts[:-1]]
    last = lines.points[lines.starts[1:] - 1]
    # an arc of 380 mm on a radius of 5.7 m is 380^3 / (24 5700^2) = 0.07 mm longer than its chord
    assert np.hypot(*(last - first).T) == pytest.approx(
        lengths(lines.points, lines.starts), abs=0.1
    )


@pytest.mark.parametrize("pattern", ["spiral", "rays", "echo"])
def test_lines_lie_inside_the_region(pattern: str) -> None:
    panel, lines = design(pattern, CADDY, 9)
    drawn = [shapely.LineString(lines.line(i)) for i in range(len(lines))]
    assert shapely.covers(panel.sewable.buffer(1e-6), drawn).all()
    assert sum(line.length for line in drawn) == pytest.approx(
        float(lengths(lines.points, lines.starts).sum())
    )
