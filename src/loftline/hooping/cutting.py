"""Lines cut where hoopings meet, and sewn two stitches past the border by the later one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loftline.geometry import distance_along
from loftline.hooping.covering import Cover
from loftline.units import LEAST_STITCH_MM, NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Ints, Lines

SHORT_MM: Final = 2.0
"""A shorter piece goes with its neighbour, where that field has room: no two stitches fit on it."""

_LEAST_MM: Final = LEAST_STITCH_MM + 0.2
_LENGTHENED_MM: Final = (SHORT_MM, 1.2, 0.6)
"""What a piece shorter than that is lengthened to, the longest that its field holds."""

_SAME_MM: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretches:
    """Lines with a point wherever they cross a border, and the pieces between.

    Attributes:
        points, starts: the lines, packed.
        closed: ``(m,)`` whether each is a loop; one that is cut begins at a border.
        line, cell: ``(k,)`` of each piece the line and the cell.
        first, last: ``(k,)`` its end points among ``points``.
        left: ``(r, 2)`` rests shorter than a stitch that no field has room for, their middles.
        beside: ``(r,)`` the cells they lie in.
    """

    points: Floats
    starts: Ints
    closed: Bools
    line: Ints
    cell: Ints
    first: Ints
    last: Ints
    left: Floats
    beside: Ints

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
    return _pieces(*_without_slivers(points, starts, cell, found), lines.closed)


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
    """Loops that lie in several cells begin at a border, if they can with a piece to sew."""
    points, cell = points.copy(), cell.copy()
    along = distance_along(points, starts)
    for line in np.flatnonzero(closed).tolist():
        first, last = int(starts[line]), int(starts[line + 1]) - 1
        own = cell[first:last]
        changes = np.flatnonzero(own != np.roll(own, 1))
        if len(changes):
            ends = along[first + changes]
            size = np.append(ends[1:], ends[0] + along[last]) - ends
            begin = changes[int((size >= SHORT_MM).argmax())]
            loop = np.roll(points[first:last], -begin, axis=0)
            points[first : last + 1] = np.concatenate([loop, loop[:1]])
            cell[first:last] = np.roll(own, -begin)
    return points, cell


@dataclass(slots=True)
class _Rooms:
    """What each cell holds so far, within its field."""

    boxes: Floats
    fields: Floats

    def take(self, cell: int, points: Floats) -> bool:
        """Whether the cell's field has room for points besides; if so it holds them."""
        low = np.minimum(self.boxes[cell, :2], points.min(axis=0))
        high = np.maximum(self.boxes[cell, 2:], points.max(axis=0))
        if (high - low > self.fields[cell] + _SAME_MM).any():
            return False
        self.boxes[cell] = (*low, *high)
        return True


def _without_slivers(
    points: Floats, starts: Ints, cell: Ints, found: Cover
) -> tuple[Floats, Ints, Ints]:
    """Lines and the cell of each step, where pieces too short to sew go with the one beside them.

    Where the field beside is full, one too short for a stitch takes a stretch from there. Where
    its own is full too, none can sew it: its cell is less than 0, -1 less the one it lies in.
    """
    along = distance_along(points, starts)
    rooms = _Rooms(np.array([c.box for c in found.cells]), np.array([c.field for c in found.cells]))
    cell = cell.copy()
    line, first, last = _borders(starts, cell)
    size = along[last] - along[first]
    alone: list[int] = []
    for piece in np.flatnonzero(size < SHORT_MM).tolist():
        near = [k for k in (piece - 1, piece + 1) if 0 <= k < len(line) and line[k] == line[piece]]
        step = points[[first[piece], last[piece]]]
        into = [int(cell[first[k]]) for k in near]
        taken = next((c for c in into if rooms.take(c, step)), None)
        if taken is not None:
            cell[first[piece] : last[piece]] = taken
        elif near and size[piece] < _LEAST_MM:
            alone.append(piece)
    for piece in alone[::-1]:  # from behind: what is put in moves what follows
        stretch = (int(first[piece]), int(last[piece]))
        longer = _lengthened(points, starts, cell, stretch, rooms)
        if longer is not None:
            points, starts, cell = longer
        elif size[piece] < LEAST_STITCH_MM:
            cell[slice(*stretch)] = -1 - cell[slice(*stretch)]
    return points, starts, cell


def _lengthened(
    points: Floats, starts: Ints, cell: Ints, piece: tuple[int, int], rooms: _Rooms
) -> tuple[Floats, Ints, Ints] | None:
    """The same where a piece goes on into the cell beside it; ``None`` where its field is full."""
    first, last = piece
    own = int(cell[first])
    line = int(np.searchsorted(starts, first, side="right")) - 1
    begin, end = int(starts[line]), int(starts[line + 1]) - 1
    size = float(np.hypot(*np.diff(points[first : last + 1], axis=0).T).sum())
    for way in (1, -1):
        stop = last if way > 0 else first
        beside = np.arange(stop, end) if way > 0 else np.arange(stop - 1, begin - 1, -1)
        if not len(beside):
            continue
        same = cell[beside] == cell[beside[0]]
        count = int(same.argmin()) if not same.all() else len(same)
        beyond = (
            points[stop : stop + count + 1] if way > 0 else points[stop - count : stop + 1][::-1]
        )
        far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(beyond, axis=0).T))])
        for more in (want - size for want in _LENGTHENED_MM):
            if np.abs(far - more).min() < _SAME_MM:
                continue
            if far[-1] - more < SHORT_MM:
                continue
            steps = int(np.searchsorted(far, more)) - 1
            tip = np.array([[np.interp(more, far, beyond[:, axis]) for axis in (0, 1)]])
            if not rooms.take(own, np.concatenate([beyond[: steps + 1], tip])):
                continue
            at = stop + steps + 1 if way > 0 else stop - steps
            points = np.insert(points, at, tip, axis=0)
            starts = np.where(np.arange(len(starts)) > line, starts + 1, starts)
            # the step that is parted is two now, of which the near one changes its cell
            cell = np.insert(cell, at - 1, cell[at - 1])
            cell[slice(stop, at) if way > 0 else slice(at, stop + 1)] = own
            return points, starts, cell
    return None


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
    ends = points[first[~kept]], points[last[~kept]]
    seen = np.hypot(*(ends[1] - ends[0]).T) > NEEDLE_GRID_MM / 2
    left, beside = ((ends[0] + ends[1]) / 2)[seen], (-1 - cell[first[~kept]])[seen]
    line, first, last = line[kept], first[kept], last[kept]
    return Stretches(
        points=points,
        starts=starts,
        closed=closed,
        line=line,
        cell=cell[first],
        first=first,
        last=last,
        left=left,
        beside=beside,
    )
