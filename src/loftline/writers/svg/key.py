"""The key beside the picture: every sign, every piece, every run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loftline.units import Unit
from loftline.values import KeepOut, Kind, Piece, Plan, Point
from loftline.writers.svg import style, wording as say
from loftline.writers.svg.letters import lettered
from loftline.writers.svg.marks import (
    Element,
    disc,
    group,
    shorten,
    straight,
    text_width,
    words,
)
from loftline.writers.svg.numbers import ring_number, ring_width
from loftline.writers.svg.signs import Sign, signs_of
from loftline.writers.svg.strands import RunMark, Strands
from loftline.writers.svg.style import Scale

COLUMN = 31.0
"""Width of one column of the key; this and all heights here in ems."""

ROW, TALL_ROW = 1.8, 2.9
HEAD, COLUMN_HEADS = 2.2, 1.6
GAP = 1.4

FEW = 6
"""So many pieces and runs are listed even beside a small picture."""

Row = Callable[[Point], Element]
"""Draws a row from its upper left corner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One part of the key: a heading and rows, of which the last may be left out.

    Attributes:
        rows: draw the rows.
        row: height of a row.
        columns: heads of columns, each with the place where it ends (0: where it starts).
        shrinks: whether rows may be left out.
    """

    title: str
    rows: Sequence[Row]
    row: float
    columns: tuple[tuple[str, float], ...] = ()
    shrinks: bool = True

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
        if not self.shrinks or len(self.rows) <= FEW:
            return self.full
        return self.head + self.row * FEW + ROW

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
    signs = signs_of(plan.panel, kinds, scale, units)
    blocks = [
        Block(
            title="Signs",
            rows=[_sign_row(sign, scale) for sign in signs],
            row=ROW,
            shrinks=False,
        ),
        Block(
            title="Keep-outs and hardware",
            rows=[_thing_row(*thing, units, scale) for thing in lettered(plan.panel)],
            row=TALL_ROW,
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


def _thing_row(letter: str, thing: KeepOut | Piece, units: Unit, scale: Scale) -> Row:
    em = scale.em
    hard = isinstance(thing, KeepOut)
    look = {"fill": style.HARD} if hard else style.later_look(scale)
    size = min(em, 1.5 * em / text_width(letter, 1.0))
    tell = (
        say.keep_out_words(thing, units)
        if isinstance(thing, KeepOut)
        else say.piece_words(thing, units)
    )
    wide, small = (COLUMN - 2.8) * em, 0.86 * em

    def row(at: Point) -> Element:
        x, y = at
        drawn = group(class_="thing")
        drawn.add(disc((x + em, y + 1.25 * em), 0.95 * em, **look))
        bold = {"text_anchor": "middle", "font_weight": "bold"}
        ink = style.WHITE if hard else style.INK
        drawn.add(words(letter, (x + em, y + 1.25 * em + 0.36 * size), size, fill=ink, **bold))
        text_at = x + 2.8 * em
        name = shorten(thing.name, wide, em)
        drawn.add(words(name, (text_at, y + 1.05 * em), em, fill=style.INK))
        more = shorten(tell, wide, small)
        drawn.add(words(more, (text_at, y + 2.2 * em), small, fill=style.SOFT_INK))
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
        for text, end in cells:
            drawn.add(words(text, (x + end * em, y + 0.35 * em), em))
        return drawn

    return row
