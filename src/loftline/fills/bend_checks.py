"""What lines that bend round keep-outs must keep: clear of them, apart, and no bare ground."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import shapely
from scipy.spatial import cKDTree

from loftline.fills.openings import COLUMN_MM, Opening, Slit
from loftline.fills.slits import Frame
from loftline.values import Field, Floats

CLOSEST: Final = 0.4
"""Of the spacing: lines that would come closer are cut by the keep-out instead."""

WIDEST: Final = 3.0
"""Of the spacing: the widest empty circle before and behind a keep-out that lines bend round."""

ENOUGH: Final = 1.8
"""Of the spacing: a narrower one needs no closer bends, it looks like the ground elsewhere."""

LEAST_RADIUS_MM: Final = 7.0
"""Lines are not led closer round a keep-out where they would bend tighter."""

_SLACK: Final = 0.02
_SHARE: Final = 0.05
"""Of the push of the one that pushes most: what pushes less has no part in a crowd."""
_TOUCH_MM: Final = 0.01
_LEAST_BENT: Final = 3
_SAMPLES: Final = 5
"""In a spacing, where ground is looked at."""


class Rows(NamedTuple):
    """Lines in their own axes: ``(m,)`` offsets, ``(m, n)`` places across, the spacing."""

    offsets: Floats
    y: Floats
    spacing: float


def entered(lines: Rows, slits: list[Slit]) -> list[int]:
    """A keep-out that a line enters, though its slit is open; none where none does."""
    for k, slit in enumerate(slits):
        there = slit.there
        low, high = slit.low[there] + _TOUCH_MM, slit.high[there] - _TOUCH_MM
        if ((lines.y[:, there] > low) & (lines.y[:, there] < high)).any():
            return [k]
    return []


def crowded(lines: Rows, openings: list[Opening], field: Field, frame: Frame) -> list[int]:
    """The openings that push lines together where they come too close; none where none do."""
    if not openings:
        return []
    y, spacing = lines.y, lines.spacing
    slope = np.gradient((y[1:] + y[:-1]) / 2, COLUMN_MM, axis=1)
    gap = np.diff(y, axis=0) / np.hypot(1.0, slope)
    row, column = np.nonzero(gap < (CLOSEST + _SLACK) * spacing)
    if len(row):
        at = np.column_stack([frame.x[column], (y[row, column] + y[row + 1, column]) / 2])
        seen = shapely.intersects_xy(field.region, *frame.outward(at).T)
        row, column = row[seen], column[seen]
    if not len(row):
        return []
    k = int(np.argmin(gap[row, column]))
    two = lines.offsets[row[k] : row[k] + 2]
    # one that lies aslant there moves both alike, and crowds them by its slope
    moved = [opening.moves(two) for opening in openings]
    push = np.array(
        [
            abs(float(move[0, column[k]] - move[1, column[k]]))
            + spacing * abs(float(np.gradient(move.mean(axis=0), COLUMN_MM)[column[k]]))
            for move in moved
        ]
    )
    first = int(np.argmax(push))
    # what stands in the way of the one that pushes most, on the other side of the two lines
    middle = float(two.mean())
    facing = [
        i
        for i, opening in enumerate(openings)
        if push[i] > _SHARE * push[first]
        and (opening.at - middle) * (openings[first].at - middle) < 0
    ]
    return [first, *sorted(facing, key=lambda i: -push[i])[:1]]


def tightest(lines: Rows, opening: Opening) -> float:
    """The least radius of the bends that an opening has a part in, mm.

    By three neighbouring columns.
    """
    reach = opening.at - opening.band_down, opening.at + opening.band_up
    first, end = np.searchsorted(lines.offsets, reach)
    y = lines.y[first:end, opening.window]
    if y.shape[1] < _LEAST_BENT or not len(y):
        return np.inf
    slope = np.gradient(y, COLUMN_MM, axis=1)[:, 1:-1]
    bend = np.abs(np.diff(y, 2, axis=1)) / COLUMN_MM**2 / (1 + slope**2) ** 1.5
    return 1 / max(float(bend.max()), 1e-9)


def bare(
    lines: Rows, slits: list[Slit], openings: list[Opening], field: Field, frame: Frame
) -> list[int]:
    """An opening that leaves too much bare ground between its lines; none where none does."""
    wide = voids(lines, slits, openings, field, frame)
    return [int(k) for k in np.flatnonzero(wide > WIDEST)[:1]]


def voids(
    lines: Rows, slits: list[Slit], openings: list[Opening], field: Field, frame: Frame
) -> Floats:
    """The widest empty circle between the two lines that each opening parts, in spacings.

    Its middle lies on ground that may be sewn; it may reach over the keep-out.
    """
    found = np.zeros(len(slits))
    ground = shapely.intersection(field.region, field.outline)
    shapely.prepare(ground)
    for k, (slit, opening) in enumerate(zip(slits, openings, strict=True)):
        above = int(np.searchsorted(lines.offsets, slit.at))
        rows = [row for row in (above - 1, above) if 0 <= row < len(lines.offsets)]
        column = np.flatnonzero((opening.up != 0) | (opening.down != 0))
        if not len(column):
            continue
        step = lines.spacing / _SAMPLES
        column = column[:: max(int(step / COLUMN_MM), 1)]
        edges = lines.y[rows][:, column]
        far = WIDEST * lines.spacing
        low = edges[0] if above > 0 else edges[0] - far
        high = edges[-1] if above < len(lines.offsets) else edges[-1] + far
        count = int((high - low).max() / step) + 2
        spot = low + (high - low) * np.linspace(0, 1, count)[:, None]
        at = np.column_stack([np.broadcast_to(frame.x[column], spot.shape).ravel(), spot.ravel()])
        at = at[shapely.contains_xy(ground, *frame.outward(at).T)]
        tree = cKDTree(np.concatenate([np.column_stack([frame.x, lines.y[row]]) for row in rows]))
        if len(at):
            found[k] = 2 * np.max(tree.query(at)[0]) / lines.spacing
    return found
