"""Full-size sheets for tests: books of plans made by hand, pages as pixels."""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import cache

import numpy as np
import numpy.typing as npt
import pypdfium2
import shapely

from loftline.values import Plan, Point
from loftline.writers.sheets.book import TITLES, make_book
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.ink import TEXT, Book, Curves, Sheet, Words
from support_plans import pouch_plan

DPI = 300
PER_MM = DPI / 25.4

Pixels = npt.NDArray[np.uint8]


@cache
def pouch() -> Plan:
    return pouch_plan()


@cache
def pouch_book(paper: str = "a4") -> Book:
    return make_book(pouch(), Letters(), paper=paper, kinds=tuple(TITLES))


def words_of(sheet: Sheet) -> list[Words]:
    return [mark for mark in sheet.marks if isinstance(mark, Words)]


def curves_of(sheet: Sheet) -> list[Curves]:
    return [mark for mark in sheet.marks if isinstance(mark, Curves)]


def text_faults(sheet: Sheet) -> Iterator[str]:
    """Words that leave the printed frame, are too small, or lie over others."""
    found = words_of(sheet)
    frame = shapely.box(*sheet.frame).buffer(0.05)
    boxes = [shapely.box(*words.box) for words in found]
    for words, box in zip(found, boxes, strict=True):
        if not frame.covers(box):
            yield f"{sheet.title}: {words.text!r} leaves the frame"
        if words.size < TEXT - 1e-9:
            yield f"{sheet.title}: {words.text!r} is too small"
    tree = shapely.STRtree(boxes)
    for one, two in tree.query(boxes, predicate="intersects").T.tolist():
        if one < two and boxes[one].intersection(boxes[two]).area > 1e-6:
            yield f"{sheet.title}: {found[one].text!r} over {found[two].text!r}"


def pixels(pdf: bytes, page: int, dpi: int = DPI) -> Pixels:
    """A page in greys, row 0 at the top."""
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    try:
        bitmap = document[page].render(scale=dpi / 72, grayscale=True)
        seen: Pixels = bitmap.to_numpy().squeeze().copy()
    finally:
        document.close()
    return seen


def to_pixel(at: Point, height: float) -> Point:
    """Column and row (not whole) of a place on a sheet so high."""
    return at[0] * PER_MM - 0.5, (height - at[1]) * PER_MM - 0.5


def centre_of_ink(seen: Pixels, at: Point, height: float, way: Point, reach: float) -> float | None:
    """How far (mm) the middle of a line's ink lies from a place, along a way square to the line.

    Sampled every hundredth of a millimetre; ``None`` where there is no ink.
    """
    away = np.arange(-reach, reach, 0.01)
    columns, rows = to_pixel((0.0, 0.0), height)
    x = np.rint((at[0] + away * way[0]) * PER_MM + columns).astype(int)
    y = np.rint(rows - (at[1] + away * way[1]) * PER_MM).astype(int)
    ink = 255.0 - seen[y, x]
    if ink.max() < 100:
        return None
    return float((ink * away).sum() / ink.sum())
