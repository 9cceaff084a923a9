"""The sample board: what is on it, what lies inside what, what is told when no png can be."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from loftline.export import export_board
from loftline.export.png import NoPngError, as_png
from loftline.project import parse_project
from loftline.values import Sample
from loftline.variants import compare_plans, make_variants
from loftline.writers import draw_board
from support_pictures import Element, by_id, of_class, polylines, read_picture, texts

MAT: dict[str, Any] = {
    "name": "Tyre lever mat",
    "panel": {"shape": "rectangle", "width": 250, "height": 180},
    "keep_outs": [{"name": "label", "shape": "circle", "at": [60, 60], "diameter": 20}],
    "fills": [{"pattern": "channel", "angle": 30, "spacing": 20}],
}


@pytest.fixture(scope="module")
def samples() -> tuple[Sample, ...]:
    return compare_plans(make_variants(parse_project(MAT), patterns=["grid", "echo"]))


@pytest.fixture(scope="module")
def board(samples: tuple[Sample, ...]) -> Element:
    return read_picture(draw_board("Tyre lever mat", samples, "mm"))


def sizes(picture: Element) -> tuple[float, float]:
    _, _, width, height = map(float, (picture.get("viewBox") or "").split())
    return width, height


def test_every_design_is_on_it_by_its_name(board: Element) -> None:
    found = [texts(cell)[0] for cell in of_class(board, "sample")]
    assert found == ["as in the file (yours)", "grid", "echo"]


def test_the_figures_below_a_design_are_its_own(
    board: Element, samples: tuple[Sample, ...]
) -> None:
    for cell, sample in zip(of_class(board, "sample"), samples, strict=True):
        words = " ".join(texts(cell))
        assert f"{sample.plan.report.stitches:,} stitches" in words
        gap = f"{sample.widest_gap:.1f}".removesuffix(".0")
        assert f"widest place without a line {gap} mm" in words


def test_every_line_is_drawn_where_it_is_sewn(board: Element, samples: tuple[Sample, ...]) -> None:
    """What is drawn as line stays within 0.2 mm of a needle point or of the chord of two."""
    for cell, sample in zip(of_class(board, "sample"), samples, strict=True):
        (sewn,) = (g for g in cell.iter() if g.get("clip-path") == "url(#cut-edge)")
        drawn = np.vstack([piece for path in sewn for piece in polylines(path)])
        points = np.column_stack([sample.plan.sewn.x, sample.plan.sewn.y]) / 10
        nearest = np.min(np.hypot(*(drawn[:, None] - points).transpose(2, 0, 1)), axis=1)
        assert nearest.max() < 0.2


def test_nothing_is_seen_beyond_the_cut_edge(board: Element) -> None:
    (edge,) = polylines(by_id(board, "cut-edge")[0])
    assert edge.min(axis=0).tolist() == [0, 0]
    assert edge.max(axis=0).tolist() == [250, 180]


def test_it_is_drawn_as_small_as_it_says(board: Element) -> None:
    width, _ = sizes(board)
    assert (board.get("width") or "").removesuffix("mm") == f"{width / 3:.2f}".rstrip("0")
    assert any("drawn at a third" in text for text in texts(board))


def test_the_key_names_only_what_is_there(board: Element, samples: tuple[Sample, ...]) -> None:
    assert "keep-out: hard edge, no-needle zone" in texts(board)
    assert "fold" not in texts(board)
    plan = samples[0].plan
    bare = replace(plan, panel=replace(plan.panel, keep_outs=()))
    other = read_picture(draw_board("mat", [replace(samples[0], plan=bare)], "mm"))
    assert "keep-out: hard edge, no-needle zone" not in texts(other)


@pytest.mark.parametrize("count", [1, 2, 5, 24])
def test_all_cells_lie_on_the_page_and_none_on_another(
    samples: tuple[Sample, ...], count: int
) -> None:
    picture = read_picture(draw_board("mat", (samples * 8)[:count], "mm"))
    width, height = sizes(picture)
    corners = []
    for cell in of_class(picture, "sample"):
        (move,) = (g.get("transform") or "" for g in cell if g.get("transform"))
        x, y = map(float, re.findall(r"-?[\d.]+", move)[:2])
        corners.append((x, y))
        assert x >= 0
        assert x + 250 <= width
        assert y <= height
    assert len(set(corners)) == count
    for x, y in corners:
        beside = [other for other, low in corners if low == y and other != x]
        assert all(abs(other - x) > 250 for other in beside)


def test_words_of_the_file_stay_words(samples: tuple[Sample, ...]) -> None:
    sample = replace(samples[0], name="<b>&", yours=False)
    picture = read_picture(draw_board("<script>", [sample], "mm"))
    assert texts(of_class(picture, "sample")[0])[0] == "<b>&"


def test_a_board_in_inches_has_its_gap_in_inches(samples: tuple[Sample, ...]) -> None:
    plan = samples[0].plan
    plan = replace(plan, report=replace(plan.report, extra={"widest_gap": 25.4}))
    picture = read_picture(draw_board("mat", [replace(samples[0], plan=plan)], "in"))
    assert "widest place without a line 1 in" in texts(picture)


def test_the_same_samples_give_the_same_text(samples: tuple[Sample, ...]) -> None:
    assert draw_board("mat", samples, "mm") == draw_board("mat", samples, "mm")


# png


def test_board_and_png_are_written(samples: tuple[Sample, ...], tmp_path: Path) -> None:
    pytest.importorskip("resvg_py")
    written = export_board(parse_project(MAT), samples, tmp_path)
    names = [path.name for path in written.paths]
    assert names == ["tyre-lever-mat-board.svg", "tyre-lever-mat-board.png"]
    assert written.paths[1].read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_letters_are_on_the_png() -> None:
    pytest.importorskip("resvg_py")
    page = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm">{}</svg>'
    text = '<text y="15mm" font-size="40" font-family="sans-serif">grid</text>'
    assert as_png(page.format(text)) != as_png(page.format(""))


def test_without_the_library_the_board_is_written_and_it_is_said(
    samples: tuple[Sample, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    written = export_board(parse_project(MAT), samples, tmp_path)
    assert [path.suffix for path in written.paths] == [".svg"]
    assert [(f.code, f.severity) for f in written.findings] == [("png-skipped", "note")]


def test_a_system_without_fonts_gets_no_png_without_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    blind = SimpleNamespace(svg_to_bytes=lambda **_: b"no letters")
    monkeypatch.setitem(sys.modules, "resvg_py", blind)
    with pytest.raises(NoPngError, match="no font"):
        as_png("<svg/>")
