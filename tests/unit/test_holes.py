"""Needle holes that keep out of each other's way: crossings, doubled lines, lines that touch."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings, strategies as st

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.stitches import crossings, placing
from loftline.stitches.anchors import NEAR_MM, bends_of, find_anchors
from loftline.stitches.crossings import Pieces, step_over
from loftline.stitches.handing_over import ASIDE_MM, hand_over_aside
from loftline.stitches.path import Path
from loftline.stitches.placing import Placed, place_stitches
from loftline.units import LEAST_STITCH_MM
from loftline.values import Floats, Kind, Plan
from support_stitches import close_holes, path_of

PANEL = {"shape": "rectangle", "width": 200, "height": 160}


def plan_of(fill: dict[str, Any], **more: Any) -> Plan:  # noqa: ANN401 - tables
    document = {"format": 1, "name": "Workbench caddy", "panel": PANEL, "fills": [fill]}
    return make_plan(parse_project(document | more), effort="quick")


def points_of(placed: Placed) -> Floats:
    return np.column_stack([placed.x, placed.y]) / 10


# 30/150 degrees at 25.4 mm with stitches of 2.5 mm was measured with plain placing: 20 pairs of
# holes nearer than 0.5 mm, the nearest 0.1 mm
GRIDS: list[tuple[dict[str, Any], float]] = [
    ({"angle": [30, 150], "spacing": 25.4}, 2.5),
    ({"angle": [30, 150], "spacing": 10}, 3.0),
    ({"angle": 45, "spacing": 12}, 3.0),
    ({"angle": 20, "spacing": 17}, 2.2),
    ({"setting": "triangle", "spacing": 20}, 3.0),
    ({"setting": "hanging diamond", "spacing": 15}, 2.5),
]


def even(pieces: Pieces) -> Floats:
    """Stitches that give way to nothing."""
    total = np.add.reduceat(pieces.need, pieces.first[:-1])
    return pieces.need * np.repeat(pieces.count / total, np.diff(pieces.first))


def near_holes(grid: dict[str, Any], stitch: float) -> Floats:
    plan = plan_of({"pattern": "grid"} | grid, quilting={"stitch_length": stitch})
    apart, _ = close_holes(plan.sewn)
    return apart


@pytest.fixture(scope="module", params=GRIDS, ids=str)
def stepped_and_even(request: pytest.FixtureRequest) -> tuple[Floats, Floats]:
    """Distances of close holes of a grid, with stitches that give way and with even ones."""
    grid, stitch = request.param
    stepped = near_holes(grid, stitch)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(placing, "step_over", even)
        return stepped, near_holes(grid, stitch)


Both = tuple[Floats, Floats]


def test_lines_of_a_grid_miss_each_others_holes(stepped_and_even: Both) -> None:
    apart, _ = stepped_and_even
    # where the sewing order turns twice in one place the needle enters it twice; two or three
    # stitches from a line's end there is little room to give way in
    assert apart[apart > 0.05].min(initial=1.0) >= 0.35


def test_even_stitches_would_be_seen_to_stack_their_holes(stepped_and_even: Both) -> None:
    _, apart = stepped_and_even
    assert apart[apart > 0.05].min(initial=1.0) < 0.35


def test_fewer_than_half_as_many_holes_are_close_as_with_even_stitches(
    stepped_and_even: Both,
) -> None:
    stepped, plain = stepped_and_even
    assert len(stepped) < len(plain) / 2


@st.composite
def crossed(draw: st.DrawFn) -> Pieces:
    """Random spans with crossings on them, each piece of half a stitch to thirty."""
    spans = draw(st.lists(st.lists(st.floats(0.5, 30), min_size=1, max_size=9), min_size=1))
    need = np.concatenate([np.array(span) for span in spans])
    size = np.array([len(span) for span in spans])
    first = np.append(0, np.cumsum(size))
    ends = np.isin(np.arange(len(need)), first[1:] - 1)
    total = np.add.reduceat(need, first[:-1])
    phase = draw(st.sampled_from([0.0, 0.25, 0.5]))
    return Pieces(
        need=need,
        first=first,
        count=np.ceil(total),
        most=np.ceil(total) + 9,
        node=np.where(ends, -1, np.arange(len(need)) // 2),
        matters=np.where(ends, 0.0, 1.0),
        wanted=np.full(len(need), phase),
        free=np.full(len(need), 0.15),
    )


@given(crossed())
@settings(max_examples=60, deadline=None)
def test_stitches_are_whole_over_a_span_however_they_step(pieces: Pieces) -> None:
    whole = np.add.reduceat(step_over(pieces), pieces.first[:-1])
    assert np.abs(whole - np.rint(whole)).max() < 1e-6


@given(crossed())
@settings(max_examples=60, deadline=None)
def test_no_stitch_grows_longer_to_step_over_a_crossing(pieces: Pieces) -> None:
    assert (step_over(pieces) / pieces.need).min() >= 1 - 1e-6


@given(crossed())
@settings(max_examples=60, deadline=None)
def test_stitches_of_a_span_differ_by_less_than_a_tenth(pieces: Pieces) -> None:
    rate = step_over(pieces) / pieces.need
    begin = pieces.first[:-1]
    spread = np.maximum.reduceat(rate, begin) / np.minimum.reduceat(rate, begin)
    assert spread.max() <= 1.095 + 1e-6


def off_middle(pieces: Pieces) -> Floats:
    """How far each crossing lies from the middle of its stitch, in stitches."""
    place = np.cumsum(step_over(pieces))
    inner = pieces.node >= 0
    return np.abs((place[inner] % 1.0) - 0.5)


@pytest.mark.parametrize("apart", [3.0, 3.4, 4.1, 4.8, 6.7, 10.2])
def test_crossings_of_an_even_grid_lie_inside_stitches(apart: float) -> None:
    need = np.array([2.3, *[apart] * 30, 1.9])
    ends = np.arange(len(need)) == len(need) - 1
    pieces = Pieces(
        need=need,
        first=np.array([0, len(need)]),
        count=np.ceil(need.sum(keepdims=True)),
        most=np.array([400.0]),
        node=np.where(ends, -1, np.arange(len(need))),
        matters=np.where(ends, 0.0, 1.0),
        wanted=np.full(len(need), 0.5),
        free=np.full(len(need), 0.15),
    )
    # the first and the last lie too near to the line's ends to be given way to
    assert off_middle(pieces)[1:-1].max() <= 0.5 - 1 / 8


def there_and_back(line: Floats, stitch: float) -> Path:
    """A line sewn out and over again on the way back."""
    n = len(line)
    out = path_of(np.concatenate([line, line[-2::-1]]), stitch)
    later = np.arange(n - 1, 2 * n - 2)
    kind, sewn, sewn_to = out.kind.copy(), out.sewn.copy(), out.sewn_to.copy()
    kind[n - 1 :] = int(Kind.DOUBLE)
    sewn[later], sewn_to[later] = 2 * (n - 1) - later, 2 * (n - 1) - later - 1
    joint, node = out.joint.copy(), out.node.copy()
    joint[n - 1], node[n - 1], node[-1] = True, 1, 0
    return replace(out, kind=kind, sewn=sewn, sewn_to=sewn_to, joint=joint, node=node)


def test_a_line_sewn_over_again_is_pierced_half_way_between_its_holes() -> None:
    placed = place_stitches(there_and_back(np.array([[0.0, 0.0], [30.0, 0.0]]), 3.0))
    assert placed.x[:11].tolist() == list(range(0, 301, 30))
    assert placed.x[11:].tolist() == [*range(285, 0, -30), 0]


@pytest.mark.parametrize("radius", [6.0, 15.0, 60.0])
def test_a_curve_sewn_over_again_keeps_half_a_stitch_from_its_holes(radius: float) -> None:
    turn = np.linspace(0, 1.2 * np.pi, 400)
    arc = np.column_stack([np.cos(turn), np.sin(turn)]) * radius
    placed = place_stitches(there_and_back(arc, 3.0))
    there = int(np.argmin(np.hypot(*(points_of(placed) - arc[-1]).T)))
    first, second = points_of(placed)[: there + 1], points_of(placed)[there + 1 : -1]
    step = np.hypot(*np.diff(first, axis=0).T)
    near = np.hypot(*(second[:, None] - first[None]).transpose(2, 0, 1)).min(axis=1)
    # half of the shortest stitch of the first pass, and the rounding of both holes
    assert near.min() >= step.min() / 2 - 0.15


@pytest.mark.parametrize("turn", [0.6, 1.0, 1.2, 3.0])
@pytest.mark.parametrize("radius", [0.4, 0.5, 0.6, 0.7])
def test_a_hook_sewn_over_again_has_no_stitch_too_short(radius: float, turn: float) -> None:
    # the first pass is dense in the hook, so half a stitch of it is no stitch's room
    angle = np.linspace(0, turn, 30)
    hook = np.column_stack([np.sin(angle), 1 - np.cos(angle)]) * radius
    placed = place_stitches(there_and_back(np.concatenate([[[-20.0, 0.0]], hook]), 3.0))
    step = np.hypot(*np.diff(points_of(placed), axis=0).T)
    assert step.min() >= LEAST_STITCH_MM - 1e-9


def touching() -> Path:
    """Two waves that touch at a crest and a trough, sewn one after the other."""
    x = np.linspace(-20, 20, 161)
    high = 4 - 4 * np.cos(x / 20 * np.pi)
    one = np.column_stack([x, high])
    other = np.column_stack([x[::-1], -high])
    path = path_of(np.concatenate([one, other]), 3.0)
    joint, node = path.joint.copy(), path.node.copy()
    line = (np.arange(len(path.points)) >= len(one)).astype(np.int64)
    for at, name in ((80, 5), (161, 2), (161 + 80, 5)):
        joint[at], node[at] = True, name
    return replace(
        path,
        joint=joint,
        node=node,
        line=line,
        starts=np.array([0, 161, 322]),
        along=np.concatenate([path.along[:161], path.along[161:] - path.along[161]]),
    )


def test_lines_that_touch_are_not_pierced_in_the_same_places() -> None:
    placed = place_stitches(touching())
    points = points_of(placed)
    one, other = points[placed.run == 0], points[placed.run == 1]
    assert shapely.distance(shapely.MultiPoint(one), shapely.MultiPoint(other)) > 0.5


def test_lines_that_touch_want_phases_half_a_stitch_apart() -> None:
    path = touching()
    through = find_anchors(path, bends_of(path)).through
    assert sorted(through.wanted[through.matters > 0].tolist()) == [0.0, 0.5]


def stub_and_on() -> Path:
    """A stub sewn from a line to its end, back again, and straight on along its other half.

    The line that it stands on is sewn first and turned off from at the crossing.
    """
    points = [(-30.0, 0.0), (0.0, 0.0), (0.0, -8.0), (0.0, 0.0), (0.0, 30.0)]
    path = path_of(points, 3.0)
    return replace(
        path,
        kind=np.array([0, 0, 2, 0, 0]),
        line=np.array([0, 1, 1, 1, 1]),
        joint=np.array([True, True, True, True, False]),
        node=np.array([0, 7, 1, 7, 2]),
        sewn=np.array([-1, -1, 2, -1, -1]),
        sewn_to=np.array([-1, -1, 1, -1, -1]),
    )


def test_the_hole_that_parts_old_from_new_stands_aside_of_one_that_is_there() -> None:
    points = points_of(place_stitches(hand_over_aside(stub_and_on())))
    near = np.sort(np.hypot(*points.T))
    assert near[0] == 0
    assert near[1] == pytest.approx(ASIDE_MM)


def test_without_standing_aside_the_needle_would_enter_twice() -> None:
    points = points_of(place_stitches(stub_and_on()))
    assert (np.hypot(*points.T) < 0.05).sum() == 2


def test_standing_aside_moves_no_thread() -> None:
    path = hand_over_aside(stub_and_on())
    assert len(path.points) == 6
    before = shapely.LineString(stub_and_on().points)
    assert shapely.LineString(path.points).equals(before)


def test_a_path_without_such_a_place_stays_as_it_is() -> None:
    path = path_of([(0, 0), (30, 0)], 3.0)
    assert hand_over_aside(path) is path


@pytest.mark.parametrize("tight", [0.3, 4.0])
def test_it_makes_no_difference_in_which_pieces_a_path_is_worked_on(
    monkeypatch: pytest.MonkeyPatch, tight: float
) -> None:
    along = np.arange(0, 900, 0.4713)
    turn = tight * np.sin(along / 9)
    line = np.column_stack([np.cumsum(np.cos(turn)), np.cumsum(np.sin(turn))]) * 0.4713
    # corners part it into spans
    line[::120] += 1.5
    whole = points_of(place_stitches(path_of(line, 3.0)))
    monkeypatch.setattr(placing, "_CHUNK", 200)
    assert np.array_equal(points_of(place_stitches(path_of(line, 3.0))), whole)


def test_a_curve_of_very_many_points_keeps_to_the_chord_error() -> None:
    # 0.3 degrees at each point: no bend that one would call a corner
    turn = np.linspace(0, 2 * np.pi, 1200)
    circle = np.column_stack([np.cos(turn), np.sin(turn)]) * 4.0
    sewn = shapely.LineString(points_of(place_stitches(path_of(circle, 4.0))))
    assert shapely.hausdorff_distance(shapely.LineString(circle), sewn) <= 0.15 + 1e-6


def test_rounding_never_adds_up() -> None:
    # an angle with no whole tenths along it; the grid's half diagonal is 0.0708 mm
    end = np.array([7000.0, 7000.0 * np.tan(0.37)])
    points = points_of(place_stitches(path_of(np.stack([np.zeros(2), end]), 2.5)))
    across = np.array([-np.sin(0.37), np.cos(0.37)])
    assert np.abs(points @ across).max() <= 0.0708
    assert np.abs(points[-1] - end).max() <= 0.05 + 1e-9


@pytest.mark.parametrize("length", [0.2, 0.5, 0.95, 1.3, 3.05, 6.1])
def test_a_short_line_has_stitches_with_room(length: float) -> None:
    points = points_of(place_stitches(path_of([(0, 0), (length, 0)], 3.0)))
    step = np.hypot(*np.diff(points, axis=0).T)
    assert step.max() <= 3.0 + 0.05
    assert len(step) == 1 or step.min() >= NEAR_MM - 0.15


def turned_on_often() -> Path:
    """A straight line aslant, and a second run that turns on it every 4.4 mm."""
    along = np.arange(0.0, 90.0, 4.4)[:, None] * [np.cos(0.5), np.sin(0.5)]
    aside = along + np.array([0.0, 7.0])
    zigzag = np.stack([along, aside], axis=1).reshape(-1, 2)
    path = path_of(np.concatenate([along, zigzag]), 3.0)
    n = len(along)
    node = np.concatenate([np.arange(n), np.stack([np.arange(n), n + np.arange(n)], 1).ravel()])
    ends = np.array([0, n, len(path.points)])
    joint = np.ones(len(node), bool)
    joint[ends[1:] - 1] = False
    line = np.repeat([0, 1], np.diff(ends))
    far = np.concatenate([path.along[:n], path.along[n:] - path.along[n]])
    return replace(path, starts=ends, node=node, joint=joint, line=line, along=far)


def spread(placed: Placed) -> float:
    """Difference of the stitches of the first run, beyond a tenth of their mean."""
    step = np.hypot(*np.diff(points_of(placed)[placed.run == 0], axis=0).T)
    return float(np.ptp(step) - 0.1 * step.mean())


def test_a_line_that_cannot_give_way_and_stay_even_is_left_even(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = turned_on_often()
    monkeypatch.setattr(crossings, "_BAND", 1.4)
    assert spread(place_stitches(path)) <= 0.15
    # and it would be seen
    monkeypatch.setattr(placing, "uneven", lambda spans, _: np.zeros(len(spans), bool))
    assert spread(place_stitches(path)) > 0.15
