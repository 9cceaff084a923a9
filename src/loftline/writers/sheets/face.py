"""The sheets' letters: fonts that come with loftline, and how wide they set a text.

DejaVu Sans has the letters of Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic,
which :mod:`.script` turns round and joins; Droid Sans Fallback those of Chinese, Japanese and
Korean. Noto Sans has those of fifteen scripts that :mod:`.shaping` sets. Licences lie beside
them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache
from importlib import resources
from itertools import groupby

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from loftline.writers.sheets import shaping
from loftline.writers.sheets.script import visual

PLAIN, BOLD, OTHER = "loftline-plain", "loftline-bold", "loftline-other"
FILES = {
    PLAIN: "DejaVuSans.ttf",
    BOLD: "DejaVuSans-Bold.ttf",
    OTHER: "DroidSansFallback.ttf",
}
NO_LETTER = "\u25a1"
"""An empty square stands where no font has the letter."""


@cache
def _path(name: str) -> str:
    """Where the file of a font lies; it comes with loftline."""
    return str(resources.files("loftline.writers.sheets").joinpath("fonts", FILES.get(name, name)))


@cache
def _font(name: str) -> TTFont:
    """Registered at first use; reportlab keeps fonts by name."""
    font = TTFont(name, _path(name))
    if name not in FILES:
        # every glyph can be written, whether a letter stands for it or not
        for number, width in enumerate(shaping.advances(_path(name))):
            font.face.charToGlyph[shaping.PRIVATE + number] = number
            font.face.charWidths[shaping.PRIVATE + number] = width
    pdfmetrics.registerFont(font)
    return font


def first_font() -> str:
    """The font a page begins with."""
    _font(PLAIN)
    return PLAIN


def _has(name: str, letter: str) -> bool:
    return ord(letter) in _font(name).face.charToGlyph


@cache
def _chosen(letter: str, plain: str) -> tuple[str, str]:
    """The font of a letter, and the letter or what stands for it.

    Where no font has a letter in a form of its own, its plain form is taken.
    """
    own = shaping.font_for(letter)
    for shown in dict.fromkeys((letter, unicodedata.normalize("NFKC", letter))):
        for name in (plain, PLAIN, OTHER, *([] if own is None else [own])):
            if len(shown) == 1 and _has(name, shown):
                return name, shown
    return plain, NO_LETTER


def glyphs(name: str, piece: str) -> Sequence[shaping.Glyph]:
    """The glyphs of a piece of text that is set glyph by glyph; none of any other."""
    return () if name in FILES else shaping.shaped(_path(name), piece)[0]


def piece_width(name: str, piece: str, size: float) -> float:
    """How wide a piece in one font is, in the unit of its size."""
    if name in FILES:
        return float(_font(name).stringWidth(piece, size))
    return shaping.shaped(_path(name), piece)[1] * size


class Letters:
    """Measures text, and tells which font sets which piece of it."""

    def runs(self, text: str, *, bold: bool = False) -> list[tuple[str, str]]:
        """Font and text of each piece, from left to right on paper."""
        plain = BOLD if bold else PLAIN
        found: list[tuple[str, str]] = []
        for letter in visual(text):
            kept = found and found[-1][0] not in FILES and shaping.holds_together(letter)
            found.append((found[-1][0], letter) if kept else _chosen(letter, plain))
        return [
            (name, "".join(letter for _, letter in piece))
            for name, piece in groupby(found, key=lambda one: one[0])
        ]

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a line of text is, in the unit of its size."""
        return sum(piece_width(name, piece, size) for name, piece in self.runs(text, bold=bold))

    def missing(self, text: str) -> str:
        """The letters that no font has, each once."""
        return "".join(
            dict.fromkeys(
                letter
                for letter in text
                if letter != NO_LETTER and _chosen(letter, PLAIN)[1] == NO_LETTER
            )
        )
