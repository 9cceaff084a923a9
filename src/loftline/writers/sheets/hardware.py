"""Hardware at full size, piece by piece, with what is to be known of it."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from loftline.units import Unit, format_length
from loftline.values import KeepOut, Piece, Plan
from loftline.writers.sheets.drawing import (
    BEYOND,
    HARD,
    LATER,
    RING,
    centre_of,
    cross,
    draw_slits,
    slits,
    zone_of,
)
from loftline.writers.sheets.flow import STEP, Flow
from loftline.writers.sheets.ink import PALE, RISE, TEXT, Curves, Shape, edge
from loftline.writers.sheets.lettering import words, wrapped
from loftline.writers.svg import wording as say
from loftline.writers.svg.letters import OTHER_HALF, lettered

MOST = 60
"""Pieces told one by one; a row of more eyelets is told by the panel."""

LEAST_WIDE = 36.0
APART = 6.0


def hardware_sheets(flow: Flow, plan: Plan) -> None:
    """Every piece at full size, with what is to be known of it."""
    panel, units = plan.panel, plan.project.units
    pieces = {piece.name: piece for piece in panel.pieces}
    things = lettered(panel)
    flow.heading("Hardware and keep-outs, full size")
    flow.paragraph(
        "Full line: hard edge. Dashes: clearance, where tape shows the needle's limit. Short "
        f"dashes: fitted later. A and A{OTHER_HALF} are the two halves of one closure."
    )
    flow.space()
    for letter, thing in things[:MOST]:
        told = list(_told(thing, pieces.get(thing.name), units))
        _entry(flow, f"{letter}  {thing.name}", told, thing, pieces.get(thing.name))
    if len(things) > MOST:
        flow.paragraph(f"… and {len(things) - MOST} more, as the panel shows them.")


def _told(thing: KeepOut | Piece, piece: Piece | None, units: Unit) -> Iterator[str]:
    if isinstance(thing, KeepOut):
        yield say.keep_out_words(thing, units)
    else:
        yield say.piece_words(thing, units)
    if piece is None:
        return
    x, y = (say.distance(value, units) for value in piece.at)
    yield f"centre {x} {units} from the left, {y} {units} from below"
    if piece.from_cut is not None and piece.from_finished is not None:
        yield say.edge_words(piece.from_cut, piece.from_finished, units, least=False)
    if piece.face_up:
        yield piece.face_up
    if piece.magnetic:
        yield "a magnet: keep it 15 cm from pacemakers"
    found = slits(piece)
    if found is not None:
        apart, long = (format_length(mm, units) for mm in found)
        yield f"prong slits, heavy lines: {apart} apart and {long} long, as is common"
        yield "lay your washer on the cross and mark through it where its slits lie otherwise"
    elif "snap" in piece.kind:
        yield "prong slits: mark them through the washer, laid on the cross"


def _entry(
    flow: Flow, name: str, told: list[str], thing: KeepOut | Piece, piece: Piece | None
) -> None:
    """The piece at the left, its name and what is told of it beside."""
    drawn, width, height = _piece_marks(thing, piece)
    if width > flow.wide / 2:
        drawn, width, height = [], 0.0, 0.0
        told.append("too large to be drawn here: see the panel")
    x = flow.left + max(width, LEAST_WIDE) + APART
    room = flow.left + flow.wide - x
    lines = [(line, True) for line in wrapped(flow.face, name, room, bold=True)]
    lines += [(line, False) for text in told for line in wrapped(flow.face, text, room)]
    deep = STEP * len(lines)
    tall = max(height, deep)
    flow.need(tall + 3.0)
    middle = (flow.left + max(width, LEAST_WIDE) / 2, flow.y - tall / 2)
    flow.add(*(mark.moved(1.0, middle) for mark in drawn))
    top = flow.y - (tall - deep) / 2
    for i, (line, bold) in enumerate(lines):
        flow.add(words(flow.face, line, (x, top - RISE * TEXT - STEP * i), bold=bold))
    flow.y -= tall + 3.0


def _piece_marks(
    thing: KeepOut | Piece, piece: Piece | None
) -> tuple[list[Curves | Shape], float, float]:
    """The piece about (0, 0), its width and height."""
    middle = centre_of(thing)
    back = (-middle[0], -middle[1])
    marks: list[Curves | Shape] = []
    shape = thing.outline
    if isinstance(thing, KeepOut):
        marks.append(Shape(area=shape, fill=PALE))
        marks.append(edge(zone_of(thing), RING))
        around = zone_of(thing)
        marks.append(edge(shape, HARD))
    else:
        marks.append(edge(shape, LATER))
        around = shape
    x0, y0, x1, y1 = shape.bounds
    marks.append(cross(middle, (x1 - x0) / 2 + BEYOND, (y1 - y0) / 2 + BEYOND))
    marks += [] if piece is None else draw_slits(piece)
    a, b, c, d = shapely.union(around, shape.buffer(BEYOND)).bounds
    return [mark.moved(1.0, back) for mark in marks], c - a, d - b
