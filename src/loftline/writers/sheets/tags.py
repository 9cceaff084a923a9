"""What stands on a sheet in the order of reading, for programs that read aloud.

A tagged file (ISO 32000-1, 14.8) says of each stretch of a page what it is: a heading, a line
of text, a drawing with words for it, or nothing that needs reading. reportlab draws no tags
of its own, but takes what is written between its strokes and the dictionaries that go with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString, PDFtrue
from reportlab.pdfgen.canvas import Canvas

from loftline.writers.sheets.flow import HEAD_SIZE
from loftline.writers.sheets.ink import Curves, Mark, Sheet, Words
from loftline.writers.sheets.paper import BIG

FEW_POINTS: Final = 150
"""Strokes of fewer points, such as a rule under a heading, are no drawing."""

HEAD_MARKS: Final = 1
"""A sheet begins with its title."""

_SAME_MM: Final = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Marks of a sheet that follow each other and are one thing.

    Attributes:
        role: "H1", "H2", "P", "Figure", or nothing for what need not be read.
        says: words for a drawing.
    """

    marks: Sequence[Mark]
    role: str
    says: str = ""


def stretches(sheet: Sheet) -> Iterator[Stretch]:
    """The marks of a sheet in their order, each in one stretch."""
    place = 0
    for written, group in groupby(sheet.marks, lambda mark: isinstance(mark, Words)):
        marks = list(group)
        if written:
            for lines in _paragraphs([mark for mark in marks if isinstance(mark, Words)]):
                yield Stretch(marks=lines, role=_role(lines[0], place))
                place += len(lines)
            continue
        place += len(marks)
        points = sum(len(mark.points) for mark in marks if isinstance(mark, Curves))
        if points < FEW_POINTS:
            yield Stretch(marks=marks, role="")
        else:
            yield Stretch(marks=marks, role="Figure", says=f"{sheet.title}: drawing")


def _role(first: Words, place: int) -> str:
    if first.bold and place < HEAD_MARKS and abs(first.size - BIG) < _SAME_MM:
        return "H1"
    return "H2" if first.bold and abs(first.size - HEAD_SIZE) < _SAME_MM else "P"


def _paragraphs(lines: Sequence[Words]) -> Iterator[list[Words]]:
    """Lines of one look that stand under each other, together."""
    found: list[Words] = []
    for line in lines:
        if found and not _goes_on(found[-1], line):
            yield found
            found = []
        found.append(line)
    if found:
        yield found


def _goes_on(one: Words, two: Words) -> bool:
    alike = (one.size, one.bold, one.turned) == (two.size, two.bold, two.turned)
    aside, down = abs(one.at[0] - two.at[0]), one.at[1] - two.at[1]
    return alike and not one.turned and aside < _SAME_MM and 0 < down < 1.5 * one.size


class Tags:
    """Tells reportlab what each stretch is; used for one file, page by page."""

    def __init__(self, canvas: Canvas) -> None:
        inner: Any = canvas  # its stub leaves the document out
        self.canvas, self.document = canvas, inner._doc  # noqa: SLF001 - no other way to it
        self.pages: list[tuple[str, list[Stretch]]] = []

    def page(self, sheet: Sheet) -> None:
        """Begin a page."""
        self.pages.append((sheet.title, []))

    def begin(self, stretch: Stretch) -> None:
        """Begin a stretch of the page."""
        if not stretch.role:
            self.canvas.addLiteral("/Artifact BMC")
            return
        told = self.pages[-1][1]
        self.canvas.addLiteral(f"/{stretch.role} <</MCID {len(told)}>> BDC")
        told.append(stretch)

    def end(self) -> None:
        """End it."""
        self.canvas.addLiteral("EMC")

    def save(self) -> None:
        """Put the order of reading into the file; all pages are drawn."""
        root, whole = PDFDictionary({"Type": PDFName("StructTreeRoot")}), self._element("Document")
        at_root, at_whole = self.document.Reference(root), self.document.Reference(whole)
        sections, numbers = [], []
        for number, (title, told) in enumerate(self.pages):
            page = self.document.Pages[number]
            page.StructParents, page.Tabs = number, PDFName("S")
            page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
            section = self._element("Sect", P=at_whole, T=PDFString(title))
            at_section = self.document.Reference(section)
            own = [
                self.document.Reference(
                    self._element(
                        stretch.role,
                        P=at_section,
                        Pg=self.document.Reference(page),
                        K=place,
                        **({"Alt": PDFString(stretch.says)} if stretch.says else {}),
                    )
                )
                for place, stretch in enumerate(told)
            ]
            section["K"] = PDFArray(own)
            sections.append(at_section)
            numbers += [number, self.document.Reference(PDFArray(own))]
        whole["P"], whole["K"] = at_root, PDFArray(sections)
        root["K"] = at_whole
        root["ParentTree"] = self.document.Reference(PDFDictionary({"Nums": PDFArray(numbers)}))
        root["ParentTreeNextKey"] = len(self.pages)
        self.document.Catalog.StructTreeRoot = root
        self.document.Catalog.MarkInfo = PDFDictionary({"Marked": PDFtrue})

    @staticmethod
    def _element(role: str, **keys: object) -> PDFDictionary:
        return PDFDictionary({"S": PDFName(role), **keys})
