"""Full-size sheets as they are written: opened by other programs, measured in pixels."""

from __future__ import annotations

import io
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import cast

import numpy as np
import pikepdf
import pypdfium2
import pytest
import shapely
from shapely import Polygon

from loftline.geometry import rectangle
from loftline.values import Floats, KeepOut, Point
from loftline.writers import write_files
from loftline.writers.sheets.book import make_book
from loftline.writers.sheets.drawing import Drawing
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.ink import Book, Curves, Ink, Mark, Sheet, Tile, edge, straight
from loftline.writers.sheets.pdf import write_pdf
from loftline.writers.sheets.tiles import choose_grid, tile_drafts
from support_plans import tiny_plan
from support_sheets import (
    DPI,
    PER_MM,
    Pixels,
    centre_of_ink,
    pixels,
    pouch,
    pouch_book,
    to_pixel,
    words_of,
)

FACE = Letters()


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return write_pdf(pouch_book())


def page(*marks: Mark) -> bytes:
    sheet = Sheet(
        kind="panel", title="test", size=(210.0, 297.0), marks=marks, frame=(0, 0, 210, 297)
    )
    return write_pdf(Book(title="test", about="", sheets=(sheet,)))


@pytest.mark.parametrize("upright", [False, True])
def test_100_mm_are_1181_pixels_at_300_to_the_inch(upright: bool) -> None:  # noqa: FBT001
    start, end = (50.0, 60.0), (50.0, 160.0) if upright else (150.0, 60.0)
    seen = pixels(page(straight(start, end, Ink(width=0.5))), 0, DPI)
    dark = seen < 128
    lines = dark.any(axis=1) if upright else dark.any(axis=0)
    assert abs(int(lines.sum()) - 1181) <= 1  # 100 mm / 25.4 mm * 300


def test_a_line_lies_where_it_is_laid() -> None:
    seen = pixels(page(straight((50.0, 60.0), (150.0, 60.0), Ink(width=0.5))), 0)
    found = centre_of_ink(seen, (100.0, 60.0), 297.0, (0.0, 1.0), 1.0)
    assert found == pytest.approx(0.0, abs=0.05)


