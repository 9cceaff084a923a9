"""The key beside the picture: every sign, every piece, every run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loftline.units import Unit
from loftline.values import Kind, Plan, Point
from loftline.writers.svg import style, wording as say
from loftline.writers.svg.lines import line_look
from loftline.writers.svg.listing import Listed, listed
from loftline.writers.svg.marks import (
    Element,
    disc,
    group,
    shorten,
    straight,
    text_width,
    words,
    wrapped,
)
from loftline.writers.svg.numbers import ring_number, ring_width
from loftline.writers.svg.signs import Sign, signs_of
from loftline.writers.svg.strands import RunMark, Strands
from loftline.writers.svg.style import Scale

COLUMN = 31.0
"""Width of one column of the key; this and all heights here in ems."""

ROW, TALL_ROW, LINE = 1.8, 2.9, 1.15
HEAD, COLUMN_HEADS = 2.2, 1.6
GAP = 1.4
INDENT, SMALL = 2.8, 0.86

FEW = 6
"""So many runs are listed even beside a small picture."""

MOST_THINGS = 100
"""So many pieces, or rows of them, are listed even where the page grows by it."""

Row = Callable[[Point], Element]
"""Draws a row from its upper left corner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One part of the key: a heading and rows, of which the last may be left out.

    Attributes:
        rows: draw the rows.
        row: height of a row.
        columns: heads of columns, each with the place where it ends (0: where it starts).
        few: so many rows are shown at least.
    """

    title: str
    rows: Sequence[Row]
    row: float
    columns: tuple[tuple[str, float], ...] = ()
    few: int = FEW

    @property
    def head(self) -> float:
        """Height above the rows."""
        return HEAD + (COLUMN_HEADS if self.columns else 0.0)

    @property
    def full(self) -> float:
        """Height with all rows."""
        return self.head + self.row * len(self.rows)

    @property
    def least(self) -> float:
        """Height with few rows."""
        if len(self.rows) <= self.few:
            return self.full
        return self.head + self.row * self.few + ROW

    def used(self, height: float) -> float:
        """Height that is filled within a height."""
        shown = self.fitting(height)
        return self.head + self.row * shown + (ROW if shown < len(self.rows) else 0.0)

    def fitting(self, height: float) -> int:
        """How many rows fit, with a line that tells of the others if not all do."""
        if height >= self.full - 1e-6:
            return len(self.rows)
        return max(0, int((height - self.head - ROW + 1e-6) / self.row))


def make_key(plan: Plan, strands: Strands, marks: Sequence[RunMark], scale: Scale) -> list[Block]:
    """The blocks of a plan's key; those with nothing to tell are left out."""
    units = plan.project.units
    kinds = {Kind(kind) for kind in set(strands.kind.tolist())}
    signs = signs_of(plan.panel, kinds, len(marks), scale, units)
    things = listed(plan.panel, units)
    told = max((len(_told(thing, units)) for thing in things), default=1)
    blocks = [
        Block(
            title="Signs",
            rows=[_sign_row(sign, scale) for sign in signs],
            row=ROW,
            few=len(signs),
        ),
        Block(
            title="Keep-outs and hardware",
            rows=[_thing_row(thing, units, scale) for thing in things],
            row=TALL_ROW + LINE * (told - 1),
            few=MOST_THINGS,
        ),
        Block(
            title="Sewing order",
            rows=[_run_row(mark, units, scale) for mark in marks],
            row=ROW,
            columns=(
                ("run", 0.0),
                (f"{units} from left", 10.4),
                ("from below", 16.6),
                ("length", 23.6),
                ("stitches", COLUMN),
            ),
        ),
    ]
    return [block for block in blocks if block.rows]


def heights(blocks: Sequence[Block], room: float) -> list[float]:
    """Heights of the blocks of one column: the least of each, and a share of what is left."""
    spare = room - GAP * (len(blocks) - 1) - sum(block.least for block in blocks)
    wish = sum(block.full - block.least for block in blocks)
    share = min(1.0, max(0.0, spare / wish)) if wish > 0 else 1.0
    return [block.least + share * (block.full - block.least) for block in blocks]


