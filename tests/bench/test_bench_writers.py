"""How long what is drawn and listed takes: a panel of 2.4 m with some 165,000 stitches.

The full-size sheets have their own: 20,000 straight pieces over eight sheets.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.writers import write_files
from loftline.writers.sheets.drawing import Drawing
from loftline.writers.sheets.face import Letters
from loftline.writers.sheets.ink import Book, Ink, lines
from loftline.writers.sheets.pdf import write_pdf
from loftline.writers.sheets.tiles import choose_grid, tile_drafts
from support_plans import big_plan


@pytest.mark.parametrize("ext", ["svg", "csv", "json"])
def test_writing_a_large_panel(benchmark: BenchmarkFixture, ext: str) -> None:
    plan = big_plan(spacing=200 if benchmark.disabled else 12)
    files = benchmark(write_files, plan, (ext,))
    assert all(files.values())


def test_twenty_thousand_pieces_on_full_size_sheets(benchmark: BenchmarkFixture) -> None:
    along = np.linspace(0, 1, 201)
    curves = [
        np.column_stack([420 * along, 594 * (i + 0.5) / 100 + 2 * np.sin(60 * along + i)])
        for i in range(100)
    ]
    ground = shapely.box(0, 0, 420, 594)
    drawing = Drawing(area=ground, shapes=(), curves=(lines(curves, Ink(width=0.5)),))

    def sheets() -> bytes:
        face = Letters()
        grid = choose_grid(drawing, face, "a4")
        drafts = tile_drafts(drawing, grid, face, kind="quilting", name="x", title="y")
        made = tuple(draft("sheet") for draft in drafts)
        return write_pdf(Book(title="x", about="", sheets=made))

    assert len(benchmark(sheets)) < 3e6
