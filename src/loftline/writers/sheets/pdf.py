"""Sheets as a PDF file, by reportlab; only :mod:`.face` and :mod:`.tags` know it besides."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.pdfgen.textobject import PDFTextObject

from loftline import __version__
from loftline.geometry import rings
from loftline.values import Floats, Ints, Point
from loftline.writers.sheets.face import Letters, first_font, glyphs, piece_width
from loftline.writers.sheets.ink import POINT, Book, Curves, Ink, Mark, Shape, Words
from loftline.writers.sheets.tags import Tags, stretches

PER_MM = 1 / POINT
DECIMALS = 4
"""Of a printer's point: rounding moves nothing by more than 0.00002 mm."""


def write_pdf(book: Book) -> bytes:
    """The bytes of a PDF file; the same sheets give the same bytes.

    Asks viewers to print at actual size, names title and language, and lists the sheets; text
    can be selected, comes in the order of reading, and is tagged for programs that read aloud.
    """
    stream = io.BytesIO()
    font: Any = first_font()  # its stub asks for a number
    canvas = Canvas(stream, invariant=1, pageCompression=1, lang="en", initialFontName=font)
    canvas.setTitle(book.title)
    canvas.setSubject(book.about)
    canvas.setCreator(f"loftline {__version__}")
    canvas.setAuthor("")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("Duplex", "Simplex")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    tags = Tags(canvas)
    for number, sheet in enumerate(book.sheets):
        canvas.setPageSize((sheet.size[0] * PER_MM, sheet.size[1] * PER_MM))
        canvas.bookmarkPage(f"sheet-{number}")
        canvas.addOutlineEntry(sheet.title, f"sheet-{number}", level=0)
        canvas.setLineCap(0)
        canvas.setLineJoin(1)
        pen = _Pen(canvas)
        tags.page(sheet)
        for stretch in stretches(sheet):
            tags.begin(stretch)
            for mark in stretch.marks:
                pen.draw(mark, goes_on=bool(stretch.role) and mark is not stretch.marks[-1])
            tags.end()
        canvas.showPage()
    tags.save()
    canvas.save()
    return stream.getvalue()


class _Pen:
    """Draws marks on one page."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas, self.letters = canvas, Letters()

    def draw(self, mark: Mark, *, goes_on: bool = False) -> None:
        """Draw a mark; after a line that goes on comes a blank, so that words stay apart."""
        match mark:
            case Curves():
                self._curves(mark)
            case Shape():
                self._shape(mark)
            case Words():
                self._words(mark, " " if goes_on else "")

    def _ink(self, ink: Ink) -> None:
        self.canvas.setStrokeColor(HexColor(ink.colour))
        self.canvas.setLineWidth(ink.width * PER_MM)
        self.canvas.setDash([dash * PER_MM for dash in ink.dashes])

    def _curves(self, curves: Curves) -> None:
        self._ink(curves.ink)
        self.canvas.drawPath(_path(curves.points, curves.starts), stroke=1, fill=0)

    def _shape(self, shape: Shape) -> None:
        found = rings(shape.area)
        if not found:
            return
        points = np.concatenate(found)
        starts = np.concatenate([[0], np.cumsum([len(ring) for ring in found])])
        self.canvas.setFillColor(HexColor(shape.fill))
        path = _path(points, starts)
        self.canvas.drawPath(path, stroke=0, fill=1, fillMode=0)

    def _words(self, words: Words, after: str) -> None:
        self.canvas.setFillColor(HexColor(words.colour))
        runs = self.letters.runs(words.text, bold=words.bold)
        text = self._text(words, (0.0, 0.0))
        passed = 0.0
        for font, piece in runs:
            found = glyphs(font, piece)
            if found:
                self.canvas.drawText(text)
                self._glyphs(words, font, piece, passed)
                text = self._text(words, (passed + piece_width(font, piece, words.size), 0.0))
            else:
                text.setFont(font, words.size * PER_MM)
                text.textOut(piece)
            passed += piece_width(font, piece, words.size) if len(runs) > 1 else 0.0
        if after:
            text.textOut(after)
        self.canvas.drawText(text)

    def _text(self, words: Words, by: Point) -> PDFTextObject:
        """Text that begins so far along a line of words, and so far above it, mm."""
        text = self.canvas.beginText()
        x, y = words.at
        along, up = by
        if words.turned:
            text.setTextTransform(0, 1, -1, 0, (x - up) * PER_MM, (y + along) * PER_MM)
        else:
            text.setTextOrigin((x + along) * PER_MM, (y + up) * PER_MM)
        return text

    def _glyphs(self, words: Words, font: str, piece: str, along: float) -> None:
        """A piece glyph by glyph; copied and read aloud as it is written."""
        told = piece.encode("utf-16-be").hex()
        self.canvas.addLiteral(f"/Span <</ActualText <feff{told}>>> BDC")
        for glyph in glyphs(font, piece):
            text = self._text(words, (along + glyph.x * words.size, glyph.y * words.size))
            text.setFont(font, words.size * PER_MM)
            text.textOut(glyph.letter)
            self.canvas.drawText(text)
        self.canvas.addLiteral("EMC")


def _path(points: Floats, starts: Ints) -> PDFPathObject:
    """Packed polylines as one path.

    The operators are written in one go: one call of reportlab for each point takes as long as
    all the rest.
    """
    pen = np.full(len(points), "l")
    pen[starts[:-1]] = "m"
    places = np.round(points * PER_MM, DECIMALS) + 0.0
    code = [
        f"{x:.{DECIMALS}f} {y:.{DECIMALS}f} {sign}"
        for x, y, sign in zip(places[:, 0].tolist(), places[:, 1].tolist(), pen.tolist(),
                              strict=True)
    ]  # fmt: skip
    return PDFPathObject(code)
