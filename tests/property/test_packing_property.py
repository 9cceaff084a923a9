"""Promises over random pieces, checked by means of their own."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings, strategies as st

from loftline.estimates.packing import Packed, Size, fits, least_length, pack

MM = st.floats(1, 900, allow_nan=False) | st.integers(1, 57_600).map(lambda n: n * 25.4 / 64 / 100)
SIZES = st.lists(st.tuples(MM, MM).map(lambda pair: Size(*pair)), min_size=1, max_size=14)
ERROR = 1e-5  # mm: sizes are rounded to millionths on the way


def boxes(sizes: list[Size], packed: Packed) -> list[tuple[float, float, float, float]]:
    out = []
    for size, spot in zip(sizes, packed.spots, strict=True):
        wide, high = (size.height, size.width) if spot.turned else size
        out.append((spot.x, spot.y, spot.x + wide, spot.y + high))
    return out


def apart(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> float:
    return max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])


@settings(max_examples=60, deadline=None)
@given(sizes=SIZES, width=st.floats(900, 1600), gap=st.floats(0, 30), turning=st.booleans())
def test_layouts_keep_their_promises(
    sizes: list[Size],
    width: float,
    gap: float,
    turning: bool,  # noqa: FBT001
) -> None:
    assert all(fits(size, width, turning=turning) for size in sizes)
    packed = pack(sizes, width, gap, turning=turning)
    laid = boxes(sizes, packed)
    assert all(x0 >= 0 and y0 >= 0 for x0, y0, _, _ in laid)
    assert all(x1 <= width + ERROR for _, _, x1, _ in laid)
    assert max(y1 for *_, y1 in laid) == pytest.approx(packed.length, abs=ERROR)
    assert all(apart(a, b) >= gap - ERROR for a, b in itertools.combinations(laid, 2))
    assert not any(spot.turned for spot in packed.spots) or turning
    assert packed.length >= least_length(sizes, width, gap, turning=turning) - ERROR
    assert packed == pack(sizes, width, gap, turning=turning)


def test_the_check_finds_pieces_that_lie_too_near() -> None:
    assert apart((0, 0, 10, 10), (12, 5, 20, 9)) == 2
    assert apart((0, 0, 10, 10), (5, 5, 20, 9)) < 0


@settings(max_examples=30, deadline=None)
@given(sizes=SIZES, width=st.floats(900, 1600), gap=st.floats(0, 30))
def test_turning_never_takes_more_cloth(sizes: list[Size], width: float, gap: float) -> None:
    turned = pack(sizes, width, gap, turning=True).length
    # lengths are reckoned in whole nanometres, rounded up: the two may differ by one
    assert turned <= pack(sizes, width, gap, turning=False).length + 1e-6
    assert least_length(sizes, width, gap, turning=True) <= least_length(
        sizes, width, gap, turning=False
    )
