"""The table of hardware kinds."""

from __future__ import annotations

import pytest

from loftline.trade.hardware import KINDS, HardwareKind, look_up


@pytest.mark.parametrize("row", KINDS, ids=lambda row: row.name)
def test_every_row_is_whole(row: HardwareKind) -> None:
    assert (row.diameter is None) == (row.width is not None) == (row.height is not None)
    assert 0 < row.tall <= 20
    assert row.source
    assert look_up(row.name) is row
    assert row.magnetic == ("magnet" in row.name)


def test_names_differ() -> None:
    assert len({row.name for row in KINDS}) == len(KINDS)


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("Magnetic  Snap", "magnetic snap"),
        ("sew in magnets", "sew-in magnet"),
        ("d ring", "D-ring"),
        ("Eyelets", "eyelet"),
        ("turn lock", "twist lock"),
        ("zipper end", "zip end"),
    ],
)
def test_other_spellings(word: str, name: str) -> None:
    row = look_up(word)
    assert row is not None
    assert row.name == name


@pytest.mark.parametrize("word", ["", "s", "cowbell", "magnetic snapp"])
def test_unknown_kinds(word: str) -> None:
    assert look_up(word) is None


@pytest.mark.parametrize(
    ("kind", "fitted"),
    [
        ("sew-in magnet", "before quilting"),
        ("magnetic snap", "after quilting"),
        ("eyelet", "after lining"),
        ("rivet", "after lining"),
        ("turn lock", "after lining"),
    ],
)
def test_when_it_is_fitted(kind: str, fitted: str) -> None:
    # Bag patterns: sew-in magnets go in before quilting, snaps before the lining is
    # joined, eyelets, rivets and turn locks last, through all layers
    row = look_up(kind)
    assert row is not None
    assert row.fitted == fitted


def test_snaps_are_numbered_by_diameter() -> None:
    # Shops' lists: 14 and 18 mm common, 10 to 19 sold; 4 mm high, slim 2 mm
    snaps = [row for row in KINDS if row.name.endswith("magnetic snap")]
    assert {row.diameter for row in snaps} == {14.0, 18.0}
    assert {row.tall for row in snaps} == {4.0, 2.0}


def test_only_sew_in_magnets_are_hidden() -> None:
    # A snap's stud and socket must touch, so they stand out; sew-in magnets act through cloth
    assert [row.name for row in KINDS if row.sits == "inside"] == ["sew-in magnet"]
