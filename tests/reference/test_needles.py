"""Threads, needles and bobbins against values from outside the project."""

from __future__ import annotations

import pytest

from loftline.estimates.advice import advice
from loftline.trade.bobbins import BOBBINS
from loftline.trade.needles import (
    THREAD_SHARE,
    choose_needle,
    least_size_for,
    metric_size,
    stitches_per_needle,
)
from loftline.trade.threads import thread_diameter
from loftline.values import Bobbins
from support_sewn import project


@pytest.mark.parametrize(
    ("number", "nm"),
    [(8, 60), (9, 65), (10, 70), (11, 75), (12, 80), (14, 90), (16, 100), (18, 110)],
)
def test_needle_numbers(number: int, nm: int) -> None:
    # Needle number systems; NM is 100 times the blade's diameter (DIN 5325)
    assert metric_size(number) == nm


@pytest.mark.parametrize("number", [19, 20, 21, 7, 0, -14])
def test_needle_numbers_outside_the_rule(number: int) -> None:
    # The same: from 19 on the numbers are spaced otherwise
    with pytest.raises(ValueError, match="holds from 8 to 18"):
        metric_size(number)


@pytest.mark.parametrize(
    ("wt", "label", "point"),
    [
        (100, "60/8 to 70/10", "microtex"),
        (50, "80/12", "microtex"),
        (40, "90/14", "microtex or topstitch"),
        (30, "90/14", "microtex or topstitch"),
        (28, "90/14", "topstitch"),
        (20, "100/16", "topstitch"),
    ],
)
def test_needle_for_the_thread_on_top(wt: float, label: str, point: str) -> None:
    # Tables of a quilters' guild and of a needle maker
    needle = choose_needle(1000 / wt, foam=False)
    assert (needle.label, needle.fits) == (label, True)
    if wt == 28:
        assert needle.point == point


def test_needle_on_foam() -> None:
    # Common practice: 90 microtex or topstitch, for fine silk a 70/10 topstitch
    for tex in (20, 25, 33):
        assert choose_needle(tex).label == "90/14"
        assert choose_needle(tex).point == "microtex or topstitch"
    assert (choose_needle(10).label, choose_needle(10).point) == ("70/10", "topstitch")


@pytest.mark.parametrize(
    ("tex", "fibre", "expected"),
    [
        (20, "polyester", 0.169),
        (40, "polyester", 0.238),
        (25, "cotton", 0.180),
        (10, "silk", 0.121),
    ],
)
def test_thread_diameter(tex: float, fibre: str, expected: float) -> None:
    # Textile physics, the packing 0.65 from memory: 30 % tolerance
    assert thread_diameter(tex, fibre) == pytest.approx(expected, rel=0.30)


def test_thread_fills_at_most_two_fifths_of_the_needle() -> None:
    # Needle maker: the thread is at most 40 % of the needle's diameter
    assert THREAD_SHARE == 0.40
    assert least_size_for(0.36) == pytest.approx(90)
    for tex in range(1, 130):
        for foam in (True, False):
            needle = choose_needle(tex, foam=foam)
            assert needle.fits
            assert thread_diameter(tex) <= 0.40 * needle.greatest / 100 * 1.000001
    assert not choose_needle(200).fits


@pytest.mark.parametrize(("weight", "tex"), [("50 wt", "20"), ("40 wt", "25")])
def test_meaning_of_wt_is_said(weight: str, tex: str) -> None:
    # Labels: "50 wt" may mean 20, 23.6 (cotton count 50/2) or 35.4 tex (50/3); tex is the truth
    thread = {"needle": {"weight": weight}, "bobbin": {"tex": 20}}
    none = Bobbins(metres=79, told=False, changes=(), left=0)
    said = " ".join(advice(project(thread=thread), none, 1))
    assert f'"{weight}" is read as tex {tex} ' in said
    if weight == "50 wt":
        assert "tex 23.6 in two plies or 35.4 in three" in said
    certain = " ".join(advice(project(thread={"needle": {"tex": 20}}), none, 1))
    assert "is read as" not in certain


@pytest.mark.parametrize(
    ("name", "size", "metres"),
    [
        ("class 15", (20.3, 11.7), (119, 99, 79, 66, 50)),
        ("class L", (20.3, 8.9), (85, 71, 57, 47, 36)),
        ("class M", (24.9, 10.7), (176, 147, 117, 98, 73)),
    ],
)
def test_bobbins(name: str, size: tuple[float, float], metres: tuple[int, ...]) -> None:
    # Published outside sizes; metres computed elsewhere with hub and fill from memory: 2 %
    bobbin = next(bobbin for bobbin in BOBBINS if bobbin.name == name)
    assert (bobbin.diameter, bobbin.height) == size
    for tex, expected in zip((16.7, 20, 25, 30, 40), metres, strict=True):
        assert bobbin.metres(tex) == pytest.approx(expected, rel=0.02)


def test_life_of_a_needle() -> None:
    # Needle maker: change after 8 hours of sewing; at 700 stitches a minute 336 000 stitches
    assert stitches_per_needle(700) == 336_000