def draw_block(block: Block, at: Point, height: float, scale: Scale) -> Element:
    """A block with as many rows as fit into a height."""
    em, (x, y) = scale.em, at
    drawn = group(class_="block")
    bold = {"font_weight": "bold", "fill": style.INK}
    drawn.add(words(block.title, (x, y + 1.05 * em), 1.08 * em, **bold))
    line = y + 1.6 * em
    drawn.add(straight((x, line), (x + COLUMN * em, line), **style.thin(scale)))
    for text, end in block.columns:
        place = (x + end * em, y + (HEAD + 0.95) * em)
        soft = {"text_anchor": "end" if end else "start", "fill": style.SOFT_INK}
        drawn.add(words(text, place, 0.86 * em, **soft))
    shown = block.fitting(height)
    for i, row in enumerate(block.rows[:shown]):
        drawn.add(row((x, y + (block.head + block.row * i) * em)))
    if shown < len(block.rows):
        more = f"… and {len(block.rows) - shown:,} more"
        below = y + (block.head + block.row * shown + 0.5 * ROW + 0.35) * em
        drawn.add(words(more, (x, below), em, fill=style.SOFT_INK))
    return drawn


def _sign_row(sign: Sign, scale: Scale) -> Row:
    em = scale.em
    text, draw = sign

    def row(at: Point) -> Element:
        x, y = at[0], at[1] + 0.5 * ROW * em
        drawn = group(class_="sign")
        drawn.add(draw((x + 2.2 * em, y)))
        drawn.add(words(text, (x + 5.4 * em, y + 0.35 * em), em, fill=style.INK))
        return drawn

    return row


def _told(thing: Listed, units: Unit) -> list[str]:
    """What is told of a thing below its name, in lines that fit: allowances need two."""
    far = thing.edge_words(units)
    edges = wrapped(far, COLUMN - INDENT, SMALL, 2) if far else []
    return [*wrapped(thing.tell, COLUMN - INDENT, SMALL, 3), *edges]


def _thing_row(thing: Listed, units: Unit, scale: Scale) -> Row:
    """Letter and name; size; where it lies, and which face of a magnet is up."""
    em, letter = scale.em, thing.letter
    look = {"fill": style.HARD} if thing.hard else style.later_look(scale)
    size = min(em, 1.5 * em / text_width(letter, 1.0))
    tell = _told(thing, units)
    wide, small = (COLUMN - INDENT) * em, SMALL * em

    def row(at: Point) -> Element:
        x, y = at
        drawn = group(class_="thing")
        drawn.add(disc((x + em, y + 1.25 * em), 0.95 * em, **look))
        bold = {"text_anchor": "middle", "font_weight": "bold"}
        ink = style.WHITE if thing.hard else style.INK
        drawn.add(words(letter, (x + em, y + 1.25 * em + 0.36 * size), size, fill=ink, **bold))
        text_at = x + INDENT * em
        up = thing.face_up
        room = wide - (text_width(up, small) + em if up else 0.0)
        name = shorten(thing.name, room, em)
        drawn.add(words(name, (text_at, y + 1.05 * em), em, fill=style.INK))
        soft = {"fill": style.SOFT_INK}
        if up:
            end = (x + COLUMN * em, y + 1.05 * em)
            drawn.add(words(up, end, small, text_anchor="end", **soft))
        for i, line in enumerate(tell):
            drawn.add(words(line, (text_at, y + (2.2 + LINE * i) * em), small, **soft))
        return drawn

    return row


def _run_row(mark: RunMark, units: Unit, scale: Scale) -> Row:
    em = scale.em
    cells = (
        (say.distance(mark.start[0], units), 10.4),
        (say.distance(mark.start[1], units), 16.6),
        (say.sewn_length(mark.length, units), 23.6),
        (f"{mark.stitches:,}", COLUMN),
    )

    def row(at: Point) -> Element:
        x, y = at[0], at[1] + 0.5 * ROW * em
        drawn = group(class_="listed-run", text_anchor="end", fill=style.INK)
        drawn.add(ring_number((x + 0.45 * ring_width(mark.run, em), y), mark.run, 0.88 * em))
        look = line_look(Kind.LINE, mark.run, scale)
        drawn.add(straight((x + 3.2 * em, y), (x + 7.2 * em, y), **look))
        for text, end in cells:
            drawn.add(words(text, (x + end * em, y + 0.35 * em), em))
        return drawn

    return row