def test_the_file_opens_without_complaint(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        assert file.check_pdf_syntax() == []


def test_viewers_are_asked_to_print_at_actual_size(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        assert file.Root.ViewerPreferences.PrintScaling == "/None"


def test_viewers_are_asked_to_print_on_one_side(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        assert file.Root.ViewerPreferences.Duplex == "/Simplex"


def test_title_and_language_are_set(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        assert str(file.Root.Lang) == "en"
        assert str(file.docinfo["/Title"]) == "Spoke pouch: full-size sheets"


def test_the_sheets_are_listed_for_the_viewer(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file, file.open_outline() as outline:
        titles = [str(entry.title) for entry in outline.root]
    assert titles == [sheet.title for sheet in pouch_book().sheets]


def test_pages_are_as_large_as_the_paper(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        for one, sheet in zip(file.pages, pouch_book().sheets, strict=True):
            box = [float(value) * 25.4 / 72 for value in one.mediabox]
            assert box == pytest.approx([0, 0, *sheet.size], abs=0.01)


def test_every_font_is_embedded(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as file:
        fonts = [font for one in file.pages for font in one.Resources.Font.values()]
        assert fonts
        for font in fonts:
            assert "/FontFile2" in font.FontDescriptor


def test_text_can_be_selected_in_the_order_of_reading(pdf: bytes) -> None:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    text = document[0].get_textpage().get_text_range()
    document.close()
    said = [words.text for words in words_of(pouch_book().sheets[0])]
    assert "Spoke pouch" in text
    places = [text.find(line) for line in said if len(line) > 30]
    assert all(place >= 0 for place in places)
    assert places == sorted(places)


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan = tiny_plan()
    assert write_files(plan, ("pdf",)) == write_files(plan, ("pdf",))


def test_the_file_is_named_after_the_bag() -> None:
    assert list(write_files(pouch(), ("pdf",))) == ["spoke-pouch-templates.pdf"]


def test_one_sheet_for_a_plotter_comes_as_svg_too() -> None:
    plan = pouch()
    kinds = ("panel", "quilting", "guide lines", "order")
    spec = plan.project.sheets.model_copy(update={"paper": "one sheet", "include": kinds})
    project = plan.project.model_copy(update={"sheets": spec})
    assert list(write_files(replace(plan, project=project), ("pdf",))) == [
        "spoke-pouch-templates.pdf",
        "spoke-pouch-templates-panel.svg",
        "spoke-pouch-templates-quilting.svg",
        "spoke-pouch-templates-guide-lines.svg",
    ]


ARCH = cast(
    "Polygon", shapely.union(rectangle((165, 150), 330, 300), shapely.Point(165, 300).buffer(165))
)
"""Straight sides, corners and a bend, over several sheets."""


def arch_sheets() -> tuple[Sheet, ...]:
    drawing = Drawing(area=ARCH, shapes=(), curves=(edge(ARCH, Ink(width=0.5)),))
    grid = choose_grid(drawing, FACE, "a4")
    drafts = tile_drafts(drawing, grid, FACE, kind="panel", name="x", title="y")
    return tuple(draft("sheet") for draft in drafts)


def tile_of(sheet: Sheet) -> Tile:
    assert sheet.tile is not None
    return sheet.tile


def cross_centre(seen: Pixels, near: Point, height: float) -> Floats:
    """The middle of a registration cross (column, row), found in the pixels alone."""
    column, row = (round(value) for value in to_pixel(near, height))
    half, wide, end = (round(mm * PER_MM) for mm in (2.9, 1.2, 0.7))
    ink = 255.0 - seen[row - half : row + half + 1, column - half : column + half + 1]
    # the arms reach past the ring: only their outer ends are summed
    ends = np.r_[0:end, 2 * half + 1 - end : 2 * half + 1]
    across = ink[ends][:, half - wide : half + wide + 1].sum(axis=0)
    up = ink[:, ends][half - wide : half + wide + 1].sum(axis=1)
    steps = np.arange(-wide, wide + 1)
    return np.array(
        [column + (across * steps).sum() / across.sum(), row + (up * steps).sum() / up.sum()]
    )


def taped(sheets: Sequence[Sheet], seen: Sequence[Pixels]) -> dict[str, Floats]:
    """How far each sheet's pixels lie from the first one's, by the crosses that both show."""
    found: dict[tuple[float, ...], dict[str, Floats]] = {}
    for sheet, grey in zip(sheets, seen, strict=True):
        tile = tile_of(sheet)
        for at in tile.crosses:
            key = tuple(np.round(np.subtract(at, tile.shift), 3).tolist())
            found.setdefault(key, {})[tile.name] = cross_centre(grey, at, sheet.size[1])
    shifts = {tile_of(sheets[0]).name: np.zeros(2)}
    for _ in sheets:
        for shown in found.values():
            for one, two in itertools.permutations(shown, 2):
                if one in shifts and two not in shifts:
                    both = [s[one] - s[two] for s in found.values() if one in s and two in s]
                    shifts[two] = shifts[one] + np.mean(both, axis=0)
    return shifts


def places_on(shape: Polygon) -> Iterator[tuple[Floats, Floats]]:
    """Places on an edge, each with the way square to it; none at a corner."""
    rim = shape.exterior
    for along in np.arange(1.0, rim.length, 3.0):
        a, at, b = (np.array(rim.interpolate(along + step).coords[0]) for step in (-0.4, 0.0, 0.4))
        length = float(np.hypot(*(b - a)))
        if abs(length - 0.8) < 1e-3:
            yield at, np.array([a[1] - b[1], b[0] - a[0]]) / length


def misses(sheets: Sequence[Sheet], data: bytes) -> list[float]:
    """How far the taped sheets' outline lies from the true one, mm, place by place."""
    seen = [pixels(data, i) for i in range(len(sheets))]
    shifts = taped(sheets, seen)
    assert len(shifts) == len(sheets)
    ground = np.array(to_pixel(tile_of(sheets[0]).shift, sheets[0].size[1]))
    found = []
    for sheet, grey in zip(sheets, seen, strict=True):
        tile = tile_of(sheet)
        x0, y0, x1, y1 = tile.window
        clear = shapely.box(x0 + 11, y0 + 11, x1 - 11, y1 - 11)  # off strips and crosses
        squares = shapely.union_all(
            [shapely.box(x, y, x + 50.8, y + 50.8).exterior for x, y in sheet.squares]
        )
        for at, way in places_on(ARCH):
            column, row = ground + at * (PER_MM, -PER_MM) - shifts[tile.name]
            there = ((column + 0.5) / PER_MM, sheet.size[1] - (row + 0.5) / PER_MM)
            point = shapely.Point(there)
            if not clear.covers(point) or squares.distance(point) < 2:
                continue
            off = centre_of_ink(grey, there, sheet.size[1], (way[0], way[1]), 0.9)
            assert off is not None
            found.append(abs(off))
    return found


def test_tiles_put_together_by_their_crosses_give_the_outline() -> None:
    sheets = arch_sheets()
    found = misses(sheets, write_pdf(Book(title="t", about="", sheets=sheets)))
    assert len(found) > 250
    assert max(found) <= 0.2


def test_the_look_at_the_tiles_can_fail() -> None:
    first, second, *rest = arch_sheets()
    moved = tuple(
        mark.moved(1.0, (0.4, 0.0)) if isinstance(mark, Curves) and mark.ink.width == 0.5 else mark
        for mark in second.marks
    )
    sheets = (first, replace(second, marks=moved), *rest)
    found = misses(sheets, write_pdf(Book(title="t", about="", sheets=sheets)))
    assert max(found) > 0.3


TURNS = np.arange(0.12, 2 * np.pi, 0.2)


def offsets(grey: Pixels, sheet: Sheet, middle: Floats, radius: float) -> list[float | None]:
    """How far a circle's ink lies from where it should be, all round."""
    found = []
    for turn in TURNS:
        way = np.array([np.cos(turn), np.sin(turn)])
        found.append(dark_middle(grey, middle + radius * way, sheet, way))
    return found


def dark_middle(grey: Pixels, at: Floats, sheet: Sheet, way: Floats) -> float | None:
    """As :func:`centre_of_ink`."""
    return centre_of_ink(grey, (at[0], at[1]), sheet.size[1], (way[0], way[1]), 0.8)


@pytest.fixture(scope="module")
def on_paper() -> list[tuple[KeepOut, Sheet, Pixels, Floats]]:
    """Each piece of hardware with a sheet that shows it whole, and its middle there."""
    book = make_book(pouch(), FACE, paper="a4", kinds=("panel",))
    data = write_pdf(book)
    greys = [pixels(data, i) for i in range(len(book.sheets))]
    # without the tint of hard edges
    seen = [np.where(grey < 150, grey, 255).astype(np.uint8) for grey in greys]
    found = []
    for zone in pouch().panel.keep_outs:
        middle = np.array(zone.outline.centroid.coords[0])
        for sheet, grey in zip(book.sheets, seen, strict=True):
            x0, y0, x1, y1 = tile_of(sheet).window
            at = middle + tile_of(sheet).shift
            inner = shapely.box(x0 + 20, y0 + 20, x1 - 20, y1 - 20)
            if zone.hardware and inner.covers(shapely.Point(at)):
                found.append((zone, sheet, grey, at))
    assert {zone.name for zone, *_ in found} == {
        zone.name for zone in pouch().panel.keep_outs if zone.hardware
    }
    return found


OnPaper = list[tuple[KeepOut, Sheet, Pixels, Floats]]


def test_hard_edges_are_where_the_plan_says(on_paper: OnPaper) -> None:
    for zone, sheet, grey, at in on_paper:
        radius = np.sqrt(zone.outline.area / np.pi)
        for off in offsets(grey, sheet, at, radius):
            assert off == pytest.approx(0.0, abs=0.15)


def test_clearances_are_where_the_plan_says(on_paper: OnPaper) -> None:
    for zone, sheet, grey, at in on_paper:
        radius = np.sqrt(zone.outline.area / np.pi) + zone.reach
        shown = [off for off in offsets(grey, sheet, at, radius) if off is not None]
        assert len(shown) > len(TURNS) / 2  # it is dashed
        assert max(map(abs, shown)) < 0.15


def test_centre_crosses_are_where_the_plan_says(on_paper: OnPaper) -> None:
    for _, sheet, grey, at in on_paper:
        for way in (np.array([1.0, 0.0]), np.array([0.0, 1.0])):
            off = dark_middle(grey, at + 4.0 * way, sheet, way[::-1])
            assert off == pytest.approx(0.0, abs=0.1)


def test_the_look_at_rings_can_fail(on_paper: OnPaper) -> None:
    zone, sheet, grey, at = on_paper[0]
    radius = np.sqrt(zone.outline.area / np.pi)
    found = offsets(grey, sheet, at + np.array([0.3, 0.0]), radius)
    assert any(off is None or abs(off) > 0.15 for off in found)
