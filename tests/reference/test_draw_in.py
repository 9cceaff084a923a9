"""How much a panel shrinks by quilting, against values from outside the project."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from loftline.estimates.draw_in import by_spacing, draw_in, overhang_for
from loftline.values import Band, DrawIn
from support_sewn import project


@pytest.mark.parametrize(("inches", "found"), [(4, (0.0, 0.6)), (2, (1.3, 1.3)), (1.5, (2.5, 2.8))])
def test_a_published_test_piece_lies_within_the_band(
    inches: float, found: tuple[float, float]
) -> None:
    # A test of a 9 x 20 in piece: a grid of 4 in drew in 0 to 0.6 %, of 2 in 1.3 %, of 1.5 in
    # 2.5 to 2.8 %
    band = by_spacing(25.4 * inches)
    assert band.low <= found[0]
    assert found[1] <= band.high


def test_four_published_quilts_lie_within_the_band_of_close_lines() -> None:
    # Draw-in measured on four quilts: 2.2 to 3.6 %
    band = by_spacing(20)
    assert (band.low, band.high) == (2.2, 3.6)


def test_closer_lines_draw_in_more() -> None:
    # The same sources: denser draws more
    bands = [by_spacing(float(spacing)) for spacing in np.linspace(5, 150, 100)]
    for key in ("low", "expected", "high"):
        figures = [getattr(band, key) for band in bands]
        assert all(a >= b for a, b in itertools.pairwise(figures))
    assert all(band.low <= band.expected <= band.high for band in bands)


def test_the_swatch_comes_before_what_is_told_and_that_before_the_spacing() -> None:
    swatch = {"before": [100, 100], "after": [98, 99]}
    measured = draw_in(project(swatch=swatch))
    assert (measured.source, measured.along.expected) == ("swatch", 2.0)
    told = draw_in(project(quilting={"draw_in": 1.5}))
    assert (told.source, told.across.high) == ("told", 1.5)
    assert draw_in(project()).source == "spacing"


def test_overhang_leaves_something_to_trim() -> None:
    # Geometry: of 400 mm, 3 % are 12 mm, 6 mm a side, and 5 mm left
    band = Band(low=1.0, expected=2.0, high=3.0)
    none = Band(low=0.0, expected=0.0, high=0.0)
    assert overhang_for(DrawIn(along=none, across=band, source="told"), 250, 400) == 11
