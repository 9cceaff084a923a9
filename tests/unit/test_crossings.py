"""Crossings of rows, found without looking at all pairs."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from loftline.runs import crossings
from loftline.runs.crossings import _meet_rows, explode, find_crossings

Floats = npt.NDArray[np.float64]


def row_pieces(angle: float, rng: np.random.Generator) -> Floats:
    """Rows 5 apart on a square of 200, each cut into ten pieces with gaps, slightly tilted."""
    cuts = np.sort(rng.uniform(0, 200, (41, 20)), axis=1).reshape(41, 10, 2)
    y = np.arange(41)[:, None, None] * 5.0 + rng.uniform(-0.3, 0.3, (41, 10, 2))
    flat = np.stack([cuts, y], axis=-1).reshape(-1, 2) - 100
    turn = np.radians(angle)
    turned: Floats = flat @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return turned


def brute(one: Floats, other: Floats) -> set[tuple[int, int]]:
    """Crossing pairs by the signs of areas: each segment's ends on two sides of the other."""
    a, b = one[0::2, None], one[1::2, None]
    c, d = other[None, 0::2], other[None, 1::2]

    def side(p: Floats, q: Floats, r: Floats) -> npt.NDArray[np.bool_]:
        cross = (q - p)[..., 0] * (r - p)[..., 1] - (q - p)[..., 1] * (r - p)[..., 0]
        return np.asarray(cross > 0)

    crossed = (side(a, b, c) != side(a, b, d)) & (side(c, d, a) != side(c, d, b))
    return set(zip(*(k.tolist() for k in np.nonzero(crossed)), strict=True))


def test_cut_rows_cross_where_they_do() -> None:
    rng = np.random.default_rng(4)
    one, other = row_pieces(20, rng), row_pieces(100, rng)
    count = len(one) // 2
    family = np.repeat([0, 1], [count, len(other) // 2])
    starts = np.arange(0, len(one) + len(other) + 1, 2)
    found = find_crossings(np.concatenate([one, other]), starts, family)
    pairs = set(zip(found.first.tolist(), (found.second - count).tolist(), strict=True))
    assert pairs == brute(one, other)


def test_few_pairs_are_looked_at_that_do_not_cross() -> None:
    # 410 pieces a family: all pairs would be 168 100
    rng = np.random.default_rng(4)
    one, other = row_pieces(20, rng), row_pieces(100, rng)
    starts = np.arange(0, len(one) + 1, 2)
    looked_at = _meet_rows(explode(one, starts), explode(other, starts))
    assert looked_at is not None
    assert len(looked_at[0]) < 5 * len(brute(one, other))


def test_too_many_pairs_are_left_to_the_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(4)
    both = np.concatenate([row_pieces(20, rng), row_pieces(100, rng)])
    starts = np.arange(0, len(both) + 1, 2)
    family = np.arange(len(both) // 2) // (len(both) // 4)
    by_rows = find_crossings(both, starts, family)
    monkeypatch.setattr(crossings, "_MANY", 10)
    by_tree = find_crossings(both, starts, family)
    assert (by_tree.first == by_rows.first).all()
    assert (by_tree.second == by_rows.second).all()
