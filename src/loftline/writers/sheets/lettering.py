"""Text set in lines as the font measures it."""

from __future__ import annotations

from loftline.values import Point
from loftline.writers.sheets.ink import BLACK, TEXT, Face, Words
from loftline.writers.svg.marks import safe_text

ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}


def words(
    face: Face,
    text: str,
    at: Point,
    *,
    size: float = TEXT,
    bold: bool = False,
    anchor: str = "start",
    colour: str = BLACK,
    turned: bool = False,
) -> Words:
    """One line of text whose start, middle or end stands at a place on its baseline."""
    text = safe_text(text)
    width = face.width(text, size, bold=bold)
    back = width * ANCHORS[anchor]
    x, y = at
    left = (x, y - back) if turned else (x - back, y)
    return Words(
        text=text, at=left, size=size, width=width, bold=bold, colour=colour, turned=turned
    )


def fitted(face: Face, text: str, room: float, size: float = TEXT, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it would be wider than there is room."""
    text = safe_text(text)
    if face.width(text, size, bold=bold) <= room:
        return text
    while text and face.width(text + "…", size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(
    face: Face, text: str, room: float, size: float = TEXT, *, bold: bool = False
) -> list[str]:
    """The text in lines that fit; a word longer than a line is broken."""
    lines, line = [], ""
    for word in safe_text(text).split(" "):
        longer = f"{line} {word}".strip()
        if face.width(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while face.width(line, size, bold=bold) > room and len(line) > 1:
            cut = len(line) - 1
            while cut > 1 and face.width(line[:cut], size, bold=bold) > room:
                cut -= 1
            lines.append(line[:cut])
            line = line[cut:]
    return [*lines, line] if line else lines
