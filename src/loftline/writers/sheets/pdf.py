"""Sheets as a PDF file: the one place that knows reportlab."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from loftline import __version__
from loftline.geometry import rings
from loftline.values import Floats, Ints
from loftline.writers.sheets.face import Letters, first_font
from loftline.writers.sheets.ink import POINT, Book, Curves, Ink, Mark, Shape, Words

PER_MM = 1 / POINT
DECIMALS = 4
"""Of a printer's point: rounding moves nothing by more than 0.00002 mm."""


def write_pdf(book: Book) -> bytes:
    """The bytes of a PDF file; the same sheets give the same bytes.

    Asks viewers to print at actual size, names title and language, and lists the sheets; text
    can be selected and comes in the order of reading.
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
    for number, sheet in enumerate(book.sheets):
        canvas.setPageSize((sheet.size[0] * PER_MM, sheet.size[1] * PER_MM))
        canvas.bookmarkPage(f"sheet-{number}")
        canvas.addOutlineEntry(sheet.title, f"sheet-{number}", level=0)
        canvas.setLineCap(0)
        canvas.setLineJoin(1)
        pen = _Pen(canvas)
        for mark in sheet.marks:
            pen.draw(mark)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


class _Pen:
    """Draws marks on one page."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas, self.letters = canvas, Letters()

    def draw(self, mark: Mark) -> None:
        match mark:
            case Curves():
                self._curves(mark)
            case Shape():
                self._shape(mark)
            case Words():
                self._words(mark)

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

    def _words(self, words: Words) -> None:
        text = self.canvas.beginText()
        x, y = words.at[0] * PER_MM, words.at[1] * PER_MM
        if words.turned:
            text.setTextTransform(0, 1, -1, 0, x, y)
        else:
            text.setTextOrigin(x, y)
        self.canvas.setFillColor(HexColor(words.colour))
        for font, piece in self.letters.runs(words.text, bold=words.bold):
            text.setFont(font, words.size * PER_MM)
            text.textOut(piece)
        self.canvas.drawText(text)


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
