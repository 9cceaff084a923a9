"""Letters that tie keep-outs and hardware in the picture to their rows in the key."""

from __future__ import annotations

import shapely

from loftline.geometry import pole
from loftline.values import KeepOut, Panel, Piece, Point
from loftline.writers.svg import style
from loftline.writers.svg.labels import Box, Frame, Taken, plate
from loftline.writers.svg.marks import Element, group, letters, text_width, words
from loftline.writers.svg.panel import later_pieces
from loftline.writers.svg.style import Scale

OTHER_HALF = "\u2032"
"""The other half of A is A with a dash."""

LEAST_LETTER = 0.62
"""Ems; where the hard edge has no room for this size the letter stands beside it."""


def lettered(panel: Panel) -> list[tuple[str, KeepOut | Piece]]:
    """A letter for each keep-out, then for each piece that is fitted later."""
    things: list[KeepOut | Piece] = [*panel.keep_outs, *later_pieces(panel)]
    given: dict[str, str] = {}
    out: list[tuple[str, KeepOut | Piece]] = []
    for thing in things:
        if thing.mate_of in given:
            letter = given[thing.mate_of] + OTHER_HALF
        else:
            letter = letters(len(given))
            given[thing.name] = letter
        out.append((letter, thing))
    return out


def draw_letters(panel: Panel, frame: Frame, scale: Scale, taken: Taken) -> Element:
    """The letter of each keep-out on its hard edge, or beside it where that is too small."""
    em = scale.em
    marks = group("letters")
    for letter, thing in lettered(panel):
        reach = thing.reach if isinstance(thing, KeepOut) else 0.35 * em
        zone = _zone(thing, frame, reach)
        taken.take(zone)
        x0, y0, x1, y1 = thing.outline.bounds
        size = min(1.15 * em, 0.8 * (y1 - y0), 0.8 * (x1 - x0) / text_width(letter, 1.0))
        if isinstance(thing, KeepOut) and size >= LEAST_LETTER * em:
            x, y = frame.place(_middle(thing.outline))
            look = {"text_anchor": "middle", "font_weight": "bold", "fill": style.WHITE}
            marks.add(words(letter, (x, y + 0.36 * size), size, **look))
        else:
            at = (zone[2] + text_width(letter, em) / 2, zone[1] - 0.35 * em)
            marks.add(plate(letter, at, em, taken))
    return marks


def _zone(thing: KeepOut | Piece, frame: Frame, reach: float) -> Box:
    x0, y0, x1, y1 = thing.outline.bounds
    left, top = frame.place((x0 - reach, y1 + reach))
    right, bottom = frame.place((x1 + reach, y0 - reach))
    return left, top, right, bottom


def _middle(outline: shapely.Polygon) -> Point:
    """The middle of a shape, or a place well inside it where the middle lies outside."""
    if shapely.covers(outline, outline.centroid):
        return (outline.centroid.x, outline.centroid.y)
    return pole(outline)
