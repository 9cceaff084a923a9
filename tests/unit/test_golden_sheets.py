"""A small sheet as it should be, kept in tests/golden.

After a wanted change look at the new one, then keep it: run this file with ``tests`` on the
path (``PYTHONPATH=tests python tests/unit/test_golden_sheets.py``).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from loftline.writers.sheets.book import make_book
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.picture import draw_sheet
from support_pictures import differences, read_picture
from support_plans import tiny_plan

GOLDEN = Path(__file__).parents[1] / "golden"
KINDS = ("overview", "quilting")


def drawn(kind: str) -> str:
    book = make_book(tiny_plan(), Letters(), paper="a4", kinds=KINDS)
    return draw_sheet(next(sheet for sheet in book.sheets if sheet.kind == kind))


def kept(kind: str) -> Path:
    return GOLDEN / f"key-fob-{kind}-sheet.svg"


@pytest.mark.parametrize("kind", KINDS)
def test_the_sheet_is_as_it_was(kind: str) -> None:
    before = read_picture(kept(kind).read_text(encoding="utf-8"))
    assert list(differences(before, read_picture(drawn(kind)))) == []


@pytest.mark.parametrize("change", ["moved", "colour", "dash", "missing", "word"])
def test_the_comparison_can_fail(change: str) -> None:
    before = read_picture(kept("quilting").read_text(encoding="utf-8"))
    other = read_picture(kept("quilting").read_text(encoding="utf-8"))
    line = next(mark for mark in other.iter() if mark.get("stroke") == "#2d2f73")
    if change == "moved":
        line.set("d", (line.get("d") or "").replace("L", "L1", 1))
    elif change == "colour":
        line.set("stroke", "#2d2f74")
    elif change == "dash":
        line.set("stroke-dasharray", "1 1")
    elif change == "missing":
        other.remove(line)
    else:
        next(text for text in other.iter() if text.text == "inner square 50 mm").text = "50 mm"
    assert list(differences(before, other))


if __name__ == "__main__":
    for kind in KINDS:
        kept(kind).write_text(drawn(kind), encoding="utf-8")
