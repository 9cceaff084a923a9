"""The sheets' letters: fonts that come with loftline, and how wide they set a text.

DejaVu Sans has the letters of Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic;
Droid Sans Fallback those of Chinese, Japanese and Korean. Licences lie beside them.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from importlib import resources
from itertools import groupby

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD, OTHER = "loftline-plain", "loftline-bold", "loftline-other"
FILES = {
    PLAIN: "DejaVuSans.ttf",
    BOLD: "DejaVuSans-Bold.ttf",
    OTHER: "DroidSansFallback.ttf",
}
NO_LETTER = "\u25a1"
"""An empty square stands where no font has the letter."""


@cache
def _font(name: str) -> TTFont:
    """Registered at first use; reportlab keeps fonts by name."""
    path = str(resources.files("loftline.writers.sheets").joinpath("fonts", FILES[name]))
    font = TTFont(name, path)
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
    """The font of a letter, and the letter or what stands for it."""
    for name in (plain, PLAIN, OTHER):
        if _has(name, letter):
            return name, letter
    return plain, NO_LETTER


class Letters:
    """Measures text, and tells which font sets which piece of it."""

    def runs(self, text: str, *, bold: bool = False) -> list[tuple[str, str]]:
        """Font and text of each piece, from left to right on paper."""
        plain = BOLD if bold else PLAIN
        found = [_chosen(letter, plain) for letter in _visual(text)]
        return [
            (name, "".join(letter for _, letter in piece))
            for name, piece in groupby(found, key=lambda one: one[0])
        ]

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a line of text is, in the unit of its size."""
        return sum(
            float(_font(name).stringWidth(piece, size))
            for name, piece in self.runs(text, bold=bold)
        )

    def missing(self, text: str) -> str:
        """The letters that no font has, each once."""
        return "".join(
            dict.fromkeys(
                letter
                for letter in text
                if letter != NO_LETTER and _chosen(letter, PLAIN)[1] == NO_LETTER
            )
        )


def _visual(text: str) -> str:
    """Letters from left to right as they stand on paper.

    Words of scripts that run to the left are turned round, with what stands between them. Of
    the algorithm for mixed text (Unicode Standard Annex 9) this is the plain case: a line that
    runs to the right with whole names in it that run to the left.
    """
    if not any(unicodedata.bidirectional(letter) in {"R", "AL"} for letter in text):
        return text
    out: list[str] = []
    held: list[str] = []
    between: list[str] = []
    for letter in text:
        way = unicodedata.bidirectional(letter)
        if way in {"R", "AL", "NSM"}:
            held += [*between, letter]
            between = []
        elif held and way not in {"L", "EN", "AN"}:
            between.append(letter)
        else:
            out += [*reversed(held), *between, letter]
            held, between = [], []
    return "".join([*out, *reversed(held), *between])
