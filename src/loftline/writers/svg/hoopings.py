"""The picture of the hoopings: where each field lies and what it is laid by.

Coordinates of the page are millimetres, full size; within the group ``panel`` y is up.
"""

from __future__ import annotations

import numpy as np
import shapely

from loftline.mirror import as_sewn
from loftline.units import Unit, format_length
from loftline.values import Hooping, Kind, Mark, Plan, Point
from loftline.writers.svg import style
from loftline.writers.svg.marks import (
    Element,
    disc,
    group,
    lines_path,
    num,
    open_path,
    path,
    straight,
    words,
)
from loftline.writers.svg.page import MARGIN, TITLE
from loftline.writers.svg.panel import draw_ground, draw_outline
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.strands import make_strands
from loftline.writers.svg.style import Look, Scale, drawn_bounds, make_scale

ABOUT = (
    "A panel, outer fabric {side}, full size: where the hoop is laid on it, one hooping at a time."
)

TOP_SIDES = {0: "up", 90: "left", 180: "down", 270: "right"}
"""Where the hoop's top side points on the panel, by its turn."""

SIGNS = (
    "Dashes: the field of each. Arrow: the top side of the hoop. Thin cross: the file's zero.",
    "Ring: what is sewn already, the end of a line or a cross: lay the hoop by these.",
)

# ems
LINE = 1.55
TABLE = 30.0
ROW = 1.9
COLUMNS = (2.4, 6.4, 14.2, 20.8, 27.4)
HEADS = ("", "top", "true points", "off by", "stitches")


def draw_hoopings(plan: Plan) -> str:
    """Draw the hoopings of a panel in the hoop as SVG.

    Args:
        plan: with one hooping or several, each with its field.

    Returns:
        The text of an SVG file; the same plan gives the same text.
    """
    plan = as_sewn(plan)
    down = plan.panel.seen_from == "back"
    scale = make_scale(plan)
    em, units = scale.em, plan.project.units
    x0, y0, x1, y1 = _bounds(plan)
    hoop = plan.hoopings[0].hoop or plan.hoopings[0].field or (0.0, 0.0)
    count = len(plan.hoopings)
    about = f"{count} hoopings in a hoop of {_by(hoop, units)}, in the order of their numbers."
    if down:
        about += " The outer fabric lies down."
    lines = [about, *SIGNS]
    top = (MARGIN + TITLE + 0.9 + LINE * len(lines) + 0.6) * em
    wide, high = x1 - x0, y1 - y0
    tall = max(high, (4 + ROW * len(plan.hoopings)) * em)
    width = wide + (2 * MARGIN + 2.5 + TABLE) * em
    drawing = empty_sheet(
        f"{plan.project.name}: hoopings",
        ABOUT.format(side="down" if down else "up"),
        (width, top + tall + MARGIN * em),
        scale,
    )
    drawing.add(heading(plan.project.name, lines, width - 2 * MARGIN * em, LINE, scale))
    left = MARGIN * em
    panel = group("panel", transform=f"translate({num(left - x0)},{num(top + y1)}) scale(1,-1)")
    for part in (*draw_ground(plan.panel, scale), *_sewn(plan, scale)):
        panel.add(part)
    panel.add(draw_outline(plan.panel, scale))
    for number, hooping in enumerate(plan.hoopings):
        panel.add(_field(hooping, number, scale))
    drawing.add(panel)
    numbers = group("numbers")
    for number, hooping in enumerate(plan.hoopings):
        x, y = _middle(plan, hooping, em)
        numbers.add(_badge(number, (x - x0 + left, top + y1 - y), scale))
    drawing.add(numbers)
    drawing.add(_table(plan, (left + wide + 2.5 * em, top + 1.2 * em), scale))
    return text_of(drawing)


def _bounds(plan: Plan) -> tuple[float, float, float, float]:
    """Of the panel and all fields."""
    places = [h.place for h in plan.hoopings if h.place is not None]
    boxes = np.array([drawn_bounds(plan.panel), *places])
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    return (x0, y0, x1, y1)


def _sewn(plan: Plan, scale: Scale) -> list[Element]:
    drawn = []
    for number, hooping in enumerate(plan.hoopings):
        strands = make_strands(plan.sewn.part(hooping))
        lines = group(f"sewn-{number + 1}")
        for run in np.unique(strands.run).tolist():
            for kind in (Kind.LINE, Kind.TRAVEL, Kind.DOUBLE, Kind.REGISTRATION):
                points, starts = strands.pick(run, kind)
                if len(points):
                    lines.add(path(lines_path(points, starts), **_look(number, kind, scale)))
        drawn.append(lines)
    return drawn


def _look(number: int, kind: Kind, scale: Scale) -> Look:
    look = {"fill": "none", "stroke": style.run_colour(number)}
    if kind == Kind.DOUBLE:
        return look | {"stroke_width": num(2.5 * scale.stroke)}
    if kind == Kind.TRAVEL:
        return look | {"stroke_width": num(0.6 * scale.stroke)} | style.travel_dashes(scale)
    return look | {"stroke_width": num(0.8 * scale.stroke)}


