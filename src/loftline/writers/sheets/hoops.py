"""The hooping sheet: where each hoop lies, its marks, its file's centre and first needle point."""

from __future__ import annotations

import math

import numpy as np
import shapely

from loftline.values import Hooping, Plan, Point
from loftline.writers.sheets.drawing import arrow, ground, zone_of
from loftline.writers.sheets.flow import STEP, Column, Flow
from loftline.writers.sheets.ink import PALE, SOFT, WHITE, Ink, Shape, box_edge, edge, straight
from loftline.writers.sheets.placing import Label, Placer
from loftline.writers.svg import wording as say

FIELD = Ink(width=0.5, dashes=(5.0, 1.5))
TURNED = {0: "upright", 90: "turned left", 180: "upside down", 270: "turned right"}
MARKS = {"cross": "sewn cross", "line end": "line end", "sheet": "point from the sheet"}


def hoop_sheets(flow: Flow, plan: Plan) -> None:
    """A picture of all hoopings and a table; nothing for a panel sewn without a hoop."""
    hoopings = [hooping for hooping in plan.hoopings if hooping.field is not None]
    if not hoopings:
        return
    units = plan.project.units
    many = len(hoopings) > 1
    flow.heading(say.counted(len(hoopings), "hooping"))
    flow.paragraph(
        "Dashes: the field of each hoop, its arrow at the hoop's top side. Cross: the file's "
        "centre, where the hoop's own centre lies. Dot: the first needle point. Rings: the "
        "points to lay the hoops by; true points are stitches that are there already. Places are "
        "measured from the lower left corner of the outline."
    )
    flow.space()
    _picture(flow, plan, hoopings)
    rows = []
    for number, hooping in enumerate(hoopings, 1):
        centre = _centre(plan, hooping)
        first = _first(plan, hooping)
        size = hooping.hoop or hooping.field or (0.0, 0.0)
        sides = f" {say.TIMES} ".join(say.fine_length(side, units).split()[0] for side in size)
        rows.append(
            (
                str(number),
                f"{plan.project.slug}-{number}" if many else plan.project.slug,
                f"{sides} {units}, {TURNED[hooping.turn % 360]}",
                _place(centre, plan),
                _place(first, plan),
                str(hooping.true_points),
            )
        )
    flow.table(
        (
            Column(title="", share=8),
            Column(title="file", share=36),
            Column(title="hoop", share=58),
            Column(title=f"centre, {units}", share=30),
            Column(title=f"first point, {units}", share=36),
            Column(title="true points", share=20, right=True),
        ),
        rows,
    )
    marked = [(number, hooping) for number, hooping in enumerate(hoopings, 1) if hooping.marks]
    if not marked:
        return
    flow.heading("Points to lay the hoops by")
    flow.table(
        (
            Column(title="hooping", share=22),
            Column(title="point", share=60),
            Column(title=f"from left, {units}", share=36, right=True),
            Column(title=f"from below, {units}", share=36, right=True),
        ),
        [
            (
                str(number),
                MARKS.get(mark.kind, mark.kind) + ("" if mark.sewn else ", to be marked"),
                *(say.distance(value, units) for value in mark.at),
            )
            for number, hooping in marked
            for mark in hooping.marks
        ],
    )


def _place(at: Point | None, plan: Plan) -> str:
    if at is None:
        return ""
    return ", ".join(say.distance(value, plan.project.units) for value in at)


def _centre(plan: Plan, hooping: Hooping) -> Point:
    x, y = hooping.origin or plan.sewn.origin
    return (x / 10, y / 10)


def _first(plan: Plan, hooping: Hooping) -> Point | None:
    if hooping.first >= len(plan.sewn):
        return None
    return (int(plan.sewn.x[hooping.first]) / 10, int(plan.sewn.y[hooping.first]) / 10)


def _field(plan: Plan, hooping: Hooping) -> tuple[float, float, float, float]:
    if hooping.place is not None:
        return hooping.place
    x, y = _centre(plan, hooping)
    wide, tall = hooping.seen or (0.0, 0.0)
    return (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)


def _picture(flow: Flow, plan: Plan, hoopings: list[Hooping]) -> None:
    panel = plan.panel
    fields = [_field(plan, hooping) for hooping in hoopings]
    area = shapely.union_all([ground(panel), *(shapely.box(*box) for box in fields)])
    x0, y0, x1, y1 = area.bounds
    scale = min(flow.wide / (x1 - x0), 125.0 / (y1 - y0), 1.0)
    high = (y1 - y0) * scale
    flow.need(high + 4)
    by = (flow.left + (flow.wide - scale * (x1 - x0)) / 2 - x0 * scale, flow.y - high - y0 * scale)

    def to(point: Point) -> Point:
        return (point[0] * scale + by[0], point[1] * scale + by[1])

    for zone in panel.keep_outs:
        flow.add(Shape(area=zone_of(zone), fill=PALE).moved(scale, by))
    flow.add(edge(panel.outline, Ink(width=0.5)).moved(scale, by))
    flow.add(edge(ground(panel), Ink(width=0.25, colour=SOFT)).moved(scale, by))
    window = (flow.left, flow.y - high, flow.left + flow.wide, flow.y)
    drawn = []
    for hooping, box in zip(hoopings, fields, strict=True):
        drawn.append(box_edge(box, FIELD).moved(scale, by))
        cx, cy = to(_centre(plan, hooping))
        drawn.append(straight((cx - 2, cy), (cx + 2, cy), Ink(width=0.35)))
        drawn.append(straight((cx, cy - 2), (cx, cy + 2), Ink(width=0.35)))
        heading = math.radians(90 + hooping.turn)
        tip = _top(box, hooping.turn)
        flow.add(arrow(to(tip), heading, 3.6))
        first = _first(plan, hooping)
        if first is not None:
            flow.add(Shape(area=shapely.Point(to(first)).buffer(0.9), fill="#000000"))
        for mark in hooping.marks:
            ring = shapely.Point(to(mark.at)).buffer(1.2)
            flow.add(Shape(area=ring, fill=WHITE), edge(ring, Ink(width=0.35)))
    flow.add(*drawn)
    placer = Placer(flow.face, window, drawn)
    for number, (hooping, box) in enumerate(zip(hoopings, fields, strict=True), 1):
        x, y = np.clip(to(_centre(plan, hooping)), to(box[:2]), to(box[2:])).tolist()
        near = shapely.Point(x, y)
        flow.add(
            *placer.place(
                Label(lines=(str(number),), near=near, bold=True, gap=2.0, ring="#000000")
            )
        )
    flow.y -= high + STEP


def _top(box: tuple[float, float, float, float], turn: int) -> Point:
    """Middle of the side where the hoop's top lies."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return {0: (x, box[3]), 90: (box[0], y), 180: (x, box[1]), 270: (box[2], y)}[turn % 360]
