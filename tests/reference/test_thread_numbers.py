"""Thread numbers against values from outside the project."""

from __future__ import annotations

import math

import pytest

from loftline.trade.thread_numbers import (
    read_weight,
    tex_from_den,
    tex_from_ne,
    tex_from_nm,
    tex_from_ticket,
    tex_from_wt,
    ticket_from_tex,
)


@pytest.mark.parametrize(
    ("number", "plies", "tex", "ticket"),
    [(80, 2, 25.0, 120), (60, 1, 16.67, 180), (60, 2, 33.33, 90), (60, 4, 66.67, 45)],
)
def test_metric_counts(number: float, plies: int, tex: float, ticket: float) -> None:
    # ISO 1144 definitions; the pairs: a thread maker's thread numbering bulletin
    assert tex_from_nm(number, plies) == pytest.approx(tex, abs=0.005)
    assert ticket_from_tex(tex_from_nm(number, plies)) == pytest.approx(ticket)
    assert tex_from_ticket(ticket) == pytest.approx(tex, abs=0.005)
    assert read_weight(f"Nm {number}/{plies}") == pytest.approx(tex, abs=0.005)


def test_definitions() -> None:
    # ISO 1144: tex = grams of 1000 m; denier = grams of 9000 m; Nm = metres a gram
    assert tex_from_den(9) == pytest.approx(1.0)
    assert tex_from_wt(40) == tex_from_nm(40) == 25.0
    # Cotton count: hanks of 840 yd a pound; 1 lb = 453.59237 g, 1 yd = 0.9144 m by definition
    grams, metres = 453.59237, 840 * 0.9144
    assert tex_from_ne(1) == pytest.approx(1000 * grams / metres, abs=0.005)
    assert tex_from_ne(1) == pytest.approx(590.54, abs=0.005)


def test_fifty_weight_has_three_meanings() -> None:
    # Computed from the definitions above: 50 wt may be 20, 23.6 or 35.4 tex
    assert read_weight("50 wt") == pytest.approx(20.0)
    assert read_weight("Ne 50/2") == pytest.approx(23.6, abs=0.05)
    assert read_weight("Ne 50/3") == pytest.approx(35.4, abs=0.05)


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        ("40 wt", 25.0),
        ("40wt", 25.0),
        ("40wt.", 25.0),
        ("WT 40", 25.0),
        ("nm 80/2", 25.0),
        ("80/2 Nm", 25.0),
        ("Nm 40", 25.0),
        ("den 300", 33.333),
        ("300 denier", 33.333),
        ("ticket 120", 25.0),
        ("Tkt. 120", 25.0),
    ],
)
def test_weights_as_written_on_spools(text: str, tex: float) -> None:
    assert read_weight(text) == pytest.approx(tex, abs=0.001)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("50", "say which"),
        ("80/2", "say which"),
        ("tex 40", "tex = 40"),
        ("40 wt/2", "should be such as"),
        ("40/2 wt", "plies"),
        ("40 bananas", "no meaning"),
        ("Nm 80 wt", "one meaning"),
        ("", "should be such as"),
        ("thick", "should be such as"),
        ("0 wt", "more than 0"),
        ("Nm 80/0", "plies"),
        ("den 1", "sewing threads"),
        ("den 100000", "sewing threads"),
        ("-40 wt", "should be such as"),
        ("4" * 100, "should be such as"),
    ],
)
def test_weights_without_sense_are_refused(text: str, says: str) -> None:
    with pytest.raises(ValueError, match="found") as caught:
        read_weight(text)
    assert says in str(caught.value)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_numbers_without_sense_are_refused(value: float) -> None:
    for convert in (tex_from_wt, tex_from_nm, tex_from_ne, tex_from_den, tex_from_ticket):
        with pytest.raises(ValueError, match="more than 0"):
            convert(value)
    with pytest.raises(ValueError, match="more than 0"):
        ticket_from_tex(value)
