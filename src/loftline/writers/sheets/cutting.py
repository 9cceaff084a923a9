"""The cutting list: the pieces of each cloth, and how they are laid out."""

from __future__ import annotations

import shapely

from loftline.trade.cloths import buy_words, cloth_length, cloth_title, cut_size
from loftline.units import format_length
from loftline.values import Cloth, Layout, Plan
from loftline.writers.sheets.flow import STEP, Column, Flow
from loftline.writers.sheets.ink import FALL, PALE, RISE, TEXT, Ink, Shape, box_edge
from loftline.writers.sheets.lettering import words
from loftline.writers.svg import wording as say
from loftline.writers.svg.marks import letters

TALLEST = 150.0
LARGEST = 0.2
"""Layouts are drawn no larger than a fifth."""


def cutting_sheets(flow: Flow, plan: Plan) -> None:
    """Each cloth: its pieces as a table, and how they are laid out."""
    cutting, units = plan.report.cutting, plan.project.units
    if cutting is None:
        return
    first = 0
    apart = format_length(cutting.gap, units)
    flow.paragraph(
        f"For {say.counted(cutting.bags, 'bag')}: sizes as cut, pieces at least {apart} apart. "
        "Nothing is added for shrinking or for faults in the cloth."
    )
    for cloth in cutting.cloths:
        flow.heading(cloth_title(cloth.material, cloth.kind), follows=6 * STEP)
        if cloth.pieces:
            flow.paragraph(
                f"Buy {buy_words(cloth.to_buy, units)}, "
                f"{format_length(cloth.width, units)} wide; it takes "
                f"{cloth_length(cloth.length, units)}, {cloth.waste:.0%} is waste."
                + (" This cloth has a direction: no piece is turned." if cloth.one_way else "")
            )
        rows = []
        for i, piece in enumerate((*cloth.pieces, *cloth.too_large)):
            name = piece.name + ("" if i < len(cloth.pieces) else ", does not fit on this cloth")
            size = cut_size(piece.width, piece.height, units)
            rows.append((letters(first + i), name, size, f"{piece.count:,}", f"{piece.in_all:,}"))
        flow.table(
            (
                Column(title="", share=9),
                Column(title="piece", share=62),
                Column(title="size", share=50),
                Column(title="one bag", share=22, right=True),
                Column(title="in all", share=22, right=True),
            ),
            rows,
        )
        for layout in cloth.layouts:
            _cloth_layout(flow, cloth, layout, first, plan)
        first += len(cloth.pieces) + len(cloth.too_large)


def _cloth_layout(flow: Flow, cloth: Cloth, layout: Layout, first: int, plan: Plan) -> None:
    units = plan.project.units
    room = flow.top - flow.low - 3 * STEP
    scale = min((flow.wide - 2) / cloth.width, min(room, TALLEST) / layout.length, LARGEST)
    high = layout.length * scale
    flow.need(high + 2.4 * STEP)
    bags = say.counted(layout.bags, "bag")
    times = "laid once" if layout.times == 1 else f"laid {layout.times:,} times"
    along = cloth_length(layout.length, units)
    across = format_length(cloth.width, units)
    base = flow.y - RISE * TEXT
    says = f"{bags}, {times}: {across} across, {along} along the cloth"
    flow.add(words(flow.face, says, (flow.left, base)))
    flow.y -= STEP + 0.6
    left, top = flow.left, flow.y
    flow.add(box_edge((left, top - high, left + cloth.width * scale, top), Ink(width=0.5)))
    for place in layout.places:
        x0, y1 = left + place.x * scale, top - place.y * scale
        x1, y0 = x0 + place.width * scale, y1 - place.height * scale
        flow.add(Shape(area=shapely.box(x0, y0, x1, y1), fill=PALE))
        flow.add(box_edge((x0, y0, x1, y1), Ink(width=0.25)))
        letter = letters(first + place.piece)
        wide = flow.face.width(letter, TEXT)
        if x1 - x0 > wide + 0.8 and y1 - y0 > (RISE + FALL) * TEXT + 0.2:
            at = ((x0 + x1) / 2, (y0 + y1) / 2 - 0.36 * TEXT)
            flow.add(words(flow.face, letter, at, anchor="middle"))
    flow.y = top - high - 2.0
