"""The pictures of the docs that are PNG: there, whole, of the SVG beside them, and shown."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from make_docs import AS_PNG, PNG_WIDTH
from support_pictures import read_picture

DOCS = Path(__file__).parents[2] / "docs"
PICTURES = DOCS / "pictures"
TAKEN = ("page",)
"""Taken of the page in a browser; all others are drawn by make_docs."""


def test_there_are_no_others() -> None:
    assert sorted(path.stem for path in PICTURES.glob("*.png")) == sorted((*AS_PNG, *TAKEN))


@pytest.mark.parametrize("name", AS_PNG)
def test_a_picture_has_the_shape_of_its_drawing(name: str) -> None:
    data = (PICTURES / f"{name}.png").read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert data[-8:-4] == b"IEND"
    width, height = struct.unpack(">II", data[16:24])
    drawing = read_picture((PICTURES / f"{name}.svg").read_text(encoding="utf-8"))
    wide, high = (float(drawing.get(k, "").removesuffix("mm")) for k in ("width", "height"))
    assert width == PNG_WIDTH
    assert height == pytest.approx(PNG_WIDTH * high / wide, abs=2)


@pytest.mark.parametrize("name", [*AS_PNG, *TAKEN])
def test_a_page_leads_to_it(name: str) -> None:
    pages = [path.read_text(encoding="utf-8") for path in DOCS.rglob("*.md")]
    assert any(f"pictures/{name}.png" in page for page in pages)
