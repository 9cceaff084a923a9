"""What counts as one swing of the panel."""

from __future__ import annotations

import math

import pytest

from loftline.estimates.turns import count_turns
from loftline.values import Kind
from support_sewn import Places, row, sewn


def walk(*legs: tuple[float, float], step: float = 3.0) -> Places:
    """Needle points along legs of (length, heading in degrees)."""
    x = y = 0.0
    points = [(x, y)]
    for length, heading in legs:
        count = max(1, round(length / step))
        for _ in range(count):
            x += length / count * math.cos(math.radians(heading))
            y += length / count * math.sin(math.radians(heading))
            points.append((x, y))
    return points


@pytest.mark.parametrize(
    ("legs", "turns"),
    [
        ([(60, 0)], 0),
        ([(60, 0), (60, 90)], 1),
        ([(60, 0), (60, 45)], 1),
        ([(60, 0), (60, 35)], 0),
        ([(60, 10), (60, 190)], 1),  # straight back
        ([(60, 0), (12, 90), (60, 180)], 2),  # to the neighbouring line and back
        ([(60, 0), (3, 90), (60, 180)], 1),  # the same on a line 3 mm away: one swing
        ([(60, 0), (3.6, 90), (60, 180)], 2),
        ([(60, 45), (17, 0), (60, 225), (17, 180), (60, 45)], 4),
        ([(60, 0), (3, 30), (60, 60)], 1),  # two bends that together turn
        ([(60, 0), (6, 30), (60, 60)], 0),  # two bends apart do not
        ([(60, 0), (2, 30), (60, 0)], 0),  # a bend and its opposite
        ([(60, 0), (2, 80), (60, 0)], 1),  # a step aside swings the panel, there and back
    ],
)
def test_turns_of_a_walk(legs: list[tuple[float, float]], turns: int) -> None:
    assert count_turns(sewn(walk(*legs))) == turns


def test_headings_of_45_degrees_count_wherever_tenths_fall() -> None:
    for shift in range(40):
        start = shift * 0.0271
        points = [(x + start, y + 2 * start) for x, y in walk((60, 45), (60, 0), (60, 45))]
        assert count_turns(sewn(points)) == 2


def test_curves() -> None:
    def circle(radius: float) -> Places:
        count = round(2 * math.pi * radius / 3)
        around = [2 * math.pi * i / count for i in range(count + 1)]
        return [(radius * math.cos(a), radius * math.sin(a)) for a in around]

    assert count_turns(sewn(circle(30))) == 0  # led round without swinging the panel
    assert count_turns(sewn(circle(3))) >= 3


def test_ties_are_left_out() -> None:
    tie = [(0.0, 0.0), (1.4, 0.0), (0.7, 0.0), (2.1, 0.0)]
    line = [(5.0 + 3 * i, 0.0) for i in range(10)]
    kinds = [Kind.TIE] * 4 + [Kind.LINE] * 10
    assert count_turns(sewn(tie + line, kind=kinds)) == 0
    assert count_turns(sewn(tie + line)) == 1


def test_runs_are_apart() -> None:
    assert count_turns(sewn(row(60), [(60.0, 3.0 * i) for i in range(20)])) == 0
    there_and_back = walk((60, 0), (60, 120))
    assert count_turns(sewn(there_and_back, there_and_back, there_and_back)) == 3
    assert count_turns(sewn()) == count_turns(sewn([(0, 0)])) == 0
