"""Errors that are printed often, each refused."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.estimates.thread import THREADS_OF_TYPE, loop_band, seam_ratio
from loftline.trade.needles import choose_needle, least_size_for
from loftline.trade.thread_numbers import tex_from_ticket, ticket_from_tex
from loftline.trade.threads import DENSITY, thread_diameter
from loftline.units import stitch_length_from_per_inch
from loftline.values import Band


def test_ticket_is_not_three_times_tex() -> None:
    # Printed: "ticket = 3 x tex". Ticket numbers grow as threads get finer (ISO 1144)
    assert ticket_from_tex(25) == pytest.approx(120)
    assert ticket_from_tex(50) < ticket_from_tex(25)
    assert tex_from_ticket(75) == pytest.approx(40)


def test_lockstitch_never_takes_one_and_a_half_seams() -> None:
    # Printed: "301 takes 1.5 times the seam". Two threads lie along the whole seam
    assert THREADS_OF_TYPE["301"] == 2
    assert seam_ratio(0, 10) == 2
    band = loop_band(np.full(1000, 3.0), Band(low=0, expected=0, high=0))
    assert band.low == band.expected == band.high == 6000


@pytest.mark.parametrize("fibre", DENSITY)
def test_thicker_tex_is_never_a_thinner_thread(fibre: str) -> None:
    # Printed: tables that pair thicker tex with thinner thread
    diameters = [thread_diameter(tex, fibre) for tex in range(5, 300, 5)]
    assert diameters == sorted(set(diameters))
    needles = [choose_needle(tex).greatest for tex in range(5, 300)]
    assert needles == sorted(needles)
    sizes = [least_size_for(diameter) for diameter in diameters]
    assert sizes == sorted(sizes)


def test_stitches_per_inch_are_computed_not_rounded() -> None:
    # Printed: lists with 2.5 mm = 10 and 3 mm = 8 or 9 stitches per inch
    assert stitch_length_from_per_inch(10) == pytest.approx(2.54)
    assert stitch_length_from_per_inch(8) == pytest.approx(3.175)
    assert stitch_length_from_per_inch(9) == pytest.approx(2.8222, abs=1e-4)
