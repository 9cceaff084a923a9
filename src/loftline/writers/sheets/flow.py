"""Sheets of text, tables and small pictures, filled from the top down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TypeAlias

from loftline.writers.sheets import paper as page
from loftline.writers.sheets.ink import (
    LEADING,
    RISE,
    SOFT,
    TEXT,
    Box,
    Face,
    Ink,
    Mark,
    Sheet,
    box_edge,
    straight,
)
from loftline.writers.sheets.lettering import fitted, words, wrapped
from loftline.writers.sheets.paper import LARGE, Layout, foot, square_words, squares

Draft: TypeAlias = Callable[[str], Sheet]
"""A sheet that still wants its number."""

STEP = LEADING * TEXT
GAP = 2.4
BAND = LARGE + 3.0
RULE = Ink(width=0.25, colour=SOFT)
HEAD_SIZE = 1.25 * TEXT


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Attributes:
        share: of the table's width.
        right: whether figures end at its right side.
    """

    title: str
    share: float
    right: bool = False


@dataclass(slots=True)
class Flow:
    """Fills sheets of one kind; each thing goes below the one before it.

    Attributes:
        side: which side of the panel is seen, told in the head where it is not the usual one.
        pages: marks of the sheets begun so far.
        y: where the next thing begins.
    """

    face: Face
    layout: Layout
    kind: str
    name: str
    title: str
    side: str = ""
    pages: list[list[Mark]] = field(default_factory=list)
    y: float = 0.0

    @property
    def left(self) -> float:
        """Where lines begin."""
        return self.layout.frame[0]

    @property
    def wide(self) -> float:
        """How long they are."""
        return self.layout.wide

    @property
    def low(self) -> float:
        """Where things must end: the squares lie below."""
        return self.layout.frame[1] + BAND

    @property
    def top(self) -> float:
        """Where the first thing begins."""
        return self.layout.frame[3] - page.HEADER

    def need(self, height: float) -> None:
        """Go on to a new sheet where there is no room for a thing so high."""
        if not self.pages or (self.y - height < self.low and self.y < self.top - 1e-6):
            self.pages.append([])
            self.y = self.top

    def add(self, *marks: Mark) -> None:
        """Draw on the sheet at hand."""
        self.pages[-1].extend(marks)

    def space(self, height: float = GAP) -> None:
        """Leave some room, but none at the top of a sheet."""
        if self.pages and self.y < self.top - 1e-6:
            self.y -= height

    def heading(self, text: str, follows: float = 3 * STEP) -> None:
        """A line in large letters, on one sheet with what follows it."""
        self.space()
        self.need(HEAD_SIZE * LEADING + 1.0 + follows)
        base = self.y - RISE * HEAD_SIZE
        told = fitted(self.face, text, self.wide, HEAD_SIZE, bold=True)
        self.add(words(self.face, told, (self.left, base), size=HEAD_SIZE, bold=True))
        self.y -= LEADING * HEAD_SIZE + 0.8

    def paragraph(self, text: str, *, indent: float = 0.0, bold: bool = False,
                  lead: str = "") -> None:  # fmt: skip
        """Lines of text; ``lead`` stands before the first of them, in the indent."""
        for i, line in enumerate(wrapped(self.face, text, self.wide - indent, bold=bold)):
            self.need(STEP)
            base = self.y - RISE * TEXT
            if lead and i == 0:
                self.add(words(self.face, lead, (self.left, base), bold=True))
            self.add(words(self.face, line, (self.left + indent, base), bold=bold))
            self.y -= STEP

    def boxed(self, title: str, sentences: Sequence[str]) -> None:
        """Sentences in a frame, which is never broken over two sheets."""
        inner = self.wide - 6
        texts = [wrapped(self.face, sentence, inner - 4) for sentence in sentences]
        height = HEAD_SIZE * LEADING + STEP * sum(map(len, texts)) + 1.2 * len(texts) + 5
        self.space()
        self.need(height)
        top = self.y
        x, y = self.left + 3, top - 2.6 - RISE * HEAD_SIZE
        self.add(words(self.face, title, (x, y), size=HEAD_SIZE, bold=True))
        y = top - 2.6 - LEADING * HEAD_SIZE - RISE * TEXT - 0.6
        for text in texts:
            self.add(words(self.face, "•", (x, y)))
            for line in text:
                self.add(words(self.face, line, (x + 4, y)))
                y -= STEP
            y -= 1.2
        self.add(box_edge((self.left, top - height, self.left + self.wide, top), Ink(width=0.7)))
        self.y = top - height - GAP

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        draw: Callable[[int, Box], Sequence[Mark]] | None = None,
    ) -> None:
        """A table whose head comes again on every sheet.

        Args:
            columns: titles and shares.
            rows: a text for each column; long ones are set in several lines.
            draw: draws something into the first column of a row; the row's number, its room.
        """
        total = sum(column.share for column in columns)
        widths = [self.wide * column.share / total for column in columns]
        lefts = [self.left + sum(widths[:i]) for i in range(len(widths))]
        self.need(3 * STEP + 2)
        self._table_head(columns, lefts, widths)
        for number, row in enumerate(rows):
            cells = [
                wrapped(self.face, text, wide - 3) or [""]
                for text, wide in zip(row, widths, strict=True)
            ]
            height = STEP * max(map(len, cells)) + 1.0
            if self.y - height < self.low:
                self.need(height)
                self._table_head(columns, lefts, widths)
            for column, left, wide, lines in zip(columns, lefts, widths, cells, strict=True):
                self._cell(column, left, wide, lines)
            if draw is not None:
                room = (lefts[0], self.y - height, lefts[0] + widths[0] - 3, self.y)
                self.add(*draw(number, room))
            self.y -= height
        self.space(1.0)

    def _cell(self, column: Column, left: float, wide: float, lines: Sequence[str]) -> None:
        for i, line in enumerate(lines):
            base = self.y - RISE * TEXT - 0.4 - STEP * i
            if column.right:
                self.add(words(self.face, line, (left + wide - 3, base), anchor="end"))
            else:
                self.add(words(self.face, line, (left, base)))

    def _table_head(
        self, columns: Sequence[Column], lefts: Sequence[float], widths: Sequence[float]
    ) -> None:
        texts = [
            wrapped(self.face, column.title, wide - 3) or [""]
            for column, wide in zip(columns, widths, strict=True)
        ]
        deep = max(map(len, texts))
        for column, left, wide, lines in zip(columns, lefts, widths, texts, strict=True):
            for i, line in enumerate(lines):
                base = self.y - RISE * TEXT - STEP * (deep - len(lines) + i)
                at = (left + wide - 3, base) if column.right else (left, base)
                anchor = "end" if column.right else "start"
                self.add(words(self.face, line, at, anchor=anchor, colour=SOFT))
        self.y -= STEP * deep + 0.6
        self.add(straight((self.left, self.y), (self.left + self.wide, self.y), RULE))
        self.y -= 0.8

    def drafts(self) -> list[Draft]:
        """The sheets filled."""
        return [partial(self._sheet, i) for i in range(len(self.pages))]

    def _sheet(self, i: int, number: str) -> Sheet:
        title = self.title if len(self.pages) == 1 else f"{self.title}, {i + 1}"
        frame = self.layout.frame
        at = (frame[2] - LARGE - 0.2, frame[1] + 0.2)
        marks = [
            *page.head(self.face, self.layout, self.name, title, number, side=self.side),
            *self.pages[i],
            *squares(at),
            *square_words(self.face, at),
            *foot(self.face, self.wide - LARGE - 8, (frame[0], frame[1] + 0.9)),
        ]
        return Sheet(
            kind=self.kind,
            title=title,
            size=self.layout.size,
            marks=tuple(marks),
            frame=frame,
            squares=(at, at),
        )
