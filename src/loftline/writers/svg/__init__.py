"""The picture of a plan: full size, with a key beside it, and the closed bag below.

Coordinates of the page are millimetres. The group ``panel`` is turned over, so that within
it everything stands at its panel coordinates, y up.
"""

from __future__ import annotations

from loftline.units import Unit
from loftline.values import Plan, Point
from loftline.writers.svg.bar import scale_bar
from loftline.writers.svg.closed import draw_closed
from loftline.writers.svg.closed_place import place_faces
from loftline.writers.svg.key import draw_block, make_key
from loftline.writers.svg.labels import Taken, draw_measures, draw_names
from loftline.writers.svg.letters import draw_letters
from loftline.writers.svg.lines import draw_directions, draw_ends, draw_runs
from loftline.writers.svg.marks import Element, group, num
from loftline.writers.svg.numbers import draw_run_numbers
from loftline.writers.svg.page import HEADER_LINE, MARGIN, Page, lay_out
from loftline.writers.svg.panel import draw_ground, draw_later, draw_outline
from loftline.writers.svg.sheet import empty_sheet, heading, text_of
from loftline.writers.svg.strands import make_strands, mark_runs
from loftline.writers.svg.style import Scale, make_scale

__all__ = ["draw_closed_bag", "draw_plan"]

ABOUT = "A quilted panel, outer fabric up, full size: lines, sewing order, keep-outs."
CLOSED = " Below it the closed bag, front and back."
STRAP = " Below it the folded strap, front and back."


def draw_plan(plan: Plan) -> str:
    """Draw a plan as SVG.

    Args:
        plan: the plan; its lines are drawn as they are sewn, within 0.1 mm.

    Returns:
        The text of an SVG file, its size in mm at full size; the same plan gives the same
        text. A notebook shows it as it is.
    """
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
    about = ABOUT
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


def draw_closed_bag(plan: Plan) -> str:
    """Draw the closed bag alone, front and back; of a panel without folds an empty sheet.

    Args:
        plan: the plan.

    Returns:
        The text of an SVG file; the same plan gives the same text.
    """
    scale = make_scale(plan)
    margin = MARGIN * scale.em
    wide = sum(face.size[0] for face in plan.panel.closed) + 12 * scale.em
    tall = max((face.size[1] for face in plan.panel.closed), default=0.0) + 12 * scale.em
    band = place_faces(plan.panel, (margin, margin), wide, tallest=tall, em=scale.em)
    height = margin if band is None else band.bottom
    size = (wide + 2 * margin, height + margin)
    drawing = empty_sheet(plan.project.name, "The closed bag, front and back.", size, scale)
    if band is not None:
        strands = make_strands(plan.sewn)
        drawing.add(draw_closed(plan.panel, strands, band, scale, plan.project.units))
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
