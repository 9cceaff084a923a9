"""The picture of a plan: full size, with a key beside it, and the closed bag below.

Coordinates of the page are millimetres. The group ``panel`` is turned over, so that within
it everything stands at its panel coordinates, y up.
"""

from __future__ import annotations

from dataclasses import replace

from loftline.mirror import as_sewn
from loftline.units import Unit
from loftline.values import Plan, Point
from loftline.writers.svg.bar import scale_bar
from loftline.writers.svg.closed import draw_closed, paint_face, parts_words
from loftline.writers.svg.closed_place import only_face
from loftline.writers.svg.key import draw_block, make_key
from loftline.writers.svg.labels import Taken, draw_measures, draw_names
from loftline.writers.svg.letters import draw_letters
from loftline.writers.svg.lines import draw_directions, draw_ends, draw_runs
from loftline.writers.svg.marks import Element, group, num, safe_text
from loftline.writers.svg.numbers import draw_run_numbers
from loftline.writers.svg.page import HEADER_LINE, MARGIN, Page, lay_out
from loftline.writers.svg.panel import draw_ground, draw_later, draw_outline
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.strands import make_strands, mark_runs
from loftline.writers.svg.style import Scale, make_scale

__all__ = ["draw_closed_face", "draw_plan"]

ABOUT = "A quilted panel, outer fabric {side}, full size: lines, sewing order, keep-outs."
FACE_EM = 0.032
"""Height of letters on a face that stands alone, of its width."""

CLOSED = " Below it the closed bag, front and back."
STRAP = " Below it the folded strap, front and back."


def draw_plan(plan: Plan) -> str:
    """Draw a plan as SVG, its panel as it lies under the needle.

    Args:
        plan: the plan; its lines are drawn as they are sewn, within 0.1 mm.

    Returns:
        The text of an SVG file, its size in mm at full size; the same plan gives the same
        text. A notebook shows it as it is.
    """
    plan = as_sewn(plan)
    scale = make_scale(plan)
    strands = make_strands(plan.sewn)
    marks = mark_runs(plan.sewn, 2.0 * scale.em)
    page = lay_out(plan, make_key(plan, strands, marks, scale), scale)
    x, y = page.frame.origin
    panel = group("panel", transform=f"translate({num(x)},{num(y)}) scale(1,-1)")
    for part in (
        *draw_ground(plan.panel, scale),
        *draw_runs(strands, scale),
        draw_outline(plan.panel, scale),
        draw_directions(strands, scale),
        draw_later(plan.panel, scale),
        draw_ends(marks, scale),
    ):
        panel.add(part)
    taken, units = Taken(), plan.project.units
    about = ABOUT.format(side="down" if plan.panel.seen_from == "back" else "up")
    if page.closed is not None:
        about += STRAP if plan.panel.strap else CLOSED
    drawing = empty_sheet(plan.project.name, about, (page.width, page.height), scale)
    for part in (
        heading(page.name, page.header, page.width - 2 * MARGIN * scale.em, HEADER_LINE, scale),
        panel,
        draw_measures(plan.panel, page.frame, scale, units=units, taken=taken),
        draw_names(plan.panel, page.frame, scale, units=units, taken=taken),
        draw_letters(plan.panel, page.frame, scale, taken),
        draw_run_numbers(marks, page.frame, scale, taken),
        _key(page, scale),
        _scale_bar(page.bar, units, scale),
    ):
        drawing.add(part)
    if page.closed is not None:
        drawing.add(draw_closed(plan.panel, strands, page.closed, scale, units))
    return text_of(drawing)


def draw_closed_face(plan: Plan, index: int) -> str:
    """Draw one face of the closed bag alone, without words but its letters.

    Args:
        plan: the plan.
        index: of the face in ``plan.panel.closed``.

    Returns:
        The text of an SVG file, full size; the same plan gives the same text.
    """
    face = plan.panel.closed[index]
    wide, high = face.size
    usual = make_scale(plan)
    # letters are read in a picture that is a hand wide
    scale = replace(usual, em=max(usual.em, min(FACE_EM * wide, 0.25 * high)))
    # letters of what lies at the edge may stand beside it
    margin = 1.6 * scale.em
    about = f"The closed bag, {face.name}: {parts_words(face)}."
    size = (wide + 2 * margin, high + 2 * margin)
    drawing = empty_sheet(plan.project.name, safe_text(about), size, scale)
    slot = only_face(face, margin)
    for part in paint_face(face, plan.panel, make_strands(plan.sewn), slot, scale):
        drawing.add(part)
    return text_of(drawing)


def _key(page: Page, scale: Scale) -> Element:
    key = group("key")
    for at, block, height in page.key:
        key.add(draw_block(block, at, height, scale))
    return key


def _scale_bar(at: Point, units: Unit, scale: Scale) -> Element:
    """A bar of 100 mm, or of 4 in where the project is in inches."""
    parts, length, text = (4, 4 * 25.4, "4 in") if units == "in" else (10, 100.0, "100 mm")
    text = f"{text} when printed full size: measure it first"
    return scale_bar(at, parts, length, text, scale)
