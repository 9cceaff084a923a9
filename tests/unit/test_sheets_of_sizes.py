"""Full-size sheets of a bag in several sizes, and the sheets about all of them."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from loftline.project import parse_project
from loftline.sizes import make_plans
from loftline.values import Batch
from loftline.writers import write_batch, write_files
from loftline.writers.sheets.book import make_book, make_size_book
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.nested import DASHES, size_ink
from support_sheets import curves_of, text_faults, words_of

FACE = Letters()


@cache
def batch() -> Batch:
    return make_plans(
        parse_project(
            {
                "format": 1,
                "name": "Spoke pouch",
                "panel": {"shape": "folded pouch", "width": 200, "body": 120, "flap": 70},
                "hardware": [
                    {
                        "name": "snap",
                        "kind": "magnetic snap",
                        "at": {"from": "flap edge", "distance": 30},
                        "mate": True,
                    }
                ],
                "fills": [{"pattern": "channel", "angle": 45, "spacing": 20}],
                "sheets": {"paper": "letter"},
                "sizes": [
                    {"name": "S", "copies": 4, "width": 170, "body": 105},
                    {"name": "M", "copies": 5},
                    {"name": "L", "copies": 3, "width": 230, "body": 135},
                ],
            }
        ),
        effort="quick",
    )


def test_every_outline_is_there_with_dashes_of_its_own() -> None:
    (sheet, *_) = make_size_book(batch(), FACE, paper="one sheet").sheets
    assert sheet.tile is not None
    for number, size in enumerate(batch().sizes):
        ink = size_ink(number)
        (curve,) = (curve for curve in curves_of(sheet) if curve.ink == ink)
        drawn = shapely.LinearRing(curve.points - np.asarray(sheet.tile.shift))
        assert shapely.hausdorff_distance(drawn, size.plan.panel.outline.exterior) < 1e-6


def test_no_two_sizes_look_alike() -> None:
    assert len(set(DASHES)) == len(DASHES)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sizes_are_named_on_the_tiles(paper: str) -> None:
    tiles = [s for s in make_size_book(batch(), FACE, paper=paper).sheets if s.kind == "sizes"]
    told = {words.text for sheet in tiles for words in words_of(sheet)}
    assert {"S", "M", "L"} <= told


def test_words_about_all_sizes_keep_apart() -> None:
    book = make_size_book(batch(), FACE, paper="a4")
    assert [fault for sheet in book.sheets for fault in text_faults(sheet)] == []


def test_each_students_kit_is_listed() -> None:
    book = make_size_book(batch(), FACE, paper="a4")
    told = [
        words.text for sheet in book.sheets if sheet.kind == "kits" for words in words_of(sheet)
    ]
    for size in batch().sizes:
        assert f"Size {size.name}: {size.bags} bags" in told
        assert f"needle {size.kit.needle}" in told


def test_a_sizes_own_tiles_bear_its_letter() -> None:
    for size in batch().sizes:
        book = make_book(size.plan, FACE, paper="a4", kinds=("panel",))
        for sheet in book.sheets:
            assert f"Spoke pouch {size.name}" in {words.text for words in words_of(sheet)}


def test_pdf_asks_for_the_sheets_about_all_sizes() -> None:
    assert list(write_batch(batch(), ("pdf",))) == ["spoke-pouch-sizes.pdf"]
    assert list(write_files(batch().sizes[0].plan, ("pdf",))) == ["spoke-pouch-s-templates.pdf"]


def test_the_same_sizes_give_the_same_bytes() -> None:
    assert write_batch(batch(), ("pdf",)) == write_batch(batch(), ("pdf",))


def test_the_panel_sheet_tells_which_way_a_fold_goes() -> None:
    size = batch().sizes[1]
    (sheet,) = make_book(size.plan, FACE, paper="one sheet", kinds=("panel",)).sheets
    told = {words.text for words in words_of(sheet)}
    # front and back of a pouch lie back to back, and the flap's outer fabric shows in front
    assert {"lower fold, folds away from you", "upper fold, folds away from you"} <= told
