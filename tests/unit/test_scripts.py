"""Names in scripts that run to the left or join their letters, against other programs.

Outside references: python-bidi (Unicode Standard Annex 9 in Rust) for the order of letters, and
HarfBuzz, which shapes text in browsers, for the forms in which Arabic letters join.
"""

from __future__ import annotations

import io
from importlib import resources

import bidi
import numpy as np
import pypdfium2
import pytest
import uharfbuzz

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.writers.sheets import face, script
from loftline.writers.sheets.book import make_book
from loftline.writers.sheets.face import FILES, Letters
from loftline.writers.sheets.ink import Book, Sheet
from loftline.writers.sheets.lettering import words
from loftline.writers.sheets.pdf import write_pdf
from support_sheets import PER_MM, pixels, words_of

MIXED = (
    "abA \u05d0\u05d1\u05d2\u0627\u0628\u0644 12.,:-+/%()[]\u0661\u0662!\u05b8\u064e&\u00ab\u00bb"
)
ARABIC = (
    *(
        "قفل",
        "حقيبة",
        "دراجة",
        "سلام",
        "لأدوات",
        "مفكّ",
        "الله",
        "لالا",
        "إصلاح",
        "عَجَلة",
        "لـه",
        "لبنان",
    ),
    *("کیف دوچرخه", "پنچر"),
)


def font_file(name: str) -> bytes:
    place = resources.files("loftline.writers.sheets").joinpath("fonts", FILES.get(name, name))
    return place.read_bytes()


def test_letters_of_mixed_lines_stand_in_the_order_of_the_standard(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # the other program neither joins letters nor mirrors brackets
    monkeypatch.setattr(script, "joined", lambda text: text)
    monkeypatch.setattr(script, "_MIRRORED", {})
    chance = np.random.default_rng(8)
    for _ in range(8000):
        text = "".join(chance.choice(list(MIXED), chance.integers(1, 13)))
        assert script.visual(text) == bidi.get_display(text, base_dir="L"), ascii(text)


def test_a_name_to_the_left_has_its_brackets_mirrored() -> None:
    # rule L4 of the same Annex: a bracket is drawn as its mirror image among letters to the left
    assert script.visual("\u05d0 (\u05d1)\u05d2") == "\u05d2(\u05d1) \u05d0"


@pytest.mark.parametrize("name", [face.PLAIN, face.BOLD])
@pytest.mark.parametrize("word", ARABIC)
def test_arabic_letters_join_as_they_do_elsewhere(word: str, name: str) -> None:
    shaper = uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob(font_file(name))))
    buffer = uharfbuzz.Buffer()
    buffer.add_str(word)
    buffer.guess_segment_properties()
    uharfbuzz.shape(shaper, buffer, {})
    found = [shaper.get_nominal_glyph(ord(letter)) for letter in script.visual(word)]
    assert found == [info.codepoint for info in buffer.glyph_infos]


def test_the_look_at_joining_can_fail() -> None:
    assert script.visual("حقيبة") != "حقيبة"[::-1]


@pytest.mark.parametrize("text", ["Spoke pouch (left) 12", "Täschchen für Øle", "袋 \u00ab7\u00bb"])
def test_lines_to_the_right_stay_as_they_are(text: str) -> None:
    assert script.visual(text) == text


def sheet_of(*names: str) -> Sheet:
    marks = tuple(
        words(Letters(), name, (30.0, 250.0 - 20.0 * i), size=8.0) for i, name in enumerate(names)
    )
    return Sheet(kind="panel", title="t", size=(210.0, 297.0), marks=marks, frame=(0, 0, 210, 297))


def pdf_of(*names: str) -> bytes:
    return write_pdf(Book(title="t", about="", sheets=(sheet_of(*names),)))


MANY = {
    "Arabic": "حقيبة الدراجة",
    "Bengali": "সাইকেলের থলি",
    "Devanagari": "साइकिल की थैली",
    "Ethiopic": "የብስክሌት ቦርሳ",
    "Gujarati": "સાયકલની થેલી",
    "Gurmukhi": "ਸਾਈਕਲ ਦਾ ਥੈਲਾ",
    "Hebrew": "תיק אופניים",
    "Kannada": "ಸೈಕಲ್ ಚೀಲ",
    "Khmer": "កាបូបកង់",
    "Lao": "ຖົງລົດຖີບ",
    "Malayalam": "സൈക്കിൾ സഞ്ചി",
    "Myanmar": "စက်ဘီးအိတ်",
    "Oriya": "ସାଇକେଲ ଥଳି",
    "Sinhala": "බයිසිකල් බෑගය",
    "Tamil": "மிதிவண்டி பை",
    "Telugu": "సైకిల్ సంచి",
    "Thai": "กระเป๋าจักรยาน",
}
"""A bicycle bag in many scripts."""


