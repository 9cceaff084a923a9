"""A cell repeated over a region: long lines for what leads on, copies for the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.fills.motif.cell import Cell
from loftline.geometry import axes, pack
from loftline.values import Area, Bools, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Lines over a region and beyond it, packed.

    Attributes:
        points: ``(n, 2)`` mm; a closed line repeats its first point.
        starts: ``(m + 1,)`` offsets.
        family: ``(m,)``.
        closed: ``(m,)``.
    """

    points: Floats
    starts: Ints
    family: Ints
    closed: Bools


def lay(cell: Cell, region: Area, angle: float, centre: Floats) -> Laid:
    """Repeat a cell wherever a region may be met.

    Args:
        cell: what is repeated.
        region: not empty.
        angle: degrees from x of its rows, counter-clockwise.
        centre: ``(2,)``; the middle of its first tile lies there.
    """
    along, across = axes(angle)
    corners = shapely.get_coordinates(region) - centre
    reach = np.column_stack([corners @ along, corners @ across]) + cell.middle
    low, high = reach.min(axis=0), reach.max(axis=0)
    curves: list[Floats] = []
    family: list[Ints] = []
    closed: list[bool] = []
    for number, (line, leads) in enumerate(zip(cell.lines, cell.leads, strict=True)):
        far = low - line.max(axis=0), high - line.min(axis=0)
        i0, i1 = math.ceil(far[0][0] / cell.width), math.floor(far[1][0] / cell.width)
        j0, j1 = math.ceil(far[0][1] / cell.height), math.floor(far[1][1] / cell.height)
        i, j = np.arange(i0, i1 + 1), np.arange(j0, j1 + 1)
        if not (len(i) and len(j)):
            continue
        if leads == "along":
            one = _onward(line, i, np.array([cell.width, 0.0]))
            i = i[:1]
        elif leads == "up":
            one = _onward(line, j, np.array([0.0, cell.height]))
            j = j[:1]
        else:
            one = line
        rows, columns = (grid.ravel() for grid in np.meshgrid(j, i, indexing="ij"))
        first = 0 * columns if leads == "along" else columns
        above = 0 * rows if leads == "up" else rows
        # what leads on holds its own steps already
        shift = np.column_stack([first * cell.width, above * cell.height])
        curves.extend(one + shift[:, None, :])
        family.append(cell.families.of(number, columns, rows))
        closed.extend([leads == "round"] * len(shift))
    points, starts = pack(curves)
    u, v = (points - cell.middle).T
    return Laid(
        # no matrix product: it may round one point in two ways
        points=np.column_stack(
            [
                centre[0] + (u * along[0] + v * across[0]),
                centre[1] + (u * along[1] + v * across[1]),
            ]
        ),
        starts=starts,
        family=np.concatenate([*family, np.empty(0, np.int64)]),
        closed=np.array(closed, bool),
    )


def _onward(line: Floats, number: Ints, step: Floats) -> Floats:
    """Copies of a line end to end."""
    parts = line[:-1] + (number[:, None] * step)[:, None, :]
    last = line[-1:] + number[-1] * step
    out: Floats = np.concatenate([parts.reshape(-1, 2), last])
    return out
