"""Rows of closed lines that touch or cross, and rings on islands: what is planned and proved."""

from __future__ import annotations

import numpy as np

from support_rings import Floats, as_lines, caddy, check_promises, circle, sew

RADIUS = 20.0
STRIP = {
    "name": "strap",
    "shape": "rectangle",
    "at": [120, 100],
    "width": 20,
    "height": 220,
    "clearance": 5,
}


def rows_of_circles(apart: float) -> list[Floats]:
    return [circle(60 + apart * i, 60 + apart * j, RADIUS) for j in range(3) for i in range(4)]


def test_circles_that_touch_are_one_run_that_travels_nowhere() -> None:
    made = sew(caddy(260, 220, []), as_lines(rows_of_circles(2 * RADIUS)))
    assert (len(made.runs.starts) - 1, made.runs.cost) == (1, 0.0)


def test_circles_that_cross_are_one_run_that_travels_nowhere() -> None:
    curves = rows_of_circles(1.4 * RADIUS)
    made = sew(caddy(260, 220, []), as_lines(curves, family=list(range(len(curves)))))
    assert (len(made.runs.starts) - 1, made.runs.cost) == (1, 0.0)


def test_clamshells_are_proved_to_be_planned_at_their_least() -> None:
    turn = np.linspace(0, np.pi, 31)
    curves = [
        np.column_stack(
            [
                60 + 2 * RADIUS * i + RADIUS * (j % 2) + RADIUS * np.cos(turn),
                60 + RADIUS * j + RADIUS * np.sin(turn),
            ]
        )
        for j in range(5)
        for i in range(4)
    ]
    made = sew(caddy(300, 240, []), as_lines(curves, closed=[False] * len(curves)))
    assert made.runs.optimal


def test_rows_that_touch_keep_the_promises() -> None:
    check_promises(sew(caddy(260, 220, []), as_lines(rows_of_circles(2 * RADIUS))))


def test_rings_on_two_islands_are_two_runs() -> None:
    curves = [circle(x, 100, r) for x in (55, 185) for r in (10, 20, 30)]
    made = sew(caddy(240, 200, [], strips=[STRIP]), as_lines(curves))
    assert len(made.runs.starts) - 1 == 2


def test_the_least_number_of_runs_on_two_islands_is_proved() -> None:
    curves = [circle(x, 100, r) for x in (55, 185) for r in (10, 20, 30)]
    made = sew(caddy(240, 200, [], strips=[STRIP]), as_lines(curves))
    assert made.runs.optimal