@pytest.mark.parametrize("script_name", MANY)
def test_names_in_many_scripts_have_letters(script_name: str) -> None:
    assert Letters().missing(MANY[script_name]) == ""


@pytest.mark.parametrize("script_name", MANY)
def test_a_viewer_reads_a_name_as_it_is_written(script_name: str) -> None:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf_of(MANY[script_name])))
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert text.strip() == MANY[script_name]


@pytest.mark.parametrize("script_name", MANY)
def test_letters_are_as_wide_on_paper_as_they_are_measured(script_name: str) -> None:
    mark = words_of(sheet_of(MANY[script_name]))[0]
    columns = np.flatnonzero((pixels(pdf_of(MANY[script_name]), 0) < 128).any(axis=0)) / PER_MM
    # a letter leaves a little air at both its sides
    assert columns.min() == pytest.approx(30.0, abs=1.2)
    assert columns.max() == pytest.approx(30.0 + mark.width, abs=1.2)


def test_letters_that_grow_together_are_one() -> None:
    # ka, virama, ssa: one sign of its own in Devanagari (The Unicode Standard, chapter 12)
    ((name, piece),) = Letters().runs("\u0915\u094d\u0937")
    assert len(face.glyphs(name, piece)) == 1


def test_a_vowel_that_is_read_after_its_letter_may_stand_before_it() -> None:
    # the sign i of Devanagari (the same chapter): drawn at the left of ka, though it follows
    ((name, piece),) = Letters().runs("\u0915\u093f")
    shaper = uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob(font_file(name))))
    letters = [ord(glyph.letter) - 0xE000 for glyph in face.glyphs(name, piece)]
    assert letters[-1] == shaper.get_nominal_glyph(0x0915)


def test_turned_words_are_set_glyph_by_glyph_too() -> None:
    mark = words(Letters(), MANY["Devanagari"], (30.0, 100.0), size=8.0, turned=True)
    sheet = Sheet(
        kind="panel", title="t", size=(210.0, 297.0), marks=(mark,), frame=(0, 0, 210, 297)
    )
    seen = pixels(write_pdf(Book(title="t", about="", sheets=(sheet,))), 0) < 128
    rows = 297.0 - np.flatnonzero(seen.any(axis=1)) / PER_MM
    assert rows.min() == pytest.approx(100.0, abs=1.2)
    assert rows.max() == pytest.approx(100.0 + mark.width, abs=1.2)


def test_what_was_written_before_changes_no_bytes() -> None:
    first = pdf_of(MANY["Thai"], MANY["Tamil"])
    pdf_of(MANY["Tamil"], MANY["Bengali"], MANY["Thai"])
    assert pdf_of(MANY["Thai"], MANY["Tamil"]) == first


def test_joined_letters_are_narrower_than_letters_apart() -> None:
    apart = sum(Letters().width(letter, 10.0) for letter in "حقيبة")
    assert Letters().width("حقيبة", 10.0) < 0.9 * apart


def test_every_joined_form_of_a_letter_that_there_is_can_be_printed() -> None:
    for letter in map(chr, range(0x0620, 0x0700)):
        if not Letters().missing(letter):
            assert face.NO_LETTER not in "".join(p for _, p in Letters().runs(f"ب{letter}ب"))


def test_the_overview_names_the_script_that_cannot_be_printed() -> None:
    table = {
        "name": "\u0f40\u0f74",
        "panel": {"shape": "rectangle", "width": 60, "height": 40},
        "fills": [{"pattern": "channel", "spacing": 20}],
    }
    plan = make_plan(parse_project(table))
    book = make_book(plan, Letters(), paper="a4", kinds=("overview",))
    says = " ".join(words.text for sheet in book.sheets for words in words_of(sheet))
    assert "letters that our fonts have not (Tibetan)" in says
