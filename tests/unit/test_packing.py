from __future__ import annotations

import pytest

from loftline.estimates.packing import Size, Spot, fits, least_length, pack


def test_nothing_takes_no_cloth() -> None:
    assert pack([], 1000, 10, turning=True) == (0.0, ())
    assert least_length([], 1000, 10, turning=True) == 0.0


def test_one_piece_lies_at_the_start() -> None:
    assert pack([Size(300, 200)], 1000, 10, turning=False) == (200.0, (Spot(0.0, 0.0, False),))


def test_a_piece_as_wide_as_the_cloth_needs_no_gap_beside_it() -> None:
    assert pack([Size(1000, 200)], 1000, 10, turning=False).length == 200.0


def test_turning_saves_cloth_where_it_is_allowed() -> None:
    sizes = [Size(300, 900)]
    assert pack(sizes, 1000, 10, turning=False).length == 900.0
    assert pack(sizes, 1000, 10, turning=True) == (300.0, (Spot(0.0, 0.0, True),))


def test_the_gap_is_between_pieces_and_not_at_the_edges() -> None:
    sizes = [Size(495, 100), Size(495, 100)]
    assert pack(sizes, 1000, 10, turning=False).length == 100.0
    assert pack(sizes, 999, 10, turning=False).length == 210.0


def test_inches_lose_nothing_to_rounding() -> None:
    third = Size(14 * 25.4, 25.4 / 64)
    assert pack([third] * 3, 42 * 25.4, 0, turning=False).length == 25.4 / 64


@pytest.mark.parametrize(
    ("size", "turning", "expected"),
    [
        (Size(1000, 2000), False, True),
        (Size(1001, 10), False, False),
        (Size(1001, 10), True, True),
        (Size(1001, 1001), True, False),
    ],
)
def test_what_fits_on_cloth_1000_mm_wide(size: Size, turning: bool, expected: bool) -> None:  # noqa: FBT001
    assert fits(size, 1000, turning=turning) == expected


def test_the_bound_is_the_area_where_pieces_are_many_and_small() -> None:
    # 100 pieces of 90 + 10 by 90 + 10 on a strip of 990 + 10: ten rows, less the last gap
    assert least_length([Size(90, 90)], 990, 10, turning=True, times=100) == 990.0
    assert pack([Size(90, 90)] * 100, 990, 10, turning=True).length == 990.0


def test_the_bound_is_the_largest_piece_where_they_are_few() -> None:
    sizes = [Size(100, 800), Size(50, 50)]
    assert least_length(sizes, 1000, 10, turning=False) == 800.0
    assert least_length(sizes, 1000, 10, turning=True) == 100.0


def test_the_bound_counts_pieces_wider_than_half_the_cloth_one_after_the_other() -> None:
    sizes = [Size(600, 520), Size(510, 700)]
    assert least_length(sizes, 1000, 10, turning=True) == pytest.approx(520 + 510 + 10)
    assert least_length(sizes, 1000, 10, turning=False) == pytest.approx(520 + 700 + 10)
