"""A small picture as it should be, kept in tests/golden.

After a wanted change look at the new one, then keep it: run this file with ``tests`` on the
path (``PYTHONPATH=tests python tests/unit/test_golden_picture.py``).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from loftline.writers import draw_plan
from support_pictures import by_id, differences, of_class, read_picture
from support_plans import tiny_plan

GOLDEN = Path(__file__).parents[1] / "golden" / "key-fob.svg"


def test_the_picture_is_as_it_was() -> None:
    kept = read_picture(GOLDEN.read_text(encoding="utf-8"))
    assert list(differences(kept, read_picture(draw_plan(tiny_plan())))) == []


@pytest.mark.parametrize("change", ["moved", "colour", "dash", "missing", "word"])
def test_the_comparison_can_fail(change: str) -> None:
    kept = read_picture(GOLDEN.read_text(encoding="utf-8"))
    other = read_picture(GOLDEN.read_text(encoding="utf-8"))
    line = of_class(by_id(other, "runs"), "line")[0]
    if change == "moved":
        line.set("d", (line.get("d") or "").replace("L", "L1", 1))
    elif change == "colour":
        line.set("stroke", "#2d2f74")
    elif change == "dash":
        line.set("stroke-dasharray", "1 1")
    elif change == "missing":
        by_id(other, "runs").remove(by_id(other, "run-1"))
    else:
        next(text for text in other.iter() if text.text == "snap").text = "snip"
    assert list(differences(kept, other))


if __name__ == "__main__":
    GOLDEN.write_text(draw_plan(tiny_plan()), encoding="utf-8")
