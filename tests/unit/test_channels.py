"""Waves, pairs, uneven spacing and even ends against closed forms."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from scipy.special import ellipe

from loftline.errors import does_nothing
from loftline.fills.fill_lines import FillLines
from loftline.fills.patterns import PATTERNS
from loftline.geometry import circle, only_polygons
from loftline.project import FillSpec
from loftline.values import Area, Field, Floats

WIDE, HIGH = 104.0, 60.0
BOX = shapely.box(0, 0, WIDE, HIGH)


def lines_of(region: Area = BOX, *, seed: int = 0, **keys: Any) -> FillLines:  # noqa: ANN401 - keys
    x0, y0, x1, y1 = region.bounds
    field = Field(
        index=0,
        part="all",
        region=region,
        outline=region,
        centre=((x0 + x1) / 2, (y0 + y1) / 2),
    )
    spec = FillSpec.model_validate({"pattern": "channel", "angle": 90} | keys)
    return PATTERNS["channel"](field, spec, seed, "full", does_nothing)


def places(lines: FillLines) -> Floats:
    """Where upright lines stand."""
    return np.sort([curve[0, 0] for curve in lines.curves])


def total(lines: FillLines) -> float:
    return float(sum(np.hypot(*np.diff(curve, axis=0).T).sum() for curve in lines.curves))


def wave_length_of(height: float, long: float) -> float:
    """Length of one whole sine wave: a complete elliptic integral of the second kind.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 17.3.3.
    """
    slope = math.pi * height / long
    return 2 / math.pi * long * math.sqrt(1 + slope**2) * ellipe(slope**2 / (1 + slope**2))


@pytest.mark.parametrize(("height", "long"), [(6, 26), (10, 52), (18, 26)])
def test_a_wave_is_as_long_as_its_elliptic_integral(height: float, long: float) -> None:
    # 104 mm wide: a whole number of waves, whatever the phase; lines at 10 + 20 k stay inside
    lines = lines_of(angle=0, spacing=20, wave_height=height, wave_length=long)
    waves = WIDE / long
    assert len(lines.curves) == 3
    expected = 3 * waves * wave_length_of(height, long)
    assert total(lines) == pytest.approx(expected, rel=2e-3)
    assert total(lines) <= expected


def test_a_wave_goes_from_trough_to_crest_by_its_height() -> None:
    lines = lines_of(angle=0, spacing=20, wave_height=9, wave_length=26)
    assert [np.ptp(curve[:, 1]) for curve in lines.curves] == pytest.approx([9] * 3, abs=1e-9)


def test_a_crest_lies_abreast_of_the_middle() -> None:
    lines = lines_of(angle=0, spacing=20, wave_height=9, wave_length=26)
    middle = lines.curves[1]
    assert middle[np.abs(middle[:, 0] - WIDE / 2).argmin()] == pytest.approx([52, 34.5])


@pytest.mark.parametrize("angle", [0, 37, 90, 141])
def test_waves_keep_apart_by_their_slope(angle: float) -> None:
    # distance of a point from a graph of bounded slope, see wave_family
    lines = lines_of(angle=angle, spacing=8, wave_height=7, wave_length=20)
    strokes = shapely.linestrings
    apart = [
        shapely.distance(strokes(a), strokes(b))
        for i, a in enumerate(lines.curves)
        for b in lines.curves[:i]
    ]
    assert len(apart) > 10
    assert min(d for d in apart if d > 0) >= 8 / math.sqrt(1 + (math.pi * 7 / 20) ** 2) - 0.02


def test_a_wave_is_clipped_as_exactly_as_a_straight_line() -> None:
    region = only_polygons(shapely.difference(BOX, circle((50, 30), 24)))
    lines = lines_of(region, angle=0, spacing=7, wave_height=4, wave_length=30)
    ends = np.concatenate([curve[[0, -1]] for curve in lines.curves])
    off = shapely.distance(shapely.points(ends), region.boundary)
    assert off.max() < 1e-9


def test_a_wave_of_no_height_worth_speaking_of_has_the_chords_of_a_circle() -> None:
    # closed form: chords 2 sqrt(r^2 - (k s)^2)
    lines = lines_of(circle((0, 0), 200), angle=33, spacing=15, wave_height=1e-4, wave_length=50)
    chords = [2 * math.sqrt(100**2 - (15 * k) ** 2) for k in range(-6, 7)]
    assert total(lines) == pytest.approx(sum(chords), rel=1e-3)


def test_straight_channels_on_a_circle_have_the_sum_of_its_chords() -> None:
    offsets = [10 * k + side * 2 for k in range(-10, 11) for side in (-1, 1)]
    lines = lines_of(circle((0, 0), 200), angle=20, spacing=10, paired=4)
    chords = [2 * math.sqrt(100**2 - v**2) for v in offsets if abs(v) < 100]
    assert total(lines) == pytest.approx(sum(chords), rel=1e-3)


def test_pairs_lie_about_the_line_they_stand_for() -> None:
    lines = lines_of(spacing=20, paired=4)
    middles = 52 + 20 * np.arange(-2, 3)
    assert places(lines) == pytest.approx(np.sort(np.concatenate([middles - 2, middles + 2])))


def test_a_pair_beside_an_edge_is_left_out_as_one() -> None:
    # pairs at 52 +- 25 k +- 3: the outer line at 105 is outside, that at 99 stands alone;
    # at 24 the outer line stands 1 mm from the edge, under a quarter of the spacing
    assert len(lines_of(spacing=24, paired=6).curves) == 2 * 3
    # with room enough both stay
    assert len(lines_of(spacing=20, paired=6).curves) == 2 * 5


def test_uneven_lines_keep_from_two_fifths_to_eight_fifths_of_the_spacing() -> None:
    gaps = np.diff(places(lines_of(shapely.box(0, 0, 3000, 10), spacing=1, uneven=1)))
    assert gaps.min() >= 0.4 - 1e-9
    assert gaps.max() <= 1.6 + 1e-9
    # uniform between the two: mean s, standard deviation 0.6 s / sqrt 3
    assert gaps.mean() == pytest.approx(1, rel=0.03)
    assert gaps.std() == pytest.approx(0.6 / math.sqrt(3), rel=0.06)


def test_half_as_uneven_is_half_as_far_from_even() -> None:
    whole = np.diff(places(lines_of(spacing=6, uneven=1)))
    half = np.diff(places(lines_of(spacing=6, uneven=0.5)))
    middle = min(len(whole), len(half)) // 3
    assert half[:middle].std() < whole.std()


def test_another_seed_spaces_uneven_lines_otherwise() -> None:
    first, second = (places(lines_of(spacing=6, uneven=1, seed=seed)) for seed in (1, 2))
    assert not np.isin(first.round(6), second.round(6)).all()
    again = places(lines_of(spacing=6, uneven=1, seed=1))
    assert np.array_equal(first, again)


def test_a_wider_part_only_adds_uneven_lines() -> None:
    narrow = places(lines_of(shapely.box(-50, 0, 50, 60), spacing=6, uneven=1))
    wide = places(lines_of(shapely.box(-90, 0, 90, 60), spacing=6, uneven=1))
    # but for the outermost, which may have been left out beside an edge
    assert np.isin(narrow.round(6), wide.round(6)).all()
    assert len(wide) > len(narrow)


def test_uneven_pairs_are_as_wide_as_even_ones() -> None:
    x = places(lines_of(spacing=12, uneven=1, paired=3))
    assert x[1::2] - x[0::2] == pytest.approx([3] * (len(x) // 2))


@pytest.mark.parametrize(
    ("spacing", "fits"), [(12.5, WIDE / 8), (13.4, 13.0), (12.4, WIDE / 8), (15.0, WIDE / 7)]
)
def test_even_ends_leave_a_whole_or_half_spacing_at_both_sides(spacing: float, fits: float) -> None:
    lines = lines_of(spacing=spacing, even_ends=True)
    x = places(lines)
    assert np.diff(x) == pytest.approx([fits] * (len(x) - 1))
    left, right = x[0], WIDE - x[-1]
    assert left == pytest.approx(right)
    assert 2 * left / fits == pytest.approx(round(2 * left / fits))
    assert lines.findings == ()


def test_even_ends_change_no_spacing_by_more_than_a_twentieth() -> None:
    # 104 / 30 is 3.47: 34.7 or 26 would be needed
    lines = lines_of(spacing=30, even_ends=True)
    x = places(lines)
    assert np.diff(x) == pytest.approx([30] * (len(x) - 1))
    assert x[0] == pytest.approx(WIDE - x[-1])
    assert [finding.code for finding in lines.findings] == ["ends-not-even"]
    assert lines.findings[0].remedy == "a spacing of 34.667 mm ends evenly"


def test_even_ends_lie_in_the_middle_of_a_part_that_is_not_alike_on_both_sides() -> None:
    wedge = shapely.Polygon([(0, 0), (60, 0), (60, 60), (-40, 60)])
    lines = lines_of(wedge, angle=45, spacing=7, even_ends=True)
    across = np.array([-1, 1]) / math.sqrt(2)
    far = shapely.get_coordinates(wedge) @ across
    at = np.array([curve[0] @ across for curve in lines.curves])
    # the outermost lines may be too short to sew at a sharp corner
    fits = np.ptp(far) / round(np.ptp(far) / 7)
    steps = 2 * (at - far.min()) / fits
    assert steps == pytest.approx(steps.round())


@pytest.mark.parametrize("angle", [0, 25, 90])
@pytest.mark.parametrize("more", [{}, {"uneven": 1}, {"wave_height": 6, "wave_length": 31}])
def test_a_line_passes_where_it_is_to_start(angle: float, more: dict[str, Any]) -> None:
    lines = lines_of(angle=angle, spacing=11, start_at=[31, 17], **more)
    curves = np.array([shapely.linestrings(curve) for curve in lines.curves], dtype=object)
    assert shapely.distance(curves, shapely.Point(31, 17)).min() < 1e-9


def test_the_middle_of_a_pair_passes_where_it_is_to_start() -> None:
    x = places(lines_of(spacing=20, paired=4, start_at=[30, 0]))
    assert {28.0, 32.0} <= set(x.round(9).tolist())
