"""Where fields lie, and how far the later of two hoopings sews over what the earlier has sewn.

A line cut at a border is sewn on past it by the hooping that comes later: two stitches, and
half a one besides, so that its needle points fall between those that are there. Where the
field has less room it is less, down to none; where two lines are cut at one place, none: there
the thread goes on from the one to the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from loftline.hooping.covering import Box, Cell
from loftline.hooping.cutting import Stretches
from loftline.values import Bools, Floats, Ints

STITCHES: Final = (2.5, 1.5, 0.5)
"""Sewn past a border, the longest that the field holds."""

_SAME_CUT_MM: Final = 0.3
_BESIDE_MM: Final = 0.05
_FARTHEST_MM: Final = 40.0
_SEEN_MM: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutEnds:
    """Ends of pieces that lie on borders.

    Attributes:
        piece: ``(e,)``.
        way: ``(e,)`` 1 at a piece's last point, -1 at its first.
        at: ``(e, 2)``.
        other: ``(e,)`` the piece of the same line beyond the border.
        shared: ``(e,)`` whether another line is cut at the same place.
    """

    piece: Ints
    way: Ints
    at: Floats
    other: Ints
    shared: Bools


def cut_ends(cut: Stretches) -> CutEnds:
    """All ends of pieces that go on in another cell."""
    count = len(cut.line)
    same = cut.line[1:] == cut.line[:-1]
    onward = np.flatnonzero(np.append(same, False))
    # a loop that is cut goes on from its last piece to its first
    first = np.searchsorted(cut.line, np.unique(cut.line))
    last = np.append(first[1:], count) - 1
    loops = cut.closed[cut.line[first]] & (last > first)
    piece = np.concatenate([onward, last[loops], onward + 1, first[loops]])
    other = np.concatenate([onward + 1, first[loops], onward, last[loops]])
    way = np.repeat([1, -1], len(piece) // 2)
    at = cut.points[np.where(way > 0, cut.last[piece], cut.first[piece])]
    shared = np.zeros(len(piece), bool)
    if len(piece):
        near = cKDTree(at).query_pairs(_SAME_CUT_MM, output_type="ndarray")
        lines = cut.line[piece[near]]
        shared[near[lines[:, 0] != lines[:, 1]].ravel()] = True
    return CutEnds(piece=piece, way=way, at=at, other=other, shared=shared)


def place_field(reach: Box, cell: Cell, wanted: tuple[float, float, float, float]) -> Box:
    """Where a cell's field lies: over its lines, with room at the sides where it is wanted.

    Args:
        reach: x0, y0, x1, y1 of the cell's lines.
        cell: its field.
        wanted: room at the left, bottom, right and top, mm.
    """
    low: list[float] = []
    high: list[float] = []
    for axis in (0, 1):
        slack = max(0.0, cell.field[axis] - (reach[axis + 2] - reach[axis]))
        ask = wanted[axis] + wanted[axis + 2]
        given = min(1.0, slack / ask) if ask > 0 else 0.0
        rest = (slack - given * ask) / 2
        low.append(reach[axis] - given * wanted[axis] - rest)
        high.append(low[axis] + cell.field[axis])
    return (low[0], low[1], high[0], high[1])


def wanted_room(
    cells: Sequence[Cell], rank: Ints, most: float
) -> list[tuple[float, float, float, float]]:
    """Room that each cell would like past its borders, at the left, bottom, right and top.

    Towards a cell that is sewn earlier: for overlaps, and to see what is sewn there.
    """
    boxes = np.array([cell.box for cell in cells])
    room = np.zeros((len(cells), 4))
    for k, box in enumerate(boxes):
        for axis in (0, 1):
            other = 1 - axis
            beside = np.minimum(boxes[:, other + 2], box[other + 2]) > np.maximum(
                boxes[:, other], box[other]
            )
            for side, gap in (
                (axis, box[axis] - boxes[:, axis + 2]),
                (axis + 2, boxes[:, axis] - box[axis + 2]),
            ):
                near = beside & (rank < rank[k]) & (gap > -_BESIDE_MM) & (gap < _FARTHEST_MM)
                if near.any():
                    room[k, side] = max(most, float(gap[near].min()) + _SEEN_MM)
    return [(row[0], row[1], row[2], row[3]) for row in room.tolist()]


def extension(cut: Stretches, ends: CutEnds, end: int, place: Box, stitch: float) -> Floats:
    """Points of a line past its border, from there on; none where there is no room."""
    other = int(ends.other[end])
    way = int(ends.way[end])
    beyond = cut.points[cut.first[other] : cut.last[other] + 1][::way]
    step = np.hypot(*np.diff(beyond, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(step)])
    box = np.array(place) + np.array([-_BESIDE_MM, -_BESIDE_MM, _BESIDE_MM, _BESIDE_MM])
    for stitches in STITCHES:
        length = stitches * stitch
        if length > along[-1]:
            continue
        tip = [np.interp(length, along, beyond[:, axis]) for axis in (0, 1)]
        points = np.concatenate([beyond[1:][along[1:] < length - 1e-6], [tip]])
        if (points >= box[:2]).all() and (points <= box[2:]).all():
            return np.asarray(points)
    return np.empty((0, 2))
