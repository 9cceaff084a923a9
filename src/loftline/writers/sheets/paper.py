"""Paper, what printers reach of it, and what stands on every sheet.

A home printer leaves up to some 6 mm of a sheet's edge white, a few of them more below; with
10 mm on all sides every sheet prints whole (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loftline.units import MM_PER_INCH
from loftline.values import Point
from loftline.writers.sheets.ink import (
    BLACK,
    LEADING,
    POINT,
    SOFT,
    TEXT,
    Box,
    Curves,
    Face,
    Ink,
    Mark,
    Words,
    box_edge,
    straight,
)
from loftline.writers.sheets.lettering import fitted, words, wrapped

PAPERS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"a4": (210.0, 297.0), "letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH)}
)
"""Width and height of an upright sheet."""

MARGIN = 10.0
HEADER = 11.0
SMALL, LARGE = 50.0, 2 * MM_PER_INCH
"""Sides of the two squares to measure."""

MEASURE = (
    "Measure the squares first: 50 mm and 2 in. If the first is under 49.5 or over 50.5 mm, do "
    "not use this sheet: print it again at 100 % (“actual size”)."
)
SQUARE_INK = Ink(width=0.25, colour=SOFT)
BIG = 13 * POINT


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A sheet's parts.

    Attributes:
        size: of the paper.
        frame: what is printed on.
    """

    size: tuple[float, float]

    @property
    def frame(self) -> Box:
        """Within the margins."""
        width, height = self.size
        return (MARGIN, MARGIN, width - MARGIN, height - MARGIN)

    @property
    def wide(self) -> float:
        """Width within the margins."""
        return self.size[0] - 2 * MARGIN


def layouts(paper: str) -> tuple[Layout, Layout]:
    """Upright and on its side."""
    width, height = PAPERS[paper]
    return Layout(size=(width, height)), Layout(size=(height, width))


def head(
    face: Face,
    layout: Layout,
    name: str,
    title: str,
    number: str,
    *,
    keep: float = 0.0,
    side: str = "",
) -> Iterator[Mark]:
    """Name of the bag and of the sheet, its number, a line below them.

    Args:
        face: the letters.
        layout: of the sheet.
        name: of the bag.
        title: what the sheet shows.
        number: which of all sheets it is.
        keep: room kept free at the right end.
        side: which side of the panel is seen, where that is not the usual one.
    """
    left, _, right, top = layout.frame
    base = top - 5.4
    last = words(face, number, (right - keep, base), anchor="end", colour=SOFT)
    room = last.at[0] - left - 5
    told = words(face, fitted(face, title, 0.62 * room, BIG, bold=True), (left, base), size=BIG,
                 bold=True)  # fmt: skip
    yield told
    at = left + told.width + 4
    if side:
        shown = words(face, side, (at, base), bold=True)
        yield shown
        at += shown.width + 4
    bag = fitted(face, name, left + room - at)
    if face.width(bag, TEXT) <= left + room - at:  # else not even one letter has room
        yield words(face, bag, (at, base), colour=SOFT)
    yield last
    line = top - HEADER + 2.6
    yield straight((left, line), (right, line), Ink(width=0.25))


def foot(face: Face, room: float, at: Point) -> list[Words]:
    """How to measure the sheet, in lines upward from a place."""
    text = wrapped(face, MEASURE, room)
    x, y = at
    step = LEADING * TEXT
    return [words(face, line, (x, y + step * (len(text) - 1 - i))) for i, line in enumerate(text)]


def foot_height(face: Face, room: float) -> float:
    """Height of those lines."""
    return LEADING * TEXT * len(wrapped(face, MEASURE, room)) + 1.0


def squares(at: Point, *, whole: bool = True) -> list[Curves | Words]:
    """The two squares from their common lower left corner, as lines or as corners only."""
    x, y = at
    marks: list[Curves | Words] = []
    for side in (SMALL, LARGE):
        box = (x, y, x + side, y + side)
        if whole:
            marks.append(box_edge(box, SQUARE_INK))
            continue
        ink = Ink(width=0.35, colour=BLACK)
        for cx, dx in ((box[0], 1), (box[2], -1)):
            for cy, dy in ((box[1], 1), (box[3], -1)):
                marks.append(straight((cx, cy), (cx + 6 * dx, cy), ink))
                marks.append(straight((cx, cy), (cx, cy + 6 * dy), ink))
    return marks


def square_words(face: Face, at: Point) -> list[Words]:
    """What the squares should measure, within them."""
    x, y = at[0] + SMALL / 2, at[1] + 2.0
    return [
        words(face, "inner 50 mm", (x, y + LEADING * TEXT), anchor="middle"),
        words(face, "outer 2 in", (x, y), anchor="middle"),
    ]
