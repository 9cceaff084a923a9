"""The order of reading in the file of the sheets, looked at with other libraries.

The structure is that of ISO 32000-1, 14.7 and 14.8: a tree of elements, each with the number of
the marked stretch of its page, and back from page and number to the element.
"""

from __future__ import annotations

import io
from collections.abc import Iterator

import pikepdf
import pytest

from loftline.writers.sheets.ink import Words
from loftline.writers.sheets.pdf import write_pdf
from loftline.writers.sheets.tags import stretches
from support_sheets import pouch_book, words_of

ROLES = {"/Document", "/Sect", "/H1", "/H2", "/P", "/Figure"}


@pytest.fixture(scope="module")
def file() -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(write_pdf(pouch_book()))) as opened:
        yield opened


def elements(of: pikepdf.Object) -> Iterator[pikepdf.Object]:
    yield of
    if isinstance(of.get("/K"), pikepdf.Array):
        for one in of.K:
            yield from elements(one)


def numbers_on(page: pikepdf.Page) -> list[tuple[str, int]]:
    """Role and number of each marked stretch of a page that is read, in the order it is drawn."""
    return [
        (str(one.operands[0]), int(one.operands[1]["/MCID"]))
        for one in pikepdf.parse_content_stream(page)
        if str(one.operator) == "BDC"
    ]


def test_the_file_says_that_it_is_tagged(file: pikepdf.Pdf) -> None:
    assert bool(file.Root.MarkInfo.Marked)


def test_every_element_is_of_a_standard_kind(file: pikepdf.Pdf) -> None:
    found = {str(one.S) for one in elements(file.Root.StructTreeRoot.K)}
    assert found == ROLES


def test_there_is_a_section_for_every_sheet(file: pikepdf.Pdf) -> None:
    titles = [str(one.T) for one in file.Root.StructTreeRoot.K.K]
    assert titles == [sheet.title for sheet in pouch_book().sheets]


def test_every_sheet_has_one_heading_of_the_first_rank(file: pikepdf.Pdf) -> None:
    for section in file.Root.StructTreeRoot.K.K:
        assert [str(one.S) for one in section.K].count("/H1") == 1


def test_elements_come_in_the_order_in_which_the_page_is_drawn(file: pikepdf.Pdf) -> None:
    sections = file.Root.StructTreeRoot.K.K
    for page, section in zip(file.pages, sections, strict=True):
        assert numbers_on(page) == [(str(one.S), int(one.K)) for one in section.K]
        assert all(one.Pg.objgen == page.obj.objgen for one in section.K)


def test_every_marked_stretch_leads_back_to_its_element(file: pikepdf.Pdf) -> None:
    tree = list(file.Root.StructTreeRoot.ParentTree.Nums)
    by_number = {int(key): value for key, value in zip(tree[::2], tree[1::2], strict=True)}
    sections = file.Root.StructTreeRoot.K.K
    for page, section in zip(file.pages, sections, strict=True):
        back = by_number[int(page.obj.StructParents)]
        assert [one.objgen for one in back] == [one.objgen for one in section.K]


def test_what_is_marked_begins_and_ends(file: pikepdf.Pdf) -> None:
    for page in file.pages:
        open_now = 0
        for one in pikepdf.parse_content_stream(page):
            open_now += {"BDC": 1, "BMC": 1, "EMC": -1}.get(str(one.operator), 0)
            assert open_now in {0, 1}
            if str(one.operator) in {"S", "f*", "Tj", "TJ"}:
                assert open_now == 1  # nothing is drawn outside
        assert open_now == 0


def test_a_drawing_has_words_for_it(file: pikepdf.Pdf) -> None:
    figures = [one for one in elements(file.Root.StructTreeRoot.K) if str(one.S) == "/Figure"]
    assert figures
    assert all("drawing" in str(one.Alt) for one in figures)


def test_every_mark_is_in_one_stretch_and_in_its_order() -> None:
    for sheet in pouch_book().sheets:
        found = [mark for stretch in stretches(sheet) for mark in stretch.marks]
        assert all(one is two for one, two in zip(found, sheet.marks, strict=True))


def test_all_words_are_read() -> None:
    for sheet in pouch_book().sheets:
        read = [
            mark
            for stretch in stretches(sheet)
            if stretch.role
            for mark in stretch.marks
            if isinstance(mark, Words)
        ]
        assert read == words_of(sheet)


def test_lines_of_a_paragraph_are_read_together() -> None:
    texts = [
        " ".join(mark.text for mark in stretch.marks if isinstance(mark, Words))
        for stretch in stretches(pouch_book().sheets[0])
    ]
    assert any(text.startswith("Measure the squares first") and text.endswith("”).")
               for text in texts)  # fmt: skip
