"""Thread of a seam against values from outside the project."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from loftline.estimates.stitch_types import stitch_threads
from loftline.estimates.thread import (
    ellipse,
    loop_band,
    rectangle,
    seam_ratio,
    split,
    stadium,
    zigzag_ratio,
)
from loftline.trade.threads import DEFAULT_WASTE, USUAL_WASTE, with_waste
from loftline.values import Band, Floats
from support_sewn import project


def test_published_worked_example_of_a_lockstitch() -> None:
    # "How to calculate sewing thread consumption", textilecalculations.com:
    # stitch type 301, thickness 0.01 in, 10 stitches per inch: 2.2 in
    assert seam_ratio(0.01, 10, "301") == pytest.approx(2.2, abs=1e-9)


@pytest.mark.parametrize(
    ("thickness", "expected"),
    [(0.055, 4.88), (0.060, 4.96), (0.065, 5.04), (0.070, 5.12), (0.075, 5.20)],
)
def test_published_table_of_a_chainstitch(thickness: float, expected: float) -> None:
    # "Estimating thread consumption", a thread maker's bulletin (archived 2008):
    # stitch type 401, 8 stitches per inch
    assert seam_ratio(thickness, 8, "401") == pytest.approx(expected, abs=0.005)


def test_balanced_seam_takes_half_of_each_thread() -> None:
    # Stitch-type classification of a thread maker: 301 interlaces 1:1. Worked example of the
    # handbooks: 220 cm seam, ratio 2.5: 550 cm, of which 275 and 275
    both = Band(low=220 * 2.0, expected=220 * 2.5, high=220 * 3.0)
    assert both.expected == 550
    needle, bobbin = split(both, 220)
    assert needle.expected == bobbin.expected == 275


def test_published_waste_on_measured_thread() -> None:
    # "Measuring actual thread consumption", apparelscience.com: 130 + 410 cm, 15 % waste: 621 cm
    assert with_waste(130 + 410, 0.15) == pytest.approx(621, abs=1e-9)


def test_published_seam_with_both_threads_and_waste() -> None:
    # "Estimating thread consumption", apparel-merchandising.com: a seam of 1.17 yd takes 3.00 and
    # 2.67 yd a yard: 6.63 yd, with 15 % waste 7.62 yd
    sewn = 1.17 * (3.00 + 2.67)
    assert sewn == pytest.approx(6.63, abs=0.01)
    assert with_waste(sewn, 0.15) == pytest.approx(7.62, abs=0.01)


def test_shapes_bound_each_other() -> None:
    # Mathematics: each of these convex loops lies inside the next. Shapes as seen in sections of
    # lockstitches: Chauhan and Ghosh, Indian Journal of Fibre and Textile Research
    s = np.geomspace(0.01, 50, 400)[:, None]
    loops = [
        np.hstack([shape(s, t) for t in (0.0, 0.01, 0.5, 3.2, 6.0, 40.0)])
        for shape in (ellipse, stadium, rectangle)
    ]
    slack = 1e-12 * loops[2]
    assert (loops[0] >= 2 * s).all()
    assert (loops[1] >= loops[0] - slack).all()
    assert (loops[2] >= loops[1] - slack).all()


def test_shapes_where_length_is_thickness() -> None:
    # Mathematics: a square of perimeter 4, circles of perimeter pi
    assert float(rectangle(1, 1)) == 4
    assert float(stadium(1, 1)) == pytest.approx(math.pi, abs=1e-4)
    assert float(ellipse(1, 1)) == pytest.approx(math.pi, abs=1e-4)


def test_ellipse_against_a_finely_drawn_one() -> None:
    # Mathematics: perimeter of a polygon of 200 000 sides on the ellipse with axes 3 and 1.2
    turn = np.linspace(0, 2 * math.pi, 200_001)
    drawn = np.hypot(np.diff(1.5 * np.cos(turn)), np.diff(0.6 * np.sin(turn))).sum()
    assert float(ellipse(3, 1.2)) == pytest.approx(float(drawn), abs=1e-6)


def test_stitch_length_drives_consumption_most() -> None:
    # Chauhan and Ghosh, Indian Journal of Fibre and Textile Research: of the variation of thread
    # a stitch 92 % is the stitch length, 1.5 % the cloth's compressibility (order only)
    lengths, squeezed = np.array([2.0, 3.0, 4.0]), np.array([0.9, 1.0, 1.1])
    by_length = np.ptp(stadium(lengths, 1.0))
    by_squeeze = np.ptp([float(stadium(3.0, float(t))) for t in squeezed])
    assert by_length > 10 * by_squeeze


@pytest.mark.parametrize(("stitch_length", "exact", "handbook"), [(2, 5.47, 5.5), (1.5, 7.03, 7.0)])
def test_zigzag(stitch_length: float, exact: float, handbook: float) -> None:
    # Geometry: 2 (sqrt(p^2 + w^2) + T) / p for stitch type 304, w = 4 mm, T = 1 mm; handbooks
    # print the rounded ratios 5.5 and 7.0
    ratio = zigzag_ratio(1, stitch_length, 4)
    assert ratio == pytest.approx(exact, rel=0.005)
    assert ratio == pytest.approx(handbook, rel=0.01)


@pytest.mark.parametrize(("thickness", "expected"), [(2, 3.33), (3.2, 4.13), (5, 5.33)])
def test_flat_ratio_fails_on_foam(thickness: float, expected: float) -> None:
    # Computed from the published formula, stitches of 3 mm; the flat ratio 2.5 of the handbooks
    # holds only where thickness is a quarter of the stitch length
    assert seam_ratio(thickness, 1 / 3) == pytest.approx(expected, abs=0.005)
    assert seam_ratio(3 / 4, 1 / 3) == pytest.approx(2.5, abs=1e-9)


@pytest.mark.parametrize("shape", [ellipse, stadium, rectangle])
def test_thread_of_a_quilted_square_metre(shape: Callable[[float, float], Floats]) -> None:
    # Published thread use of whole quilts, light to heavy: 69 to 315 m of needle thread a square
    # metre. Here channels 10 mm apart, stitches of 2.5 mm, 1.5 mm thick
    both = float(shape(2.5, 1.5)) * 100_000 / 2.5
    assert 69 <= both / 2 / 1000 <= 315


@pytest.mark.parametrize(("metres", "stitches"), [(20.12, 4000), (228.6, 44_000), (777.2, 156_000)])
def test_needle_thread_of_embroidery(metres: float, stitches: int) -> None:
    # Three spool labels (22 yd for 4000 stitches, 250 yd for 44 000, 850 yd for 156 000) and the
    # trade's rule of 5 m a thousand stitches of 4 to 5 mm. The cloth, two layers and backing
    # of 1 mm, is from memory
    band = loop_band(np.full(stitches, 4.5), Band(low=0.6, expected=1.0, high=1.0))
    needle, _ = split(band, 4.5 * stitches)
    assert needle.low / 1000 <= metres <= needle.high / 1000
    assert needle.expected / 1000 == pytest.approx(metres, rel=0.03)


def test_waste_allowance() -> None:
    # Three bulletins of the trade: 10 to 20 %
    assert USUAL_WASTE == (0.10, 0.20)
    assert USUAL_WASTE[0] <= DEFAULT_WASTE <= USUAL_WASTE[1]
    assert project().thread.waste == DEFAULT_WASTE == 0.15


def _one(thickness: float) -> Band:
    return Band(low=thickness, expected=thickness, high=thickness)


@pytest.mark.parametrize(
    ("thickness", "expected"),
    [(0.055, 4.88), (0.060, 4.96), (0.065, 5.04), (0.070, 5.12), (0.075, 5.20)],
)
def test_needle_and_looper_of_a_chainstitch_make_up_the_published_table(
    thickness: float, expected: float
) -> None:
    # "Estimating thread consumption", a thread maker's bulletin (archived 2008): type 401,
    # 8 stitches per inch, both threads per inch of seam
    needle, looper = stitch_threads("401", 25.4 / 8, _one(thickness * 25.4))
    assert (needle.high + looper.high) / 25.4 * 8 == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(("stitch_length", "exact"), [(2.0, 5.47), (1.5, 7.03)])
def test_needle_and_bobbin_of_a_zigzag_make_up_its_ratio(
    stitch_length: float, exact: float
) -> None:
    # Geometry, as for zigzag_ratio
    needle, bobbin = stitch_threads("304", stitch_length, _one(1), width=4)
    assert needle.high == bobbin.high
    assert (needle.high + bobbin.high) / stitch_length == pytest.approx(exact, rel=0.005)


@pytest.mark.parametrize(("thickness", "width", "stitches"), [(0.05, 0.2, 12), (0.1, 0.25, 10)])
def test_published_formula_of_an_overedge_stitch(
    thickness: float, width: float, stitches: int
) -> None:
    # "Calculate amount of sewing thread consumption", textilecalculations.com: type 504 with
    # three threads takes 3 + 4 W S + 4 T S per inch of seam
    needle, loopers = stitch_threads(
        "504", 25.4 / stitches, _one(thickness * 25.4), width=width * 25.4
    )
    found = (needle.high + loopers.high) / 25.4 * stitches
    assert found == pytest.approx(3 + 4 * width * stitches + 4 * thickness * stitches, rel=1e-9)


def test_an_overedge_stitch_comes_near_the_handbooks_ratio() -> None:
    # Handbooks of the trade print 14 for type 504, 2 of needle thread and 12 of both loopers (from
    # memory); here 12 stitches per inch, 5 mm wide, through 1 mm
    needle, loopers = stitch_threads("504", 25.4 / 12, _one(1), width=5)
    ratio = (needle.expected + loopers.expected) / (25.4 / 12)
    assert ratio == pytest.approx(14, rel=0.05)
    assert loopers.expected > 4 * needle.expected


def test_no_thread_of_a_lockstitch_is_ever_shorter_than_the_seam() -> None:
    # Geometry: a thread that runs along the seam is as long as it, whatever the other gives
    for share in (0.0, 0.3, 0.5, 1.0):
        for thickness in (0.0, 0.2, 3.0):
            needle, bobbin = stitch_threads("301", 2.5, _one(thickness), share=share)
            assert min(needle.low, bobbin.low) >= 2.5
            assert needle.low + bobbin.low >= 2.0 * 2.5
