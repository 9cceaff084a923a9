"""Names of the folds beside the panel, one under or over the other where folds lie close."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.units import Unit
from loftline.values import Fold, Panel, Point
from loftline.writers.svg import style
from loftline.writers.svg.folds import fold_words
from loftline.writers.svg.marks import Element, group, shorten, straight, text_width, words
from loftline.writers.svg.style import Scale, drawn_bounds

LONGEST_NAME = 16.0
"""Ems of room beside the panel for the names of parts and folds."""

SMALL, LINE = 0.86, 1.15
"""Ems of the smaller words under a name, and of a line of them."""

HEAD = 1.4
"""Ems of a name with a little room above and below it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldName:
    """A fold's name and settings in their place, panel coordinates (y up).

    Attributes:
        lines: the name, then what is set for it, each as it is written.
        end: where the fold ends on that side.
        at: middle of the left edge of the first line, or for a fold that runs up and down
            the middle of the lowest line's foot.
        box: least x and y, greatest x and y of all its words.
    """

    lines: tuple[str, ...]
    across: bool
    end: Point
    at: Point
    box: tuple[float, float, float, float]


def level(fold: Fold) -> bool:
    """Whether a fold runs rather across than up and down."""
    return abs(fold.end[0] - fold.start[0]) >= abs(fold.end[1] - fold.start[1])


def name_folds(panel: Panel, scale: Scale, units: Unit) -> list[FoldName]:
    """A name for each fold, in their order: right of the panel or above it, none over another."""
    em, (_, _, right, top) = scale.em, drawn_bounds(panel)
    placed: dict[int, FoldName] = {}
    numbered = list(enumerate(panel.folds))
    across = [(i, fold) for i, fold in numbered if level(fold)]
    free = float("inf")
    for i, fold in sorted(across, key=lambda one: -max(one[1].start, one[1].end)[1]):
        lines, width, height = _lines(fold, em, units)
        end = max(fold.start, fold.end)
        x, y = max(right, end[0]) + em, min(end[1], free - 0.5 * HEAD * em)
        free = y + 0.5 * HEAD * em - height
        box = (x, free, x + width, free + height)
        placed[i] = FoldName(lines=lines, across=True, end=end, at=(x, y), box=box)
    upright = [(i, fold) for i, fold in numbered if not level(fold)]
    for i, fold in sorted(upright, key=lambda one: one[1].start):
        lines, width, height = _lines(fold, em, units)
        end = max(fold.start, fold.end, key=lambda point: point[1])
        left, foot = end[0] - width / 2, max(top, end[1]) + 0.6 * em
        box = (left, foot, left + width, foot + height)
        while any(_overlap(box, other.box) for other in placed.values()):
            foot += HEAD * em
            box = (left, foot, left + width, foot + height)
        at = (end[0], foot)
        placed[i] = FoldName(lines=lines, across=False, end=end, at=at, box=box)
    return [placed[i] for i in range(len(placed))]


def _lines(fold: Fold, em: float, units: Unit) -> tuple[tuple[str, ...], float, float]:
    """The lines, their width, their height."""
    room = LONGEST_NAME * em
    name = shorten(fold.name, room, em)
    more = [shorten(text, room, SMALL * em) for text in fold_words(fold, units)]
    width = max([text_width(name, em), *(text_width(text, SMALL * em) for text in more)])
    return (name, *more), width, (HEAD + LINE * len(more)) * em


def _overlap(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]


def draw_fold_name(name: FoldName, place: Point, end: Point, scale: Scale) -> Element:
    """The words, and a thin line that leads to them from the fold.

    Args:
        name: as placed by :func:`name_folds`.
        place: its ``at`` on the page, y down.
        end: the fold's end on the page.
        scale: sizes.
    """
    em, (x, y) = scale.em, place
    mark = group(class_="fold-name")
    line = style.thin(scale, style.SOFT_INK)
    if name.across:
        mark.add(straight(end, (x - 0.4 * em, y), **line))
        first, anchor = y + 0.35 * em, "start"
    else:
        mark.add(straight(end, (x, y), **line))
        first, anchor = y - (0.4 + LINE * (len(name.lines) - 1)) * em, "middle"
    for i, text in enumerate(name.lines):
        look = {"text_anchor": anchor, "fill": style.SOFT_INK if i else style.INK}
        size = SMALL * em if i else em
        mark.add(words(text, (x, first + LINE * i * em), size, **look))
    return mark
