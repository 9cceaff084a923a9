"""The frame that lines carry with them, and the lines drawn in it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings, strategies as st

from loftline.runs.begun import begun_at_nodes, drawn_from
from loftline.runs.facing import Curves
from loftline.runs.frame import GRID_MM, Frame
from loftline.runs.framed import Framed
from loftline.runs.stops import Stops
from loftline.values import Lines
from support_rings import as_lines, circle
from support_turned import drawn_anew

Floats = npt.NDArray[np.float64]

ODD = np.array([[0.0, 0.0], [70.0, 0.0], [70.0, 20.0], [30.0, 45.0], [0.0, 40.0], [0.0, 0.0]])
SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]])
SWIRL = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0], [0.0, 30.0], [0.0, 0.0]])


def turned(points: Floats, degrees: float, *, mirrored: bool) -> Floats:
    """Points turned round the origin and moved, after a mirror if asked."""
    turn = np.radians(degrees)
    x, y = points.T
    x = -x if mirrored else x
    return np.column_stack(
        [np.cos(turn) * x - np.sin(turn) * y, np.sin(turn) * x + np.cos(turn) * y]
    )


def frame_of(*curves: Floats) -> Frame:
    lines = as_lines(list(curves))
    return Frame.of(lines.points, lines.starts)


def curves_of(lines: Lines) -> Curves:
    return Curves.of(lines.points, lines.starts, lines.closed)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("degrees", [0.0, 37.0, 90.0, 180.0, 291.3])
@pytest.mark.parametrize("drawn", [ODD, SWIRL], ids=["odd", "swirl"])
def test_lines_look_the_same_in_their_frame(
    drawn: Floats, degrees: float, *, mirrored: bool
) -> None:
    moved = turned(drawn, degrees, mirrored=mirrored) + np.array([300.0, -20.0])
    here = frame_of(drawn).inside(drawn)
    assert frame_of(moved).inside(moved) == pytest.approx(here, abs=2 * GRID_MM)


def test_an_odd_figure_and_its_mirror_image_are_told_apart() -> None:
    # or the test above would pass for a frame that is always the panel's own
    assert not np.allclose(frame_of(ODD).inside(ODD), ODD)


@pytest.mark.parametrize("degrees", [30.0, 90.0, 200.0])
def test_a_square_looks_the_same_in_its_frame_from_some_corner(degrees: float) -> None:
    moved = turned(SQUARE, degrees, mirrored=False)
    here, there = frame_of(SQUARE).inside(SQUARE)[:-1], frame_of(moved).inside(moved)[:-1]
    apart = np.hypot(*(here[:, None] - there[None]).transpose(2, 0, 1))
    assert apart.min(axis=1).max() <= 4 * GRID_MM


def test_a_point_more_on_a_straight_side_moves_no_frame() -> None:
    more = np.insert(ODD, 1, [31.0, 0.0], axis=0)
    assert frame_of(more).inside(ODD) == pytest.approx(frame_of(ODD).inside(ODD), abs=2 * GRID_MM)


def test_places_come_back_from_the_frame() -> None:
    frame = frame_of(ODD)
    assert frame.outside(frame.inside(ODD)) == pytest.approx(ODD, abs=2 * GRID_MM)


def test_a_lone_point_has_a_frame() -> None:
    same = np.zeros((2, 2))
    assert frame_of(same).inside(same).tolist() == same.tolist()


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 9999))
def test_lines_drawn_anew_are_the_same_in_the_frame(seed: int) -> None:
    lines = as_lines([ODD, circle(40, 20, 12), circle(30, 25, 5)])
    here = Framed.of(curves_of(lines), 3).curves
    there = Framed.of(curves_of(drawn_anew(lines, seed)), 3).curves
    assert there.points.tolist() == here.points.tolist()


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 9999))
def test_places_along_come_back_from_the_frame(seed: int) -> None:
    drawn = curves_of(drawn_anew(as_lines([ODD, circle(40, 20, 12), circle(30, 25, 5)]), seed))
    framed = Framed.of(drawn, 3)
    rng = np.random.default_rng(seed)
    curve = rng.integers(3, size=20)
    along = rng.random(20) * drawn.total[curve]
    back, far = framed.outside(*framed.inside(curve, along))
    assert back.tolist() == curve.tolist()
    assert drawn.at(back, far) == pytest.approx(drawn.at(curve, along), abs=1e-4)


def test_places_in_the_frame_are_those_on_the_panel() -> None:
    framed = Framed.of(curves_of(as_lines([ODD, circle(40, 20, 12)])), 2)
    curve = np.array([0, 1, 1])
    along = np.array([50.0, 3.0, 60.0])
    spot = framed.frame.outside(framed.curves.at(curve, along))
    assert framed.drawn.at(*framed.outside(curve, along)) == pytest.approx(spot, abs=1e-4)


def test_open_lines_begin_at_the_same_end_in_the_frame() -> None:
    line = np.array([[0.0, 0.0], [30.0, 10.0], [40.0, 50.0]])
    here = Framed.of(curves_of(as_lines([ODD, line], [True, False])), 2).curves
    there = Framed.of(curves_of(as_lines([ODD, line[::-1].copy()], [True, False])), 2).curves
    assert there.points.tolist() == here.points.tolist()


def stops_of(curve: list[int], along: list[float], node: list[int]) -> Stops:
    return Stops(curve=np.array(curve), along=np.array(along), node=np.array(node))


def test_a_closed_line_begins_at_a_node_that_something_meets() -> None:
    stops = stops_of([0, 0, 0, 0], [0.0, 40.0, 15.0, 25.0], [7, 7, 8, 9])
    begun = begun_at_nodes(curves_of(as_lines([SQUARE])), stops, np.empty(0, np.int64))
    assert begun.points.tolist() == [[10, 5], [10, 10], [0, 10], [0, 0], [10, 0], [10, 5]]
    assert begun.stops.node.tolist() == [8, 9, 8]
    assert begun.stops.along.tolist() == [0, 10, 40]


def test_a_closed_line_that_nothing_meets_begins_where_it_is_drawn_from() -> None:
    stops = stops_of([0, 0], [0.0, 40.0], [7, 7])
    begun = begun_at_nodes(curves_of(as_lines([SQUARE])), stops, np.empty(0, np.int64))
    assert begun.points.tolist() == SQUARE.tolist()


def test_a_node_that_another_line_shares_is_met() -> None:
    lines = curves_of(as_lines([SQUARE, SQUARE + 10.0]))
    stops = stops_of([0, 0, 0, 1, 1], [0.0, 40.0, 20.0, 0.0, 40.0], [7, 7, 8, 8, 8])
    assert drawn_from(lines, stops).tolist() == [True, True, False, False, False]
