"""Oversize before quilting, and how cloth is sold."""

from __future__ import annotations

import pytest

from loftline.trade.cloths import STEP_INCH_MM, buy_words, least_oversize, to_buy


@pytest.mark.parametrize("drawn_in", [0.022, 0.036])
@pytest.mark.parametrize("size", [200.0, 600.0, 1250.0, 2000.0, 4000.0])
def test_the_oversize_outlasts_the_draw_in_that_was_measured(size: float, drawn_in: float) -> None:
    """Draw-in of 2.2 to 3.6 % on four quilts (published measurements of quilted cloth)."""
    cut = size + 2 * least_oversize(size)
    assert cut * (1 - drawn_in) >= size


def test_the_least_oversize_is_25_mm_a_side_or_4_per_cent() -> None:
    """Computed from the same measurements, rounded up; the greater of the two."""
    assert [least_oversize(size) for size in (100.0, 1250.0, 2500.0)] == [25.0, 25.0, 50.0]


def test_an_eighth_of_a_yard() -> None:
    """International yard, 0.9144 m by definition (1959)."""
    assert pytest.approx(914.4 / 8) == STEP_INCH_MM
    assert [buy_words(to_buy(inches * 25.4, STEP_INCH_MM), "in") for inches in (4.5, 36, 36.1)] == [
        "1/8 yd",
        "1 yd",
        "1 1/8 yd",
    ]
