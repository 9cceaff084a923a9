"""The overview: the bag closed and flat, its figures, and the key to all signs."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

import numpy as np
import shapely

from loftline.units import format_length
from loftline.values import Affine, ClosedFace, Kind, Panel, Plan, Point
from loftline.writers.sheets import drawing as draw
from loftline.writers.sheets.drawing import Drawing, arrow, cross
from loftline.writers.sheets.flow import STEP, Column, Flow
from loftline.writers.sheets.ink import (
    LEADING,
    PALE,
    RISE,
    TEXT,
    WHITE,
    Curves,
    Ink,
    Mark,
    Shape,
    edge,
    lines,
    straight,
)
from loftline.writers.sheets.lettering import words, wrapped
from loftline.writers.sheets.placing import Label, Placer, bounds_of
from loftline.writers.sheets.quilting import draw_quilting, draw_sewn, run_ink
from loftline.writers.svg import wording as say
from loftline.writers.svg.closed import parts_words
from loftline.writers.svg.closed_marks import face_marks
from loftline.writers.svg.closed_place import Slot, closed_notes
from loftline.writers.svg.closed_shapes import edges_of, merged_lines, seen_thread
from loftline.writers.svg.strands import Strands
from loftline.writers.svg.style import run_colour

TALLEST = 92.0
GAP = 6.0
TITLE = 7.0
LEAST_SLOT = 46.0
"""Width of the words under a picture, mm."""
THREAD = Ink(width=0.25, colour=run_colour(0))
HIDDEN = Ink(width=0.25, dashes=(0.8, 0.6))
ON_TOP = Ink(width=0.6)

HOW = (
    (
        "Print at 100 % (“actual size”), on one side. Measure both squares on the first sheet "
        "with the ruler you sew with."
    ),
    (
        "A drawing at full size runs over several sheets, or tiles. The small map in the upper "
        "right corner shows where a tile lies: letters are rows from the top, numbers columns "
        "from the left."
    ),
    (
        "Where a thin line runs along a tile's left or upper edge, cut along it. Lay the tile "
        "over the dotted strip that bears its name, cross on cross, and glue."
    ),
    "Measure again across the glued sheets before you cut cloth.",
)

MANY = (
    "These are many sheets to tape. A copy shop prints each drawing on one large sheet: write "
    'paper = "one sheet" in [sheets].'
)
FROM_THE_BACK = (
    "Sewn from the back: these sheets show the panel turned over, left and right changed, as it "
    "lies under the needle. Trace them on the back, the side that lies up. Only the closed bag is "
    "drawn as you see it from outside."
)
INDENT = 7.0

Row: TypeAlias = tuple[str, Callable[[Point], Sequence[Mark]]]
"""A meaning, and what draws its sign about a middle."""


def overview(
    flow: Flow, plan: Plan, contents: Sequence[tuple[str, str]], *, many: bool = False
) -> None:
    """Name, sizes, pictures, cautions, notes, key, how to put tiles together, the other sheets.

    Args:
        flow: to be filled.
        plan: what was planned.
        contents: what the other sheets show, and their numbers.
        many: whether a drawing takes so many sheets that one large one is less work.
    """
    units = plan.project.units
    for line in wrapped(flow.face, plan.project.name, flow.wide, TITLE, bold=True):
        flow.need(TITLE * LEADING)
        flow.add(words(flow.face, line, (flow.left, flow.y - RISE * TITLE), size=TITLE, bold=True))
        flow.y -= LEADING * TITLE
    for text in (say.subtitle(plan), _batch(plan)):
        flow.paragraph(text)
    if flow.side:
        flow.paragraph(FROM_THE_BACK, bold=True)
    flow.space()
    _pictures(flow, plan)
    if plan.report.cautions:
        flow.boxed("Take care", plan.report.cautions)
    for note in closed_notes(plan.panel, units):
        flow.paragraph(note)
    missing = flow.face.missing(_all_names(plan))
    if missing:
        which = f" ({_scripts(missing)})" if _scripts(missing) else ""
        flow.paragraph(f"An empty square □ stands for letters that our fonts have not{which}.")
    _key(flow, list(_signs(plan)))
    if contents:
        told = [*HOW, MANY] if many else HOW
        tall = STEP * sum(len(wrapped(flow.face, text, flow.wide - INDENT)) for text in told)
        flow.heading("Before you use the sheets", follows=tall)
        for number, text in enumerate(told, 1):
            flow.paragraph(text, indent=INDENT, lead=f"{number}")
        flow.heading("Sheets in this file")
        columns = (Column(title="what it shows", share=70), Column(title="sheets", share=40))
        flow.table(columns, contents)


def _scripts(letters: str) -> str:
    """Names of the scripts of some letters, by the first word of each letter's own name."""
    names = [
        unicodedata.name(letter, "").split(" ")[0].capitalize()
        for letter in letters
        if unicodedata.category(letter).startswith("L")
    ]
    return ", ".join(dict.fromkeys(name for name in names if name))


