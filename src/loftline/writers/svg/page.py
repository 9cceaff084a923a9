"""Where things stand on the page."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from loftline.values import Plan, Point
from loftline.writers.svg import wording as say
from loftline.writers.svg.closed_place import Band, place_faces
from loftline.writers.svg.key import COLUMN, GAP, Block, heights
from loftline.writers.svg.labels import Frame, room
from loftline.writers.svg.marks import LETTER_WIDTH, safe_text
from loftline.writers.svg.style import Scale, drawn_bounds

# ems
MARGIN = 2.2
BETWEEN = 3.0
TITLE = 2.3
HEADER_LINE = 1.55
LEAST_WIDTH = 46.0
FOOT = 3.4
TALLEST = 40.0
LEAST_CLOSED = 30.0

Placed = tuple[Point, Block, float]
"""A block of the key, where it starts, and the height (ems) it has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The page, mm from its upper left corner.

    Attributes:
        name: of the bag.
        header: lines under the name.
        frame: where the panel lies.
        key: where the blocks of the key stand.
        bar: where the scale bar starts.
        closed: where the closed bag stands, if there is one.
    """

    width: float
    height: float
    name: str
    header: tuple[str, ...]
    frame: Frame
    key: tuple[Placed, ...]
    bar: Point
    closed: Band | None


def lay_out(plan: Plan, blocks: Sequence[Block], scale: Scale) -> Page:
    """The key to the right of the panel; below it, in columns, where the panel is wide."""
    em = scale.em
    x0, y0, x1, y1 = drawn_bounds(plan.panel)
    left, above, right, below = room(plan.panel, scale, plan.project.units)
    wide, high = x1 - x0 + left + right, y1 - y0 + above + below + FOOT * em
    columns = ((COLUMN + BETWEEN) * len(blocks) - BETWEEN) * em
    beneath = wide > 1.5 * high and wide > 0.8 * columns
    body = max(wide, columns) if beneath else wide + (BETWEEN + COLUMN) * em
    body = max(body, LEAST_WIDTH * em)
    header = _header(plan, body, em)
    margin = MARGIN * em
    top = margin + (TITLE + 0.9 + HEADER_LINE * len(header)) * em
    side = max(high - FOOT * em, LEAST_CLOSED * em)

    def closed_bag(below: float) -> Band | None:
        return place_faces(plan.panel, (margin, below), body, tallest=side, em=em)

    if beneath:
        closed = closed_bag(top + high + em)
        below = top + high + em if closed is None else closed.bottom + BETWEEN * em
        key, bottom = _columns(blocks, (margin, below), em)
    else:
        key, bottom = _column(blocks, (margin + wide + BETWEEN * em, top), high, em)
        closed = closed_bag(max(bottom, top + high) + BETWEEN * em)
        bottom = bottom if closed is None else closed.bottom
    return Page(
        width=body + 2 * margin,
        height=max(bottom, top + high) + margin,
        name=safe_text(plan.project.name),
        header=header,
        frame=Frame(origin=(margin + left - x0, top + above + y1)),
        key=key,
        bar=(margin, top + high - (FOOT - 1.2) * em),
        closed=closed,
    )


def _column(
    blocks: Sequence[Block], at: Point, height: float, em: float
) -> tuple[tuple[Placed, ...], float]:
    """Blocks under each other, as high as the picture or as they need at least."""
    placed = []
    x, y = at
    left = 0.0
    for block, share in zip(blocks, heights(blocks, height / em), strict=True):
        placed.append(((x, y), block, share + left))
        used = block.used(share + left)
        left += share - used  # what a block cannot fill with a whole row is the next one's
        y += (used + GAP) * em
    return tuple(placed), y - GAP * em


def _columns(blocks: Sequence[Block], at: Point, em: float) -> tuple[tuple[Placed, ...], float]:
    """Blocks side by side, with room for longer lists than beside the panel."""
    tall = max((max(block.least, min(block.full, TALLEST)) for block in blocks), default=0.0)
    step = (COLUMN + BETWEEN) * em
    placed = [((at[0] + i * step, at[1]), block, tall) for i, block in enumerate(blocks)]
    return tuple(placed), at[1] + tall * em


def _header(plan: Plan, width: float, em: float) -> tuple[str, ...]:
    """Size and designs; what one bag takes."""
    letters = int(width / (LETTER_WIDTH * em))
    totals = say.totals(plan.report, plan.project.units)
    if plan.project.copies > 1:
        totals = f"one of {plan.project.copies:,} bags: {totals}"
    return (
        *textwrap.wrap(say.subtitle(plan), letters, max_lines=3, placeholder=" …"),
        *textwrap.wrap(totals, letters),
    )