def _field(hooping: Hooping, number: int, scale: Scale) -> Element:
    """The field, its middle, an arrow to its top side, the marks it is laid by."""
    em, colour = scale.em, style.run_colour(number)
    drawn = group(f"field-{number + 1}")
    if hooping.place is None:
        return drawn
    x0, y0, x1, y1 = hooping.place
    rim = style.basting_dashes(scale) | {"stroke": colour, "stroke_width": num(0.12 * em)}
    drawn.add(path(open_path((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)), fill="none", **rim))
    x, y = _zero(hooping)
    thin = style.thin(scale, colour, 0.09)
    drawn.add(straight((x - em, y), (x + em, y), **thin))
    drawn.add(straight((x, y - em), (x, y + em), **thin))
    drawn.add(_arrow(hooping, colour, scale))
    for mark in hooping.marks:
        if mark.sewn:
            drawn.add(_ring(mark, colour, scale))
    return drawn


def _arrow(hooping: Hooping, colour: str, scale: Scale) -> Element:
    """A small head inside the field's top side."""
    em = scale.em
    x0, y0, x1, y1 = hooping.place or (0.0, 0.0, 0.0, 0.0)
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    tip, along = {
        0: ((x, y1 - 0.4 * em), (0.0, -1.0)),
        90: ((x0 + 0.4 * em, y), (1.0, 0.0)),
        180: ((x, y0 + 0.4 * em), (0.0, 1.0)),
        270: ((x1 - 0.4 * em, y), (-1.0, 0.0)),
    }[hooping.turn]
    back = (tip[0] + 1.4 * em * along[0], tip[1] + 1.4 * em * along[1])
    side = (-0.6 * em * along[1], 0.6 * em * along[0])
    head = ((back[0] + side[0], back[1] + side[1]), tip, (back[0] - side[0], back[1] - side[1]))
    return path(open_path(*head, head[0]), fill=colour, stroke=style.FABRIC, stroke_width="0.2")


def _ring(mark: Mark, colour: str, scale: Scale) -> Element:
    look = style.thin(scale, colour, 0.16)
    return disc(mark.at, 0.55 * scale.em, **look)


def _zero(hooping: Hooping) -> Point:
    x, y = hooping.origin or (0, 0)
    return (x / 10, y / 10)


def _middle(plan: Plan, hooping: Hooping, em: float) -> Point:
    """A place for the number: the middle of what is sewn, beside the zero of its file."""
    if hooping.cell is not None:
        x0, y0, x1, y1 = hooping.cell
        at = ((x0 + x1) / 2, (y0 + y1) / 2)
    else:
        centre = plan.panel.outline.centroid
        at = (centre.x, centre.y)
    x, y = _zero(hooping)
    beside = [(x, y + 3 * em), (x, y - 3 * em), (x - 3 * em, y), (x + 3 * em, y)]
    tried = beside if np.hypot(at[0] - x, at[1] - y) < 3 * em else [at, *beside]
    hard = shapely.union_all([zone.outline for zone in plan.panel.keep_outs])
    free = (spot for spot in tried if not hard.dwithin(shapely.Point(spot), 1.7 * em))
    return next(free, tried[0])


def _badge(number: int, at: Point, scale: Scale) -> Element:
    em = scale.em
    badge = group()
    badge.add(
        disc(
            at,
            1.5 * em,
            fill=style.WHITE,
            stroke=style.run_colour(number),
            stroke_width=num(0.2 * em),
        )
    )
    badge.add(
        words(
            str(number + 1),
            (at[0], at[1] + 0.6 * em),
            1.7 * em,
            text_anchor="middle",
            font_weight="bold",
            fill=style.run_colour(number),
        )
    )
    return badge


def _table(plan: Plan, at: Point, scale: Scale) -> Element:
    """A row for each hooping."""
    em, units = scale.em, plan.project.units
    x, y = at
    table = group("table")
    for column, head in zip(COLUMNS, HEADS, strict=True):
        table.add(
            words(head, (x + column * em, y), 0.9 * em, text_anchor="end", fill=style.SOFT_INK)
        )
    table.add(straight((x, y + 0.6 * em), (x + TABLE * em, y + 0.6 * em), **style.thin(scale)))
    for number, hooping in enumerate(plan.hoopings):
        low = y + (2.2 + ROW * number) * em
        table.add(_badge_small(number, (x + 0.9 * em, low - 0.35 * em), scale))
        last = len(plan.sewn) - 1 if hooping.last is None else hooping.last
        off = "" if hooping.misplacing is None else format_length(hooping.misplacing, units, 2)
        cells = (
            "",
            TOP_SIDES[hooping.turn],
            str(hooping.true_points),
            off,
            f"{last - hooping.first + 1:,}",
        )
        for column, text in zip(COLUMNS, cells, strict=True):
            table.add(words(text, (x + column * em, low), em, text_anchor="end", fill=style.INK))
    low = y + (2.6 + ROW * len(plan.hoopings)) * em
    for i, text in enumerate(
        (
            "off by: how far anything in it can lie off where",
            f"one of its true points is met {format_length(0.5, units, 2)} off",
        )
    ):
        at = (x, low + 1.3 * i * em)
        table.add(words(text, at, 0.85 * em, fill=style.SOFT_INK))
    return table


def _badge_small(number: int, at: Point, scale: Scale) -> Element:
    em = scale.em
    badge = group()
    badge.add(disc(at, 0.8 * em, fill=style.run_colour(number)))
    look = {"text_anchor": "middle", "font_weight": "bold", "fill": style.WHITE}
    badge.add(words(str(number + 1), (at[0], at[1] + 0.34 * em), 0.95 * em, **look))
    return badge


def _by(size: tuple[float, float], units: Unit) -> str:
    width, height = (format_length(side, units) for side in size)
    return f"{width.removesuffix(' ' + units)} \u00d7 {height}"