def _batch(plan: Plan) -> str:
    totals = say.totals(plan.report, plan.project.units)
    if plan.report.copies > 1:
        return f"One of {plan.report.copies:,} bags: {totals}"
    return totals


def _all_names(plan: Plan) -> str:
    panel = plan.panel
    names = [piece.name for piece in panel.pieces] + [zone.name for zone in panel.keep_outs]
    names += [part.name for part in panel.parts] + [fold.name for fold in panel.folds]
    return "".join([plan.project.name, *names])


def _pictures(flow: Flow, plan: Plan) -> None:
    """Closed faces and the flat panel, side by side in one scale."""
    panel = plan.panel
    x0, y0, x1, y1 = draw.ground(panel).bounds
    sizes = [*(face.size for face in panel.closed), (x1 - x0, y1 - y0)]
    wide = flow.wide - GAP * (len(sizes) - 1)
    scale = min(TALLEST / max(h for _, h in sizes), 1.0)
    while sum(max(w * scale, LEAST_SLOT) for w, _ in sizes) > wide:
        scale *= 0.98
    slots = [max(w * scale, LEAST_SLOT) for w, _ in sizes]
    high = max(h for _, h in sizes) * scale
    caption = 3 * STEP
    flow.need(high + caption + 2)
    strands, _ = draw_sewn(plan.sewn, 0.25)
    left, top = flow.left + (wide - sum(slots)) / 2, flow.y
    for face, slot in zip(panel.closed, slots[:-1], strict=True):
        low = top - high
        _face(flow, face, plan, strands, (left, low), scale)
        says = "folded" if panel.strap else "closed"
        size = f" {say.TIMES} ".join(format_length(side, plan.project.units) for side in face.size)
        _caption(flow, (left, low, slot), [f"{says}, {face.name}", size, parts_words(face)])
        left += slot + GAP
    low = top - high
    _flat(flow, draw_quilting(plan), (left - x0 * scale, low - y0 * scale), scale)
    a, b, c, d = panel.outline.bounds
    size = f" {say.TIMES} ".join(format_length(side, plan.project.units) for side in (c - a, d - b))
    side = say.side_words(panel) or "outer fabric up"
    _caption(flow, (left, low, slots[-1]), [f"flat, {side}", size])
    flow.y = low - caption - 3


def _caption(flow: Flow, under: tuple[float, float, float], told: Sequence[str]) -> None:
    x, low, wide = under
    y = low - 1.2 - RISE * TEXT
    room = wide + GAP - 2
    shown = [line for text in told for line in wrapped(flow.face, text, room)]
    for i, line in enumerate(shown[:3]):
        flow.add(words(flow.face, line, (x, y - STEP * i), bold=i == 0))


