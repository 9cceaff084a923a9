"""Tables of the trade: names that are found, names that are not."""

from __future__ import annotations

import pytest

from loftline.trade.battings import BATTINGS, UNKNOWN, find_batting
from loftline.trade.fabrics import FABRICS, bears_iron, fabric_thickness, find_fabric, keeps_holes
from loftline.trade.foams import FOAMS, find_foam, loose_thickness, needs_iron
from loftline.trade.needles import choose_needle, size_label
from loftline.trade.threads import thread_diameter
from loftline.trade.words import by_name


def test_every_name_leads_to_its_row() -> None:
    for batting in BATTINGS:
        assert all(find_batting(name.upper()) is batting for name in batting.names)
    for foam in FOAMS:
        assert all(find_foam(f" {name} ") is foam for name in foam.names)
    for fabric in FABRICS:
        assert all(find_fabric(name) is fabric for name in fabric.names)


def test_batting_foam_and_what_is_neither() -> None:
    assert find_batting("thick recycled batting") is UNKNOWN
    assert find_batting("wadding") is UNKNOWN
    assert find_batting("bamboo") is find_batting("bamboo batting")
    assert all(find_batting(name) is None for foam in FOAMS for name in foam.names)
    assert find_foam("moss") is None
    assert loose_thickness("none") == 0
    assert needs_iron("iron-on batting")


def test_cloth_by_table_by_word_and_as_told() -> None:
    assert keeps_holes("waxed canvas")
    assert keeps_holes("navy coated linen")
    assert not keeps_holes("cotton duck")
    assert not keeps_holes("waxed canvas", told=False)
    assert not bears_iron("navy coated linen")
    assert bears_iron("cork")
    assert fabric_thickness("nothing known") == 0.3


def test_two_rows_of_one_name_are_a_fault() -> None:
    with pytest.raises(ValueError, match='two rows are named "foam"'):
        by_name([FOAMS[0], FOAMS[1].__class__(names=("foam",), thickness=1)])


def test_sizes_and_threads_that_are_none() -> None:
    for nm in (50, 62, 115, 120):
        with pytest.raises(ValueError, match=r"60 to 110|from 8 to 18"):
            size_label(nm)
    for tex in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="more than 0"):
            thread_diameter(tex)
    with pytest.raises(ValueError, match="polyester, cotton"):
        thread_diameter(20, "spider")


def test_waxed_cloth_takes_the_heavier_of_the_two_rules() -> None:
    assert choose_needle(20, keeps_holes=True).label == "100/16 to 110/18"
    assert choose_needle(100, keeps_holes=True).label == "110/18"
