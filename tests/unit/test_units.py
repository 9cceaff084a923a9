"""Lengths, angles and stitch lengths as makers write them."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from loftline import units
from loftline.units import (
    Unit,
    format_length,
    parse_angle,
    parse_length,
    read_finite,
    safe,
    show,
    stitch_length_from_per_inch,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38 mm", 38.0),
        ("38mm", 38.0),
        (" 38  MM ", 38.0),
        ("3.8 cm", 38.0),
        (".5 m", 500.0),
        ("2 metres", 2000.0),
        ("3 centimeters", 30.0),
        ("1.5 in", 38.1),
        ("1.5 in.", 38.1),
        ("1.5 inches", 38.1),
        ("1 inch", 25.4),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ('1-1/2"', 38.1),
        ("1 \N{EN DASH} 1/2 in", 38.1),
        ("1\N{VULGAR FRACTION ONE HALF} in", 38.1),
        ("1 \N{VULGAR FRACTION ONE HALF}\N{NO-BREAK SPACE}in", 38.1),
        ("21\N{VULGAR FRACTION ONE HALF}\N{DOUBLE PRIME}", 546.1),
        ("21\N{VULGAR FRACTION ONE HALF}\N{RIGHT DOUBLE QUOTATION MARK}", 546.1),
        ("\N{VULGAR FRACTION THREE QUARTERS} in", 19.05),
        ("\N{VULGAR FRACTION ONE EIGHTH}\N{LEFT DOUBLE QUOTATION MARK}", 3.175),
        ("3\N{FRACTION SLASH}8 in", 9.525),
        ('3/8"', 9.525),
        ("3/8''", 9.525),
        ("3 / 8 in", 9.525),
        ("9/8 in", 28.575),
        ("-1/2 in", -12.7),
        ("\N{MINUS SIGN}5 mm", -5.0),
        ("+5 mm", 5.0),
        ("1 yd", 914.4),
        ("0 mm", 0.0),
    ],
)
def test_lengths_in_many_spellings(text: str, mm: float) -> None:
    assert parse_length(text) == mm


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [
        (38, "mm", 38.0),
        (3.8, "cm", 38.0),
        (1.5, "in", 38.1),
        (0.1, "in", 2.54),
        ("3/8", "in", 9.525),
        ("38", "mm", 38.0),
        ("38 mm", "in", 38.0),
        (-3, "cm", -30.0),
    ],
)
def test_what_carries_no_unit_is_in_the_default_unit(value: object, unit: Unit, mm: float) -> None:
    assert parse_length(value, unit) == mm


@pytest.mark.parametrize("inches", [f"{n}/64 in" for n in range(1, 64)])
def test_fractions_of_an_inch_are_rounded_once(inches: str) -> None:
    # An inch is 25.4 mm by definition; n/64 in decimals is exact
    n = int(inches.split("/", maxsplit=1)[0])
    assert parse_length(inches) == parse_length(f"{n / 64} in") == pytest.approx(n * 25.4 / 64)


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("", "empty"),
        ("   ", "empty"),
        ("mm", "should be a length"),
        ("five mm", "should be a length"),
        ("1,5 cm", "write decimals with a point"),
        ("1,000 mm", "write decimals with a point"),
        ("1/0 in", "divided by zero"),
        ("1 1/0 in", "divided by zero"),
        ("1 5/4 in", "less than one"),
        ("1.5 1/2 in", "should be a length"),
        ("5 furlongs", '"furlongs" is no unit'),
        ("2'", "feet are not read"),
        ("2 ft", "feet are not read"),
        ("5 mm mm", "should be a length"),
        ("1e3 mm", "should be a length"),
        ("nan", "should be a length"),
        ("inf mm", "should be a length"),
        ("3\N{SUPERSCRIPT TWO} mm", "should be a length"),
        ("\N{ARABIC-INDIC DIGIT THREE} mm", "should be a length"),
        ("999999999999 m", "too large"),
        ("9" * 70, "too long"),
        ("9" * 40, "should be a length"),
        (math.nan, "finite"),
        (math.inf, "finite"),
        (-math.inf, "finite"),
        (1e300, "too large"),
        pytest.param(10**5000, "beyond all measure", id="huge whole number"),
        (True, "found true"),
        (None, "found nothing"),
        ([1], "a list of 1"),
        ({"a": 1}, "a table"),
        (b"1 mm", "a bytes"),
    ],
)
def test_what_is_no_length_is_refused_in_one_sentence(value: object, says: str) -> None:
    with pytest.raises(ValueError, match="found") as caught:
        parse_length(value)
    message = str(caught.value)
    assert says in message
    assert "\n" not in message
    assert len(message) < 200


@pytest.mark.parametrize(
    ("value", "degrees"),
    [
        (45, 45.0),
        (22.5, 22.5),
        ("45", 45.0),
        ("45 deg", 45.0),
        ("45\N{DEGREE SIGN}", 45.0),
        ("-30 degrees", -30.0),
        ("22 1/2\N{DEGREE SIGN}", 22.5),
    ],
)
def test_angles(value: object, degrees: float) -> None:
    assert parse_angle(value) == degrees


@pytest.mark.parametrize("value", ["45 rad", "", "steep", "45,5", math.nan, True, None, []])
def test_what_is_no_angle_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="found"):
        parse_angle(value)


@pytest.mark.parametrize(("mm", "per_inch"), [(2.5, 10.16), (3.0, 8.47), (4.0, 6.35)])
def test_stitches_per_inch(mm: float, per_inch: float) -> None:
    # An inch is 25.4 mm; the second figure is rounded as printed in sewing manuals
    assert stitch_length_from_per_inch(per_inch) == pytest.approx(mm, abs=0.002)


@pytest.mark.parametrize("stitches", [0, -1, math.nan, math.inf])
def test_stitches_per_inch_must_be_sound(stitches: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        stitch_length_from_per_inch(stitches)


@pytest.mark.parametrize(
    ("mm", "unit", "places", "text"),
    [
        (38.1, "mm", None, "38.1 mm"),
        (38.0, "mm", None, "38 mm"),
        (38.1, "cm", None, "3.81 cm"),
        (38.1, "in", None, "1.5 in"),
        (3.175, "mm", None, "3.2 mm"),
        (3.175, "mm", 3, "3.175 mm"),
        (100.0, "mm", 0, "100 mm"),
        (12345.0, "m", None, "12.35 m"),
        (-0.001, "mm", None, "0 mm"),
    ],
)
def test_lengths_as_they_are_shown(mm: float, unit: Unit, places: int | None, text: str) -> None:
    assert format_length(mm, unit, places) == text


def test_what_is_shown_is_short_and_holds_no_control_signs() -> None:
    assert show("a\x1b[31m") == '"a\\u001b[31m"'
    assert show("\ud800") == '"\\ud800"'
    assert len(show("x" * 10**6)) < 50
    assert len(safe("\x00" * 1000, 60)) == 60
    deep: list[object] = []
    for _ in range(100_000):
        deep = [deep]
    assert show(deep) == "a list of 1"


def test_plain_numbers() -> None:
    assert read_finite(3) == 3.0
    for value in (True, "3", math.nan, None):
        with pytest.raises(ValueError, match="found"):
            read_finite(value)


def test_tolerances_stand_in_a_sound_order() -> None:
    assert units.CHORD_ERROR_MM + units.NEEDLE_GRID_MM / 2 <= units.PLAN_MARGIN_MM
    assert units.LEAST_STITCH_MM > units.NEEDLE_GRID_MM
    assert parse_length("1/8 in") == units.LEAST_HARDWARE_CLEARANCE_MM
    assert parse_length("1/4 in") == units.DEFAULT_CLEARANCE_MM


def test_units_and_errors_load_nothing_heavy() -> None:
    code = (
        "import sys, loftline.units, loftline.errors, loftline.trade.hardware; "
        "print([m for m in ('numpy', 'shapely', 'scipy', 'pydantic') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter
    assert done.stdout.strip() == "[]"