def _face(
    flow: Flow, face: ClosedFace, plan: Plan, strands: Strands, at: Point, scale: float
) -> None:
    panel = plan.panel
    x0, y0, x1, y1 = face.bounds
    fit = Affine(scale, 0.0, 0.0, scale, at[0] - scale * x0, at[1] - scale * y0)
    slot = Slot(at=at, width=(x1 - x0) * scale, move=fit, shrunk=1)
    moves = [shown.move.then(fit) for shown in face.parts]
    wholes = [fit.area(shown.whole) for shown in face.parts]
    for shown, move, whole in zip(face.parts, moves, wholes, strict=True):
        flow.add(Shape(area=whole, fill=WHITE))
        points, starts = seen_thread(strands, move, fit.area(shown.area))
        if len(points):
            flow.add(Curves(points=points, starts=starts, ink=THREAD))
        flow.add(edge(whole, Ink(width=0.35)))
    lining = fit.area(face.lining)
    if not lining.is_empty:
        flow.add(Shape(area=lining, fill=PALE), edge(lining, Ink(width=0.35)))
    for found, ink in zip(edges_of(panel, moves, wholes, lining), (ON_TOP, HIDDEN), strict=True):
        if not shapely.is_empty(found):
            points, starts = merged_lines(found)
            flow.add(Curves(points=points, starts=starts, ink=ink))
    window = (at[0], at[1], at[0] + slot.width, at[1] + scale * (y1 - y0))
    placer = Placer(flow.face, window, [])
    together: dict[tuple[int, int], list[str]] = {}
    spots: dict[tuple[int, int], shapely.Geometry] = {}
    for mark in face_marks(face, panel, slot):
        flow.add(Shape(area=mark.whole, fill=WHITE if mark.seen.is_empty else PALE))
        ink = HIDDEN if mark.seen.is_empty else Ink(width=0.35)
        flow.add(edge(mark.whole, ink))
        middle = mark.whole.centroid
        key = (round(middle.x), round(middle.y))
        together.setdefault(key, []).append(mark.letter)
        spots[key] = mark.whole
    roomy = {key for key, spot in spots.items() if _holds_letters(spot)}
    for key in spots.keys() - roomy:
        placer.take(bounds_of(spots[key]))
    for key, found_letters in together.items():
        text = " ".join(dict.fromkeys(found_letters))
        own = key in roomy
        named = Label(
            lines=(text,), near=spots[key], gap=0.4, lead=False, inside=own, plate=not own
        )
        flow.add(*placer.place(named))


def _holds_letters(spot: shapely.Geometry) -> bool:
    """Whether a thing is drawn large enough for its letters."""
    x0, y0, x1, y1 = bounds_of(spot)
    return x1 - x0 > 3 * TEXT and y1 - y0 > 1.4 * TEXT


def _flat(flow: Flow, drawn: Drawing, by: Point, scale: float) -> None:
    for shape in drawn.shapes:
        flow.add(shape.moved(scale, by))
    for curve in drawn.curves:
        thin = Ink(
            width=max(0.25, 0.5 * curve.ink.width),
            colour=curve.ink.colour,
            dashes=tuple(0.4 * dash for dash in curve.ink.dashes),
        )
        moved = curve.moved(scale, by)
        flow.add(Curves(points=moved.points, starts=moved.starts, ink=thin))


def _key(flow: Flow, rows: Sequence[Row]) -> None:
    """Signs in two columns, read down, under their heading."""
    column = (flow.wide - 6) / 2
    texts = [wrapped(flow.face, text, column - 20) for text, _ in rows]
    half = sum(map(len, texts)) / 2
    done, place, deep = 0, 0, 0.0
    flow.heading("Key", follows=STEP * half + len(rows) * 0.7 + STEP)
    top = flow.y
    y = top
    for text, (_, sign) in zip(texts, rows, strict=True):
        if place == 0 and done >= half:
            place, deep, y = 1, top - y, top
        x = flow.left + place * (column + 6)
        tall = STEP * len(text)
        flow.add(*sign((x + 8, y - tall / 2)))
        for i, line in enumerate(text):
            flow.add(words(flow.face, line, (x + 19, y - RISE * TEXT - STEP * i)))
        y -= tall + 1.0
        done += len(text)
    flow.y = top - max(deep, top - y) - 0.5


