"""The signs of the key: each as it is drawn in the picture, with its meaning."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from loftline.units import Unit
from loftline.values import KeepOut, Kind, Panel, Point
from loftline.writers.svg import style
from loftline.writers.svg.closed_marks import shows
from loftline.writers.svg.letters import lettered
from loftline.writers.svg.lines import end_bar, line_look
from loftline.writers.svg.marks import (
    Element,
    arrow_head,
    box,
    disc,
    group,
    open_path,
    path,
    straight,
)
from loftline.writers.svg.numbers import ring_number
from loftline.writers.svg.panel import DOTS, cross, later_pieces
from loftline.writers.svg.style import Look, Scale
from loftline.writers.svg.up_arrows import up_arrow
from loftline.writers.svg.wording import fine_length

Sign = tuple[str, Callable[[Point], Element]]
"""A meaning, and what draws its sign about a middle."""

HALF = 2.0
"""Half the length of a sign, ems."""

COLOUR = style.run_colour(0)

KIND_SIGNS = {
    Kind.LINE: ("line; each run has its own look", (Kind.LINE,)),
    Kind.TRAVEL: ("travel: sewn to reach the next line", (Kind.TRAVEL,)),
    Kind.DOUBLE: ("sewn over again", (Kind.DOUBLE, Kind.LINE)),
    Kind.REGISTRATION: ("registration cross", (Kind.REGISTRATION,)),
    Kind.BASTING: ("basting, picked out later", (Kind.BASTING,)),
}


def signs_of(panel: Panel, kinds: set[Kind], runs: int, scale: Scale, units: Unit) -> list[Sign]:
    """Every sign that occurs in the picture."""
    return [
        *_panel_signs(panel, scale, units),
        *_sewn_signs(kinds, runs, scale),
        *_closed_signs(panel, scale),
    ]


def _panel_signs(panel: Panel, scale: Scale, units: Unit) -> Iterator[Sign]:
    yield "outline: cut here after quilting", lambda at: _rule(at, scale, style.outline_look(scale))
    if panel.overhang > 0:
        yield "extra to trim off", lambda at: _trim(at, scale)
    if panel.seam_allowance > 0:
        text = f"seam allowance, {fine_length(panel.seam_allowance, units)}"
        yield text, lambda at: _rule(at, scale, style.seam_look(scale))
    yield from _fold_signs(panel, scale)
    if any(dart.boxed is None for dart in panel.darts):
        yield "dart: cut or sewn out, legs meet at the dot", lambda at: _dart(at, scale)
    if any(dart.boxed is not None for dart in panel.darts):
        yield "boxed corner: cut out, then sewn across", lambda at: _boxed(at, scale)
    if panel.keep_outs:
        yield "keep-out: hard edge, no-needle zone", lambda at: _keep_out(at, scale)
    if later_pieces(panel):
        yield "fitted after the quilting", lambda at: _later(at, scale)


def _fold_signs(panel: Panel, scale: Scale) -> Iterator[Sign]:
    if any(fold.closed_to == "nothing" for fold in panel.folds):
        yield "fold", lambda at: _rule(at, scale, style.fold_look(scale))
    if any(fold.closed_to != "nothing" for fold in panel.folds):
        text = "fold closed to what is written beside it"
        yield text, lambda at: _rule(at, scale, style.closed_fold_look(scale))
    if any(fold.gap > 0 for fold in panel.folds):
        yield "strip without foam along a fold", lambda at: _gap(at, scale)
    if any(fold.crease for fold in panel.folds):
        yield "creased fold: a line is sewn along it", lambda at: _crease(at, scale)
    if panel.closed:
        yield (
            f"up in the {_named(panel)}, for one-way prints",
            lambda at: up_arrow(at, (1.0, 0.0), scale),
        )


def _sewn_signs(kinds: set[Kind], runs: int, scale: Scale) -> Iterator[Sign]:
    again = style.DIFFERENT_RUNS + 1
    for kind, (text, looks) in KIND_SIGNS.items():
        if kind not in kinds:
            continue
        alike = kind == Kind.LINE and runs >= again
        told = f"line; run {again} looks like run 1 again" if alike else text
        yield told, partial(_sewn, scale=scale, kinds=looks)
    if kinds:
        yield "direction of sewing", lambda at: _arrow(at, scale)
        yield "a run starts", lambda at: _start(at, scale)
        yield "a run ends", lambda at: _end(at, scale)


def _named(panel: Panel) -> str:
    """What the folded panel is."""
    return "folded strap" if panel.strap else "closed bag"


def _closed_signs(panel: Panel, scale: Scale) -> Iterator[Sign]:
    if not panel.closed:
        return
    named = _named(panel)
    things = [thing for _, thing in lettered(panel)]
    drawn = [thing for thing in things if isinstance(thing, KeepOut) and not thing.hardware]
    over = any(shown.covered.area > 0 for face in panel.closed for shown in face.parts)
    if over:
        yield (
            f"{named}: edge that lies on top",
            lambda at: _rule(at, scale, style.on_top_look(scale)),
        )
    if over or not all(shows(thing) for thing in things):
        text = f"{named}: inside or underneath"
        yield text, lambda at: _rule(at, scale, style.hidden_look(scale))
    if any(shows(thing) and thing not in drawn for thing in things):
        yield f"{named}: hardware that shows", lambda at: _shown(at, scale, {"fill": style.HARD})
    if not all(face.lining.is_empty for face in panel.closed):
        look = style.lining_look(scale)
        yield f"{named}: lining that is seen", partial(_shown, scale=scale, look=look)
    if drawn:
        look = style.outline_look(scale) | {"fill": style.PAPER}
        yield f"{named}: drawn keep-out, such as a label", partial(_shown, scale=scale, look=look)


def _shown(at: Point, scale: Scale, look: Look) -> Element:
    em = scale.em
    return box((at[0] - 0.9 * em, at[1] - 0.5 * em), 1.8 * em, em, **look)


def _gap(at: Point, scale: Scale) -> Element:
    em = scale.em
    corner = (at[0] - HALF * em, at[1] - 0.45 * em)
    sign = group()
    sign.add(box(corner, 2 * HALF * em, 0.9 * em, **style.gap_look(scale)))
    sign.add(_rule(at, scale, style.fold_look(scale)))
    return sign


def _crease(at: Point, scale: Scale) -> Element:
    sign = group()
    sign.add(_rule(at, scale, style.fold_look(scale)))
    sign.add(_rule(at, scale, line_look(Kind.LINE, 0, scale)))
    return sign


def _rule(at: Point, scale: Scale, look: Look) -> Element:
    reach = HALF * scale.em
    return straight((at[0] - reach, at[1]), (at[0] + reach, at[1]), **look)


def _sewn(at: Point, scale: Scale, kinds: tuple[Kind, ...] = (Kind.LINE,)) -> Element:
    sign = group()
    for kind in kinds:
        sign.add(_rule(at, scale, line_look(kind, 0, scale)))
    return sign


def _trim(at: Point, scale: Scale) -> Element:
    em = scale.em
    corner, wide, tall = (at[0] - HALF * em, at[1] - 0.6 * em), 2 * HALF * em, 1.2 * em
    dotted = style.thin(scale, ems=0.04) | {"fill": f"url(#{DOTS})"}
    sign = group()
    sign.add(box(corner, wide, tall, fill=style.TRIM))
    sign.add(box(corner, wide, tall, **dotted))
    return sign


def _dart(at: Point, scale: Scale) -> Element:
    em, (x, y) = scale.em, at
    one, tip, two = (x - HALF * em, y - 0.6 * em), (x + HALF * em, y), (x - HALF * em, y + 0.6 * em)
    sign = group()
    sign.add(path(open_path(one, tip, two), **style.outline_look(scale) | {"fill": style.TRIM}))
    sign.add(disc(tip, 0.22 * em, fill=style.INK))
    return sign


def _boxed(at: Point, scale: Scale) -> Element:
    em, (x, y) = scale.em, at
    left, right, above, below = x - HALF * em, x + 0.4 * em, y - 0.6 * em, y + 0.6 * em
    corners = open_path((left, above), (right, above), (right, below), (left, below))
    return path(corners, **style.outline_look(scale) | {"fill": style.TRIM})


def _keep_out(at: Point, scale: Scale) -> Element:
    sign = group()
    ring = style.thin(scale, style.SOFT_INK) | {"fill": style.ZONE}
    sign.add(disc(at, 0.78 * scale.em, **ring))
    sign.add(disc(at, 0.42 * scale.em, fill=style.HARD))
    return sign


def _later(at: Point, scale: Scale) -> Element:
    half = 0.5 * scale.em
    sign = group()
    sign.add(disc(at, half, **style.later_look(scale)))
    sign.add(cross(at, half, half, scale))
    return sign


def _arrow(at: Point, scale: Scale) -> Element:
    sign = _sewn(at, scale)
    tip = (at[0] + 0.5 * scale.arrow, at[1])
    sign.add(path(arrow_head(tip, 0, scale.arrow), fill=COLOUR))
    return sign


def _start(at: Point, scale: Scale) -> Element:
    em, (x, y) = scale.em, at
    sign = group()
    line = line_look(Kind.LINE, 0, scale)
    sign.add(straight((x - 0.3 * em, y), (x + HALF * em, y), **line))
    sign.add(disc((x - 0.3 * em, y), 0.26 * em, fill=COLOUR))
    sign.add(ring_number((x - 1.4 * em, y), 0, 0.85 * em))
    return sign


def _end(at: Point, scale: Scale) -> Element:
    sign = _sewn(at, scale)
    sign.add(end_bar((at[0] + HALF * scale.em, at[1]), 0, COLOUR, scale))
    return sign
