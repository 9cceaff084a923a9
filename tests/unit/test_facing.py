"""Which curves lie beside each other."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.runs import facing as facing_module
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


def in_squares(monkeypatch: pytest.MonkeyPatch, *, reach: float) -> tuple[Facing, Facing]:
    """Wavy levels, more than may be triangulated at a time, and the same all at once."""
    x = np.linspace(0.0, 300.0, 301)
    waves = [np.column_stack([x, 10.0 * k + 2 * np.sin(x / 9 + k * k)]) for k in range(30)]
    starts = np.concatenate([[0], np.cumsum([len(wave) for wave in waves])])
    curves = Curves.of(np.concatenate(waves), starts, np.zeros(len(waves), bool))
    asked = np.ones(len(waves), bool)
    whole = Facing.find(curves, np.arange(len(waves)), asked, reach)
    monkeypatch.setattr(facing_module, "_MOST", 300)
    return whole, Facing.find(curves, np.arange(len(waves)), asked, reach)


def test_many_lines_face_each_other_as_they_do_all_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole, parted = in_squares(monkeypatch, reach=REACH)
    assert np.array_equal(parted.begin, whole.begin)
    assert np.array_equal(parted.other, whole.other)


def test_the_look_at_many_lines_can_be_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(facing_module, "_MOST", 300)
    rings = [ring(10.0 * k) for k in range(2, 20)]
    starts = np.concatenate([[0], np.cumsum([len(line) for line in rings])])
    curves = Curves.of(np.concatenate(rings), starts, np.ones(len(rings), bool))

    def stop(_name: str, _done: int, _total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        Facing.find(curves, np.arange(len(rings)), np.ones(len(rings), bool), REACH, stop)


def test_two_rings_have_a_narrowest_place_though_hardly_narrower() -> None:
    curves, found = facing(np.add(ring(20), [0.5, 0.0]), ring(30), asking=[True, True])
    both = np.array([True, True])
    one, along, other, _ = found.narrows(both, 0.75)
    assert (one.tolist(), other.tolist()) == ([0], [1])
    assert curves.at(one, along)[0, 0] > 19


def test_a_line_that_is_joined_already_is_narrow_only_where_it_is_much_nearer() -> None:
    _, found = facing(np.add(ring(20), [0.5, 0.0]), ring(30), asking=[True, True])
    assert not len(found.narrows(np.array([True, False]), 0.75)[0])
