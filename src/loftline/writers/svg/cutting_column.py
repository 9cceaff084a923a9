"""One cloth in the picture of the cutting list: figures, key, layouts."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from loftline.trade.cloths import buy_words, cloth_length, cloth_title, cut_size
from loftline.units import Unit, format_length
from loftline.values import Cloth, CutPiece, CutPlace, Layout, Point
from loftline.writers.svg import style
from loftline.writers.svg.marks import (
    LETTER_WIDTH,
    Element,
    arrow_head,
    box,
    group,
    letters,
    num,
    path,
    safe_text,
    shorten,
    straight,
    text_width,
    words,
)
from loftline.writers.svg.panel import DOTS
from loftline.writers.svg.style import Scale

# ems
LINE = 1.45
RULER = 2.4
LEAST_LETTER = 0.45
UP = -math.pi / 2


class Column:
    """One cloth, drawn from the top down; ``y`` is where the next thing goes."""

    def __init__(
        self, cloth: Cloth, at: Point, width: float, first: int, *, units: Unit, scale: Scale
    ) -> None:
        self.cloth, self.width, self.units, self.scale = cloth, width, units, scale
        self.x, self.y = at
        self.first = first
        self.mark = group(f"cloth-{cloth.material}")

    def draw(self, bags: int) -> Element:
        """Everything about the cloth; to be called once."""
        cloth, em = self.cloth, self.scale.em
        title = shorten(cloth_title(cloth.material, cloth.kind), self.width, 1.3 * em)
        self.y += 1.1 * em
        self.mark.add(words(title, (self.x, self.y), 1.3 * em, font_weight="bold", fill=style.INK))
        for line in textwrap.wrap(_figures(cloth, self.units), self._letters(), max_lines=6):
            self._line(line)
        self._key(bags)
        self.y += 0.5 * self.scale.em
        several = len(cloth.layouts) > 1 or any(layout.times > 1 for layout in cloth.layouts)
        for layout in cloth.layouts:
            if several:
                self._line(_times(layout), font_weight="bold", fill=style.INK)
            self._strip(layout)
        return self.mark

    def _letters(self) -> int:
        return max(12, int(self.width / (LETTER_WIDTH * self.scale.em)))

    def _line(self, text: str, **look: str) -> None:
        em = self.scale.em
        self.y += LINE * em
        self.mark.add(words(text, (self.x, self.y), em, **({"fill": style.SOFT_INK} | look)))

    def _key(self, bags: int) -> None:
        self.y += 0.4 * self.scale.em
        cloth = self.cloth
        for i, piece in enumerate((*cloth.pieces, *cloth.too_large)):
            text = f"{letters(self.first + i)}  {_piece(piece, bags, self.units)}"
            if i >= len(cloth.pieces):
                text += "; does not fit on this cloth"
            for line in textwrap.wrap(text, self._letters(), subsequent_indent="    "):
                self._line(line, fill=style.INK)

    def _strip(self, layout: Layout) -> None:
        em, cloth = self.scale.em, self.cloth
        left, top = self.x + RULER * em, self.y + (RULER + 0.2) * em
        strip = group(class_="layout")
        for fill in (style.TRIM, f"url(#{DOTS})"):
            strip.add(box((left, top), cloth.width, layout.length, fill=fill))
        for place in layout.places:
            piece = cloth.pieces[place.piece]
            strip.add(self._place(piece, place, (left, top)))
        edge = style.outline_look(self.scale)
        strip.add(box((left, top), cloth.width, layout.length, **edge))
        across = format_length(cloth.width, self.units)
        along = cloth_length(layout.length, self.units)
        strip.add(_ruler((left, top), (left + cloth.width, top), across, self.scale))
        strip.add(_ruler((left, top + layout.length), (left, top), along, self.scale))
        self.mark.add(strip)
        self.y = top + layout.length + em

    def _place(self, piece: CutPiece, place: CutPlace, origin: Point) -> Element:
        em = self.scale.em
        x, y = origin[0] + place.x, origin[1] + place.y
        mark = group(class_="turned piece" if place.turned else "piece")
        look = style.thin(self.scale, style.INK, 0.08) | {"fill": style.FABRIC}
        mark.add(box((x, y), place.width, place.height, **look))
        letter = letters(self.first + place.piece)
        middle = (x + place.width / 2, y + place.height / 2)
        # The words lie as the piece does: on their side where it is turned.
        label = group()
        if place.turned:
            label = group(transform=f"rotate(-90,{num(middle[0])},{num(middle[1])})")
        for text, at, size in self._label(letter, piece, middle):
            word = {"text_anchor": "middle", "fill": style.INK}
            if text == letter:
                word["font_weight"] = "bold"
            label.add(words(text, at, size, **word))
        if self.cloth.one_way and place.height > 3 * em and place.width > 2 * em:
            label.add(self._arrow((x + 0.9 * em, y + 0.6 * em)))
        mark.add(label)
        return mark

    def _label(
        self, letter: str, piece: CutPiece, middle: Point
    ) -> Iterator[tuple[str, Point, float]]:
        """The letter, and name and size below it where there is room for them."""
        em = self.scale.em
        x, y = middle
        big = min(
            1.4 * em,
            0.8 * piece.height,
            0.8 * piece.width / text_width(letter, 1.0),
        )
        size = cut_size(piece.width, piece.height, self.units)
        small = 0.85 * em
        below = [
            line for line in (piece.name, size) if text_width(line, small) < 0.94 * piece.width
        ]
        if piece.height < (1.6 + 1.3 * len(below)) * em:
            below = []
        if big < LEAST_LETTER * em:
            return
        y -= 0.6 * em * len(below)
        yield letter, (x, y + 0.36 * big), big
        for i, line in enumerate(below):
            yield line, (x, y + (1.75 + 1.15 * i) * em), small

    def _arrow(self, tip: Point) -> Element:
        """Which way is up on a cloth with a direction."""
        em = self.scale.em
        arrow = group(class_="up")
        arrow.add(straight(tip, (tip[0], tip[1] + 1.8 * em), **style.thin(self.scale, style.INK)))
        arrow.add(path(arrow_head(tip, UP, 0.8 * em), fill=style.INK))
        return arrow


def _figures(cloth: Cloth, units: Unit) -> str:
    wide = format_length(cloth.width, units)
    if not cloth.pieces:
        return f"Nothing fits on cloth {wide} wide."
    return (
        f"Buy {buy_words(cloth.to_buy, units)} of cloth {wide} wide. It takes "
        f"{cloth_length(cloth.length, units)}, no layout takes less than "
        f"{cloth_length(cloth.least_length, units)}; {cloth.waste:.0%} is waste."
        + (" This cloth has a direction: no piece is turned." if cloth.one_way else "")
    )


def _times(layout: Layout) -> str:
    bags = "1 bag" if layout.bags == 1 else f"{layout.bags:,} bags"
    return f"{bags}, laid once" if layout.times == 1 else f"{bags}, laid {layout.times:,} times"


def _piece(piece: CutPiece, bags: int, units: Unit) -> str:
    all_bags = f", {piece.in_all:,} in all" if bags > 1 else ""
    size = cut_size(piece.width, piece.height, units)
    return f"{safe_text(piece.name)}: {size}, {piece.count:,} a bag{all_bags}"


def _ruler(start: Point, end: Point, text: str, scale: Scale) -> Element:
    """A line with its length, above what is measured, read along the line."""
    em = scale.em
    upright = start[0] == end[0]
    length = abs(end[0] - start[0]) + abs(end[1] - start[1])
    x, y = start
    turn = " rotate(-90)" if upright else ""
    ruler = group(class_="ruler", transform=f"translate({num(x)},{num(y)}){turn}")
    line = style.thin(scale, style.SOFT_INK, 0.06)
    ruler.add(straight((0, -0.7 * em), (length, -0.7 * em), **line))
    for at in (0.0, length):
        ruler.add(straight((at, -1.0 * em), (at, -0.4 * em), **line))
    look = {"text_anchor": "middle", "fill": style.SOFT_INK}
    ruler.add(words(text, (length / 2, -1.15 * em), em, **look))
    return ruler
