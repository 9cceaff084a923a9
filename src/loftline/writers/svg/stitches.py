"""The picture of what a stitch file holds: runs, moves between them, its zero."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from loftline.values import Floats, Panel, Point, Sewn
from loftline.writers.svg import style
from loftline.writers.svg.bar import scale_bar
from loftline.writers.svg.labels import Frame, Taken
from loftline.writers.svg.lines import draw_directions, draw_ends, draw_runs
from loftline.writers.svg.marks import Element, disc, group, lines_path, num, path, safe_text
from loftline.writers.svg.numbers import draw_run_numbers
from loftline.writers.svg.page import MARGIN, TITLE
from loftline.writers.svg.panel import cross, draw_ground, draw_outline
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.strands import make_strands, mark_runs
from loftline.writers.svg.style import LEAST_EM, Scale

__all__ = ["draw_stitches"]

ABOUT = "What a stitch file holds, full size: runs, the moves between them, the file's zero."
KEY = (
    "A dot and a number where a run starts, a bar where it ends; dotted: the frame moves without",
    "sewing; a cross: the zero of the file.",
)
STRUCK = "A red ring: needle, foot or moving frame would meet something hard here."
DANGER = "#b3121d"
FOOT, LINE = 4.5, 1.5
LEAST_WIDTH = 62.0


def draw_stitches(
    sewn: Sewn,
    name: str,
    *,
    moves: Floats,
    panel: Panel | None = None,
    struck: Sequence[Point] = (),
) -> str:
    """Draw needle points as SVG.

    Args:
        sewn: needle points in file coordinates, or in those of ``panel``.
        name: the heading.
        moves: ``(k, 2, 2)`` straight moves of the frame between runs, mm.
        panel: drawn beneath.
        struck: places to ring, mm.

    Returns:
        The text of an SVG file, its size in mm at full size; the same for the same.
    """
    x0, y0, x1, y1 = _bounds(sewn, moves, panel)
    em = max(LEAST_EM, 0.0125 * max(x1 - x0, y1 - y0))
    scale = Scale(em=em, stroke=0.085 * em, arrow=0.75 * em)
    strands, marks = make_strands(sewn), mark_runs(sewn, 2.0 * em)
    about = (*KEY, *((STRUCK,) if struck else ()))
    left, top = MARGIN * em, (MARGIN + TITLE + 1.4 + LINE * len(about)) * em
    room = 2.5 * em  # for run numbers beyond the outermost stitch
    frame = Frame(origin=(left + room - x0, top + room + y1))
    bottom = top + 2 * room + y1 - y0
    body = max(x1 - x0 + 2 * room, LEAST_WIDTH * em)
    picture = group(
        "panel", transform=f"translate({num(frame.origin[0])},{num(frame.origin[1])}) scale(1,-1)"
    )
    zero = (sewn.origin[0] / 10, sewn.origin[1] / 10)
    for part in (
        *(() if panel is None else draw_ground(panel, scale)),
        *draw_runs(strands, scale),
        *(() if panel is None else (draw_outline(panel, scale),)),
        _moves(moves, scale),
        draw_directions(strands, scale),
        draw_ends(marks, scale),
        cross(zero, 1.2 * em, 1.2 * em, scale),
        *(_ring(at, scale) for at in struck),
    ):
        picture.add(part)
    size = (body + 2 * left, bottom + FOOT * em)
    drawing = empty_sheet(name, ABOUT, size, scale)
    text = "100 mm when printed full size: measure it first"
    for part in (
        heading(safe_text(name), about, body, LINE, scale),
        picture,
        draw_run_numbers(marks, frame, scale, Taken()),
        scale_bar((left, bottom + 0.6 * em), 10, 100.0, text, scale),
    ):
        drawing.add(part)
    return text_of(drawing)


def _bounds(sewn: Sewn, moves: Floats, panel: Panel | None) -> tuple[float, float, float, float]:
    """Least x and y, greatest x and y of all that is drawn, mm."""
    places = np.concatenate((np.column_stack((sewn.x, sewn.y)) / 10, moves.reshape(-1, 2)))
    boxes = [(*places.min(axis=0).tolist(), *places.max(axis=0).tolist())]
    if panel is not None:
        boxes.append(style.drawn_bounds(panel))
    x0, y0, x1, y1 = shapely.total_bounds([shapely.box(*one) for one in boxes]).tolist()
    return x0, y0, x1, y1


def _moves(moves: Floats, scale: Scale) -> Element:
    starts = np.arange(len(moves) + 1) * 2
    em = scale.em
    look = style.thin(scale, style.INK, 0.07) | {
        "fill": "none",
        "stroke_dasharray": f"{num(0.08 * em)},{num(0.3 * em)}",
        "stroke_linecap": "round",
    }
    return path(lines_path(moves.reshape(-1, 2), starts), class_="moves", **look)


def _ring(at: Point, scale: Scale) -> Element:
    look = {"fill": "none", "stroke": DANGER, "stroke_width": num(0.3 * scale.em)}
    return disc(at, 1.6 * scale.em, class_="struck", **look)
