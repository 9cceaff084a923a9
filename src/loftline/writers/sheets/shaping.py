"""Scripts whose letters stack, change places or grow together, set glyph by glyph.

What a letter looks like there depends on its neighbours, by rules that are in the font. uharfbuzz
applies them. reportlab writes letters, not glyphs, so each glyph of such a font is given a
letter for private use, the same in every file: the first of these and the glyph's number.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Final

import uharfbuzz

PRIVATE: Final = 0xE000
"""First code for private use; the fonts have fewer glyphs than there is room behind it."""

FONT_OF_SCRIPT: Final[Mapping[str, str]] = MappingProxyType(
    {
        script.upper(): f"NotoSans{script}.ttf"
        for script in (
            *("Bengali", "Devanagari", "Ethiopic", "Gujarati", "Gurmukhi", "Kannada", "Khmer"),
            *("Lao", "Malayalam", "Myanmar", "Oriya", "Sinhala", "Tamil", "Telugu", "Thai"),
        )
    }
)
"""Files of fonts by the first word of the names of a script's letters."""

_JOINERS: Final = "\u200c\u200d"


@dataclass(frozen=True, slots=True)
class Glyph:
    """A glyph in its place; lengths in shares of the letters' size.

    Attributes:
        letter: of private use, which stands for it.
        x, y: where it stands, from the beginning of the text.
    """

    letter: str
    x: float
    y: float


def font_for(letter: str) -> str | None:
    """The file of the font that a letter of such a script is set in."""
    return FONT_OF_SCRIPT.get(unicodedata.name(letter, "").split(" ")[0])


def holds_together(letter: str) -> bool:
    """Whether a sign says how the letters beside it join, and so is set with them."""
    return letter in _JOINERS


@lru_cache(maxsize=512)
def shaped(path: str, text: str) -> tuple[tuple[Glyph, ...], float]:
    """Glyphs of a text in one script, and how wide they are together.

    Args:
        path: of the font's file.
        text: in the order of reading.
    """
    font = _font(path)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer, {})
    unit = float(font.face.upem)
    at, found = 0, []
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        letter = chr(PRIVATE + info.codepoint)
        found.append(Glyph(letter, (at + place.x_offset) / unit, place.y_offset / unit))
        at += place.x_advance
    return tuple(found), at / unit


def advances(path: str) -> list[float]:
    """How wide each glyph of a font is, in thousandths of the letters' size."""
    font = _font(path)
    face = font.face
    return [
        font.get_glyph_h_advance(number) * 1000 / face.upem for number in range(face.glyph_count)
    ]


@cache
def _font(path: str) -> uharfbuzz.Font:
    return uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob.from_file_path(path)))
