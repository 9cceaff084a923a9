"""Lines cut where hoopings meet, and sewn two stitches past the border by the later one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loftline.geometry import distance_along
from loftline.hooping.covering import Cover
from loftline.units import LEAST_STITCH_MM
from loftline.values import Bools, Floats, Ints, Lines

SHORT_MM: Final = 2.0
"""A shorter piece goes with its neighbour, where that field has room: no two stitches fit on it."""

_LEAST_MM: Final = LEAST_STITCH_MM + 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretches:
    """Lines with a point wherever they cross a border, and the pieces between.

    Attributes:
        points, starts: the lines, packed.
        closed: ``(m,)`` whether each is a loop; one that is cut begins at a border.
        line, cell: ``(k,)`` of each piece the line and the cell.
        first, last: ``(k,)`` its end points among ``points``.
    """

    points: Floats
    starts: Ints
    closed: Bools
    line: Ints
    cell: Ints
    first: Ints
    last: Ints

    def whole(self, piece: int) -> bool:
        """Whether a piece is a line that no border cuts."""
        line = self.line[piece]
        ends = self.starts[line], self.starts[line + 1] - 1
        return bool(self.first[piece] == ends[0] and self.last[piece] == ends[1])


def cut_lines(lines: Lines, found: Cover) -> Stretches:
    """Cut lines at the borders between cells.

    Args:
        lines: whole.
        found: the cells.

    Returns:
        The pieces, line by line in order. Near O(n) for n points of the lines and the cuts.
    """
    points = lines.points if found.upright else lines.points[:, ::-1]
    levels = np.array(found.levels)
    every = np.ones(len(points), bool)
    points, starts = _stopped(points, lines.starts, 1, [(every, levels)])
    row = np.searchsorted(levels, _middle(points)[:, 1])
    sides = [np.array(sides) for sides in found.sides]
    along = [(row == r, sides[r]) for r in range(len(sides))]
    points, starts = _stopped(points, starts, 0, along)
    middle = _middle(points)
    row = np.searchsorted(levels, middle[:, 1])
    before = np.concatenate([[0], np.cumsum([len(side) + 1 for side in sides])])
    cell = np.zeros(len(points), np.int64)
    for r, side in enumerate(sides):
        mine = row == r
        cell[mine] = before[r] + np.searchsorted(side, middle[mine, 0])
    points = points if found.upright else points[:, ::-1]
    points, cell = _from_borders(points, starts, cell, lines.closed)
    return _pieces(points, starts, _without_slivers(points, starts, cell, found), lines.closed)


def _middle(points: Floats) -> Floats:
    """Middle of the step from each point to the next; of a line's last point it means nothing."""
    middle: Floats = (points + np.roll(points, -1, axis=0)) / 2
    return middle


def _stopped(
    points: Floats, starts: Ints, axis: int, where: Sequence[tuple[Bools, Floats]]
) -> tuple[Floats, Ints]:
    """Lines with a point at every border they cross.

    Args:
        points: packed.
        starts: their offsets.
        axis: the coordinate that borders are places on.
        where: steps, by their first point, and the borders for them.
    """
    inner = np.ones(len(points), bool)
    inner[starts[1:] - 1] = False
    after = np.roll(points, -1, axis=0)
    low = np.minimum(points[:, axis], after[:, axis])
    high = np.maximum(points[:, axis], after[:, axis])
    at: list[Ints] = []
    stop: list[Floats] = []
    for mine, borders in where:
        for border in borders:
            hit = np.flatnonzero(mine & inner & (low < border) & (high > border))
            share = (border - points[hit, axis]) / (after[hit, axis] - points[hit, axis])
            met = points[hit] + share[:, None] * (after[hit] - points[hit])
            met[:, axis] = border
            at.append(hit)
            stop.append(np.column_stack([share, met]))
    if not at:
        return points, starts
    index, met = np.concatenate(at), np.concatenate(stop)
    order = np.lexsort((met[:, 0], index))
    index, met = index[order], met[order, 1:]
    line = np.searchsorted(starts, index, side="right") - 1
    added = np.bincount(line, minlength=len(starts) - 1)
    return (
        np.insert(points, index + 1, met, axis=0),
        starts + np.concatenate([[0], np.cumsum(added)]),
    )


def _from_borders(points: Floats, starts: Ints, cell: Ints, closed: Bools) -> tuple[Floats, Ints]:
    """Loops that lie in several cells begin at a border."""
    points, cell = points.copy(), cell.copy()
    for line in np.flatnonzero(closed).tolist():
        first, last = int(starts[line]), int(starts[line + 1]) - 1
        own = cell[first:last]
        changes = np.flatnonzero(own != np.roll(own, 1))
        if len(changes):
            loop = np.roll(points[first:last], -changes[0], axis=0)
            points[first : last + 1] = np.concatenate([loop, loop[:1]])
            cell[first:last] = np.roll(own, -changes[0])
    return points, cell


def _without_slivers(points: Floats, starts: Ints, cell: Ints, found: Cover) -> Ints:
    """The cell of each step, where pieces too short to sew go with the piece beside them.

    One too short for a stitch that finds room nowhere is left to the stitches beside it: -1.
    """
    along = distance_along(points, starts)
    boxes = np.array([c.box for c in found.cells])
    fields = np.array([c.field for c in found.cells])
    cell = cell.copy()
    line, first, last = _borders(starts, cell)
    size = along[last] - along[first]
    for piece in np.flatnonzero(size < SHORT_MM).tolist():
        near = [k for k in (piece - 1, piece + 1) if 0 <= k < len(line) and line[k] == line[piece]]
        step = points[[first[piece], last[piece]]]
        low, high = step.min(axis=0), step.max(axis=0)
        into = [int(cell[first[k]]) for k in near]
        room = [
            c
            for c in into
            if c >= 0
            and (np.maximum(boxes[c, 2:], high) - np.minimum(boxes[c, :2], low) <= fields[c]).all()
        ]
        if room:
            cell[first[piece] : last[piece]] = room[0]
            boxes[room[0], :2] = np.minimum(boxes[room[0], :2], low)
            boxes[room[0], 2:] = np.maximum(boxes[room[0], 2:], high)
        elif near and size[piece] < _LEAST_MM:
            cell[first[piece] : last[piece]] = -1
    return cell


def _borders(starts: Ints, cell: Ints) -> tuple[Ints, Ints, Ints]:
    """Line, first and last point of each piece."""
    step = np.ones(len(cell), bool)
    step[starts[1:] - 1] = False
    index = np.flatnonzero(step)
    line = np.searchsorted(starts, index, side="right") - 1
    fresh = np.ones(len(index), bool)
    fresh[1:] = (line[1:] != line[:-1]) | (cell[index[1:]] != cell[index[:-1]])
    first = index[fresh]
    last = np.append(index[np.flatnonzero(fresh)[1:] - 1], index[-1:]) + 1
    return line[fresh], first, last


def _pieces(points: Floats, starts: Ints, cell: Ints, closed: Bools) -> Stretches:
    line, first, last = _borders(starts, cell)
    kept = cell[first] >= 0
    line, first, last = line[kept], first[kept], last[kept]
    return Stretches(
        points=points,
        starts=starts,
        closed=closed,
        line=line,
        cell=cell[first],
        first=first,
        last=last,
    )
