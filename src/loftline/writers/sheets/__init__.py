"""Full-size sheets: templates to trace, tape and sew from, as a PDF file.

The layout is pure: it makes frozen pages in millimetres (:mod:`.ink`). Only :mod:`.face`,
:mod:`.pdf` and :mod:`.tags` know the library that writes them.
"""

from __future__ import annotations

from loftline.values import Batch, Plan
from loftline.writers.sheets.book import FULL_SIZE, make_book, make_size_book, usual_kinds
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.pdf import write_pdf
from loftline.writers.sheets.picture import draw_sheet

__all__ = ["write_sheets", "write_size_sheets"]


def write_sheets(plan: Plan) -> dict[str, bytes]:
    """The full-size sheets of a plan.

    Args:
        plan: what was planned; ``project.sheets`` says which sheets and what paper.

    Returns:
        Bytes by file name: one PDF file, and where the paper is one sheet each an SVG file of
        what is at full size. The same plan gives the same bytes.
    """
    spec, stem = plan.project.sheets, f"{plan.project.slug}-templates"
    kinds = usual_kinds(plan.project) if spec.include is None else spec.include
    book = make_book(plan, Letters(), paper=spec.paper, kinds=kinds)
    files = {f"{stem}.pdf": write_pdf(book)}
    for sheet in book.sheets if spec.paper == "one sheet" else ():
        if sheet.kind in FULL_SIZE:
            name = f"{stem}-{sheet.kind.replace(' ', '-')}.svg"
            files[name] = draw_sheet(sheet).encode("utf-8")
    return files


def write_size_sheets(batch: Batch) -> dict[str, bytes]:
    """The sheets about all sizes of a bag: outlines within each other, a kit for each student.

    Args:
        batch: with one size at least; the paper is that of the project.

    Returns:
        Bytes by file name.
    """
    paper = batch.sizes[0].plan.project.sheets.paper
    return {f"{batch.slug}-sizes.pdf": write_pdf(make_size_book(batch, Letters(), paper=paper))}