def _rule(ink: Ink) -> Callable[[Point], Sequence[Mark]]:
    return lambda at: [straight((at[0] - 8, at[1]), (at[0] + 8, at[1]), ink)]


def _signs(plan: Plan) -> Iterator[Row]:
    panel, units = plan.panel, plan.project.units
    yield from _panel_signs(panel, say.fine_length(panel.seam_allowance, units))
    kinds = {Kind(int(kind)) for kind in np.unique(plan.sewn.kind)}
    yield "line; each run has its own look", _rule(run_ink(0, Kind.LINE))
    if Kind.TRAVEL in kinds:
        yield "travel: sewn to reach the next line", _rule(run_ink(0, Kind.TRAVEL))
    if Kind.DOUBLE in kinds:
        yield "sewn over again", _rule(run_ink(0, Kind.DOUBLE))
    if Kind.REGISTRATION in kinds:
        yield "registration cross of a hooping", _rule(run_ink(0, Kind.REGISTRATION))
    if Kind.BASTING in kinds:
        yield "basting, picked out later", _rule(run_ink(0, Kind.BASTING))
    yield "direction of sewing", _direction
    yield "a run starts (dot), a run ends (bar)", _ends


def _panel_signs(panel: Panel, allowance: str) -> Iterator[Row]:
    yield "outline: trim here after quilting", _rule(draw.OUTLINE)
    if panel.overhang > 0:
        yield "edge of the extra to trim off", _rule(draw.OVERHANG)
    if panel.seam_allowance > 0:
        yield f"seam line, {allowance} inside", _rule(draw.SEAM)
    if any(fold.closed_to == "nothing" for fold in panel.folds):
        yield "fold", _rule(draw.FOLD)
    if any(fold.closed_to != "nothing" for fold in panel.folds):
        yield "fold closed to what is written beside it", _rule(draw.CLOSED_FOLD)
    if panel.darts:
        yield "dart or boxed corner", _dart
    yield "centre line", _rule(draw.CENTRE)
    if panel.keep_outs:
        yield "hard edge, and its clearance: tape here", _keep_out
    if any(piece.fitted != "before quilting" for piece in panel.pieces):
        yield "hardware that is fitted later", _later


def _dart(at: Point) -> Sequence[Mark]:
    x, y = at
    wedge = shapely.Polygon([(x - 7, y - 1.6), (x + 6, y), (x - 7, y + 1.6)])
    return [Shape(area=wedge, fill=PALE), edge(wedge, Ink(width=0.5))]


def _keep_out(at: Point) -> Sequence[Mark]:
    hard, ring = shapely.Point(at).buffer(1.1), shapely.Point(at).buffer(1.9)
    small = Ink(width=0.35, dashes=(1.2, 0.6))
    return [Shape(area=hard, fill=PALE), edge(hard, draw.HARD), edge(ring, small)]


def _later(at: Point) -> Sequence[Mark]:
    disc = shapely.Point(at).buffer(1.4)
    return [edge(disc, Ink(width=0.5, dashes=(0.8, 0.6))), cross(at, 2.0, 2.0)]


def _direction(at: Point) -> Sequence[Mark]:
    ink = run_ink(0, Kind.LINE)
    return [*_rule(ink)(at), arrow((at[0] + 1.5, at[1]), 0.0, 3.0, ink.colour)]


def _ends(at: Point) -> Sequence[Mark]:
    ink = run_ink(0, Kind.LINE)
    x, y = at
    dot = Shape(area=shapely.Point((x - 7, y)).buffer(1.1), fill=ink.colour)
    bar = lines([np.array([(x + 8, y - 1.7), (x + 8, y + 1.7)])], Ink(width=0.7, colour=ink.colour))
    return [straight((x - 7, y), (x + 8, y), ink), dot, bar]
