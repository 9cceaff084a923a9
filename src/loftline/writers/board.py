"""The sample board: one bag quilted in several ways, small, side by side.

Coordinates of the page are millimetres of the panel; the page is shown several times smaller.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from svgwrite.masking import ClipPath

from loftline.units import Unit, format_length
from loftline.values import Kind, Point, Sample
from loftline.writers.svg import style, wording as say
from loftline.writers.svg.bar import scale_bar
from loftline.writers.svg.folds import draw_folds
from loftline.writers.svg.marks import (
    Element,
    area_path,
    disc,
    group,
    lines_path,
    num,
    path,
    straight,
    text_width,
    words,
    wrapped,
)
from loftline.writers.svg.page import MARGIN, TITLE
from loftline.writers.svg.panel import draw_keep_outs, draw_later, draw_outline, later_pieces
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.strands import Strands, make_strands
from loftline.writers.svg.style import LEAST_EM, Scale

ABOUT = "The same bag quilted in several ways, side by side and drawn small, with figures."

_SHRINKINGS: Final = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_LARGEST_MM: Final = 88.0
"""Longer side of a panel on the board, unless it is small as it is."""

_LEAST_EMS: Final = 21.0
"""A cell is at least so wide, for its words."""

_PAGE_SHAPE: Final = 1.35
_BETWEEN: Final = 3.0
_LINE: Final = 1.45
_TOP: Final = MARGIN + TITLE + 3.2

_ONE_IN: Final = {1: "drawn full size", 2: "drawn at half size", 3: "drawn at a third"}


def draw_board(name: str, samples: Sequence[Sample], units: Unit) -> str:
    """Draw a sample board as SVG.

    Args:
        name: of the bag.
        samples: at least one, all of the same panel.
        units: the maker's, for all that is written.

    Returns:
        The text of an SVG file; the same samples give the same text.
    """
    panel = samples[0].plan.panel
    x0, y0, x1, y1 = panel.outline.bounds
    wide, high = x1 - x0, y1 - y0
    shrunk = next((n for n in _SHRINKINGS if max(wide, high) / n <= _LARGEST_MM), _SHRINKINGS[-1])
    em = LEAST_EM * shrunk
    least = min(fill.spacing for sample in samples for fill in sample.plan.project.fills)
    scale = Scale(em=em, stroke=min(0.1 * em, least / 5), arrow=em)
    cell = max(wide, _LEAST_EMS * em)
    captions = [_caption(sample, cell, units, em) for sample in samples]
    below = (max(map(len, captions)) * _LINE + 1.2) * em
    columns = _columns(len(samples), cell + _BETWEEN * em, high + below + _BETWEEN * em)
    rows = math.ceil(len(samples) / columns)
    left, top = MARGIN * em, _TOP * em
    page = columns * (cell + _BETWEEN * em) - _BETWEEN * em
    page = max(page, 2 * _LEAST_EMS * em + _BETWEEN * em)
    bottom = top + rows * (high + below + _BETWEEN * em)
    keys = _key(_signs(samples), scale, page)
    bottom_of_key = bottom + (1.6 * len(keys) + 4.6) * em
    size = (page + 2 * left, bottom_of_key)
    drawing = empty_sheet(f"{name}: sample board", ABOUT, size, scale, shrunk=float(shrunk))
    drawing.defs.add(_clip(samples[0]))
    small = _ONE_IN.get(shrunk, f"drawn {shrunk} times smaller")
    count = "1 design" if len(samples) == 1 else f"{len(samples)} designs"
    about = f"Sample board: {count}, {small}; figures are for one bag."
    drawing.add(heading(name, [about], page, _LINE, scale))
    for i, (sample, caption) in enumerate(zip(samples, captions, strict=True)):
        row, column = divmod(i, columns)
        at = (
            left + column * (cell + _BETWEEN * em),
            top + row * (high + below + _BETWEEN * em),
        )
        drawing.add(_cell(sample, caption, at, scale))
    for i, line in enumerate(keys):
        row_of_key = group(class_="key", transform=f"translate({num(left)},{num(bottom)})")
        for x, sign, text in line:
            place = (x, 1.6 * i * em)
            row_of_key.add(_entry(sign, text, place, scale))
        drawing.add(row_of_key)
    parts, length, text = (4, 4 * 25.4, "4 in") if units == "in" else (5, 100.0, "100 mm")
    bar_at = (left, bottom + (1.6 * len(keys) + 0.6) * em)
    drawing.add(scale_bar(bar_at, parts, length, f"{text} of the panel; {small}", scale))
    return text_of(drawing)


def _columns(count: int, wide: float, high: float) -> int:
    """As many beside each other as make a page a little wider than high, rows alike."""
    most = min(count, max(1, round(math.sqrt(count * _PAGE_SHAPE * high / wide))))
    return math.ceil(count / math.ceil(count / most))


def _caption(sample: Sample, width: float, units: Unit, em: float) -> list[tuple[str, bool]]:
    """Lines below a panel, and whether each belongs to its name."""
    report = sample.plan.report
    name = f"{sample.name} (yours)" if sample.yours else sample.name
    cuts = say.counted(report.cuts, "thread cut") if report.cuts else "no thread cut"
    thread = say.sewn_length(report.needle_thread.expected, units)
    figures = (
        f"{say.counted(report.stitches, 'stitch', 'stitches')} · {cuts}",
        f"about {say.sewing_time(report.minutes)} · needle thread {thread}",
        *_gap(sample, units),
    )
    lines = [(line, True) for line in wrapped(name, width, 1.1 * em, 2)]
    return [*lines, *((line, False) for text in figures for line in wrapped(text, width, em, 2))]


def _gap(sample: Sample, units: Unit) -> tuple[str, ...]:
    gap = sample.widest_gap
    return () if gap is None else (f"widest place without a line {format_length(gap, units)}",)


def _clip(sample: Sample) -> Element:
    """Only what lies inside the cut edge is seen on the finished bag."""
    clip = ClipPath(id="cut-edge", debug=False)
    clip.add(area_path(sample.plan.panel.outline))
    return clip


def _cell(sample: Sample, caption: Sequence[tuple[str, bool]], at: Point, scale: Scale) -> Element:
    panel, em = sample.plan.panel, scale.em
    x0, y0, _, y1 = panel.outline.bounds
    cell = group(class_="sample")
    drawn = group(transform=f"translate({num(at[0] - x0)},{num(at[1] + y1)}) scale(1,-1)")
    drawn.add(area_path(panel.outline, fill=style.FABRIC))
    for part in draw_folds(panel, scale):
        drawn.add(part)
    drawn.add(draw_keep_outs(panel, scale))
    drawn.add(_sewn(make_strands(sample.plan.sewn), scale))
    drawn.add(draw_later(panel, scale))
    drawn.add(draw_outline(panel, scale))
    cell.add(drawn)
    y = at[1] + (y1 - y0) + 0.5 * em
    for line, strong in caption:
        y += _LINE * em
        look = {"font_weight": "bold", "fill": style.INK} if strong else {"fill": style.SOFT_INK}
        cell.add(words(line, (at[0], y), (1.1 if strong else 1.0) * em, **look))
    return cell


def _sewn(strands: Strands, scale: Scale) -> Element:
    """Everything that is sewn, in one colour; travel in dashes."""
    sewn = group(clip_path="url(#cut-edge)", fill="none", stroke=style.RUN_COLOURS[0])
    for kinds, look in (
        ((Kind.LINE, Kind.DOUBLE), {"stroke_width": num(scale.stroke)}),
        ((Kind.TRAVEL,), _travel(scale)),
    ):
        data = []
        for run in dict.fromkeys(strands.run.tolist()):
            points, starts = strands.pick(run, *kinds)
            if len(points):
                data.append(lines_path(points, starts))
        if data:
            sewn.add(path("".join(data), **look))
    return sewn


def _travel(scale: Scale) -> dict[str, str]:
    return {"stroke_width": num(0.66 * scale.stroke)} | style.travel_dashes(scale)


def _signs(samples: Sequence[Sample]) -> list[tuple[str, str]]:
    """Signs that are on the board, each with its words."""
    panel = samples[0].plan.panel
    kinds = {kind for sample in samples for kind in set(sample.plan.sewn.kind.tolist())}
    signs = [("line", "line")]
    if Kind.TRAVEL in kinds:
        signs.append(("travel", "travel: sewn to reach the next line"))
    if panel.keep_outs:
        signs.append(("keep-out", "keep-out: hard edge, no-needle zone"))
    if later_pieces(panel):
        signs.append(("later", "fitted after quilting"))
    if panel.folds:
        signs.append(("fold", "fold"))
    return [*signs, ("outline", "cut edge")]


def _key(
    entries: Sequence[tuple[str, str]], scale: Scale, width: float
) -> list[list[tuple[float, str, str]]]:
    """Signs and words in lines that fit: place, sign, words."""
    em = scale.em
    lines: list[list[tuple[float, str, str]]] = [[]]
    x = 0.0
    for sign, text in entries:
        wide = 3.6 * em + text_width(text, 0.9 * em) + 1.5 * em
        if lines[-1] and x + wide > width:
            lines.append([])
            x = 0.0
        lines[-1].append((x, sign, text))
        x += wide
    return lines


def _entry(sign: str, text: str, at: Point, scale: Scale) -> Element:
    em = scale.em
    entry = group(transform=f"translate({num(at[0])},{num(at[1])})")
    middle, start, end = (1.4 * em, 0.0), (0.0, 0.0), (2.8 * em, 0.0)
    thread = {"stroke": style.RUN_COLOURS[0]}
    match sign:
        case "line":
            entry.add(straight(start, end, **(thread | {"stroke_width": num(scale.stroke)})))
        case "travel":
            entry.add(straight(start, end, **(thread | _travel(scale))))
        case "keep-out":
            ring = style.thin(scale, style.SOFT_INK) | {"fill": style.ZONE}
            entry.add(disc(middle, 0.6 * em, **ring))
            entry.add(disc(middle, 0.32 * em, fill=style.HARD))
        case "later":
            entry.add(disc(middle, 0.5 * em, **style.later_look(scale)))
        case "fold":
            entry.add(straight(start, end, **style.fold_look(scale)))
        case _:
            entry.add(straight(start, end, **style.outline_look(scale)))
    entry.add(words(text, (3.6 * em, 0.33 * em), 0.9 * em, fill=style.SOFT_INK))
    return entry
