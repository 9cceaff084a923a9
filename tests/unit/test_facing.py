"""Which curves lie beside each other."""

from __future__ import annotations

import numpy as np

from loftline.runs.facing import Curves, Facing

REACH = 30.0


def ring(radius: float) -> np.ndarray:
    turn = np.linspace(0, 2 * np.pi, 200)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def level(height: float) -> np.ndarray:
    return np.array([(-200.0, height), (200.0, height)])


def facing(*lines: np.ndarray, asking: list[bool]) -> tuple[Curves, Facing]:
    starts = np.concatenate([[0], np.cumsum([len(line) for line in lines])])
    closed = np.array([bool((line[0] == line[-1]).all()) for line in lines])
    curves = Curves.of(np.concatenate(lines), starts, closed)
    return curves, Facing.find(curves, np.arange(len(lines)), np.array(asking), REACH)


def test_rings_inside_each_other_face_the_next_one_only() -> None:
    curves, found = facing(ring(20), ring(30), ring(40), asking=[True, True, True])
    _, faced, _ = found.faced(curves, np.array([0]), np.array([5.0]))
    assert faced.tolist() == [1]


def test_lines_far_from_all_that_ask_change_nothing() -> None:
    rings = [ring(20), ring(30), level(45)]
    far = [level(height) for height in np.arange(100.0, 400.0, 10.0)]
    _, alone = facing(*rings, asking=[True, True, False])
    _, among = facing(*rings, *far, asking=[True, True, False, *[False] * len(far)])
    count = len(alone.curve)
    assert np.array_equal(among.begin[: count + 1], alone.begin)
    assert among.begin[-1] == alone.begin[-1]
    assert np.array_equal(among.other, alone.other)


def test_where_nothing_asks_nothing_faces() -> None:
    _, found = facing(level(0), level(5), asking=[False, False])
    assert found.begin[-1] == 0


def test_one_that_asks_faces_what_does_not() -> None:
    curves, found = facing(ring(20), level(25), asking=[True, False])
    _, faced, _ = found.faced(curves, np.array([1]), np.array([200.0]))
    assert faced.tolist() == [0]
