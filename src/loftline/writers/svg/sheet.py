"""What every picture begins and ends with: the empty sheet, its heading, its text."""

from __future__ import annotations

import io
from collections.abc import Sequence

from svgwrite import Drawing

from loftline.writers.svg import style
from loftline.writers.svg.marks import FONT, Element, box, group, num, safe_text, shorten, words
from loftline.writers.svg.page import MARGIN, TITLE
from loftline.writers.svg.panel import dots
from loftline.writers.svg.style import Scale


def empty_sheet(
    title: str, about: str, size: tuple[float, float], scale: Scale, *, shrunk: float = 1.0
) -> Element:
    """A sheet with its paper.

    Args:
        title: of the document.
        about: what it shows, for those who do not see it.
        size: width and height in the sheet's own millimetres.
        scale: for the dots that fill waste.
        shrunk: how many times smaller the sheet is shown than it is drawn.
    """
    width, height = size
    drawing = Drawing(
        size=(f"{num(width / shrunk)}mm", f"{num(height / shrunk)}mm"),
        viewBox=f"0 0 {num(width)} {num(height)}",
        font_family=FONT,
        role="img",
        debug=False,
    )
    drawing.set_desc(title=safe_text(title), desc=about)
    drawing.defs.add(dots(scale))
    drawing.add(box((0, 0), width, height, fill=style.PAPER, id="paper"))
    return drawing


def heading(name: str, lines: Sequence[str], width: float, line: float, scale: Scale) -> Element:
    """The name in large letters, lines of text below it ``line`` ems apart."""
    em = scale.em
    x, size = MARGIN * em, TITLE * em
    title = group("title")
    text = shorten(name, width, size)
    title.add(words(text, (x, x + 0.8 * size), size, font_weight="bold", fill=style.INK))
    for i, below in enumerate(lines):
        at = (x, (MARGIN + TITLE + 1.15 + line * i) * em)
        title.add(words(below, at, em, fill=style.SOFT_INK))
    return title


def text_of(drawing: Element) -> str:
    """The sheet as the text of a file."""
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue() + "\n"
