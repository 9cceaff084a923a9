"""The picture of the cutting list: each cloth with its pieces laid out, at a tenth.

Coordinates of the page are millimetres of cloth; the page is shown ten times smaller.
"""

from __future__ import annotations

import textwrap

from loftline.units import Unit, format_length
from loftline.values import CuttingList
from loftline.writers.svg.bar import scale_bar
from loftline.writers.svg.cutting_column import LINE, RULER, Column
from loftline.writers.svg.marks import (
    LETTER_WIDTH,
)
from loftline.writers.svg.page import MARGIN, TITLE
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.style import LEAST_EM, Scale

SHRUNK = 10
"""The page is this much smaller than the cloth."""

ABOUT = "Each cloth with the pieces that are cut from it, a tenth of full size."

# ems
BETWEEN = 4.0
LEAST_WIDTH = 30.0


def draw_cutting(name: str, cutting: CuttingList, units: Unit) -> str:
    """Draw a cutting list as SVG.

    Args:
        name: of the bag.
        cutting: its list.
        units: the maker's, for all that is written.

    Returns:
        The text of an SVG file, a tenth of full size; the same list gives the same text.
    """
    scale = _scale(cutting)
    em = scale.em
    bags = "1 bag" if cutting.bags == 1 else f"{cutting.bags:,} bags"
    apart = format_length(cutting.gap, units)
    header = (
        f"Cutting list for {bags}: sizes as cut, pieces at least {apart} apart. "
        "Nothing is added for shrinking or for faults in the cloth."
    )
    column_widths = [max(cloth.width + RULER * em, LEAST_WIDTH * em) for cloth in cutting.cloths]
    width = sum(column_widths) + BETWEEN * em * (len(column_widths) - 1)
    lines = textwrap.wrap(header, max(20, int(width / (LETTER_WIDTH * em))))
    top = (MARGIN + TITLE + 0.9 + LINE * len(lines) + 1.0) * em
    columns, left, bottom, first = [], MARGIN * em, top, 0
    for cloth, wide in zip(cutting.cloths, column_widths, strict=True):
        column = Column(cloth, (left, top), wide, first, units=units, scale=scale)
        columns.append(column.draw(cutting.bags))
        bottom = max(bottom, column.y)
        left += wide + BETWEEN * em
        first += len(cloth.pieces) + len(cloth.too_large)
    page_width, page_height = width + 2 * MARGIN * em, bottom + (MARGIN + 3.4) * em
    size = (page_width, page_height)
    drawing = empty_sheet(f"{name}: cutting list", ABOUT, size, scale, shrunk=SHRUNK)
    drawing.add(heading(name, lines, width, LINE, scale))
    for part in columns:
        drawing.add(part)
    parts, length, text = (4, 20 * 25.4, "20 in") if units == "in" else (5, 500.0, "500 mm")
    at = (MARGIN * em, bottom + 1.2 * em)
    drawing.add(scale_bar(at, parts, length, f"{text} of cloth; drawn at a tenth", scale))
    return text_of(drawing)


def _scale(cutting: CuttingList) -> Scale:
    """Words of the least size that can be read on the page, larger on a large one."""
    wide = sum(cloth.width for cloth in cutting.cloths)
    high = max(
        (sum(layout.length for layout in cloth.layouts) for cloth in cutting.cloths), default=0.0
    )
    em = max(SHRUNK * LEAST_EM, 0.009 * max(wide, high))
    return Scale(em=em, stroke=0.1 * em, arrow=em)
