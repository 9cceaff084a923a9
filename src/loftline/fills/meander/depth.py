"""How deep a place lies inside an area, looked up from a grid.

Depth is the distance to the nearest edge, positive inside, negative outside. The grid is
exact at its knots near the edge and cut off deeper inside, where nobody asks for it. Between
knots it is interpolated linearly: whoever needs the exact edge asks the polygon.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from scipy import ndimage
from scipy.spatial import cKDTree

from loftline.fills.meander.loop import Loop, as_points, from_points
from loftline.geometry import clip_family, rings
from loftline.values import Area, Bools, Floats, Ints

KEPT = 0.03
"""A curve is kept this deep inside its ground, in spacings."""
PAD = 4
"""Cells beyond an area on each side."""
MOST_KNOTS = 6_000_000
"""Above this the grid is made coarser; 2.4 m square at 8 mm has 5.8 million knots."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """A grid of depths.

    Attributes:
        origin: place of the knot in row 0, column 0.
        cell: distance between knots.
        table: ``(rows * columns, 3)`` depth and its slope in x and y.
        shallow: ``(rows * columns,)`` whether the edge is felt in the cell right above and
            to the right of the knot.
        edge: search tree of samples of the edge, a quarter of a cell apart.
    """

    origin: complex
    cell: float
    rows: int
    columns: int
    table: Floats
    shallow: Bools
    edge: cKDTree

    def cells_of(self, loop: Loop) -> tuple[Ints, Loop]:
        """Index of the cell each place lies in, and the place in cells from the origin."""
        place = (loop - self.origin) / self.cell
        column = np.clip(place.real.astype(np.int64), 0, self.columns - 2)
        row = np.clip(place.imag.astype(np.int64), 0, self.rows - 2)
        return row * self.columns + column, place

    def near_edge(self, loop: Loop) -> Ints:
        """Indices of the places that feel the edge."""
        return np.flatnonzero(self.shallow[self.cells_of(loop)[0]])

    def at(self, loop: Loop) -> tuple[Floats, Loop]:
        """Depth of each place, and the direction of growing depth (a unit vector or less)."""
        cell, place = self.cells_of(loop)
        along = (place.real - cell % self.columns)[:, None]
        up = (place.imag - cell // self.columns)[:, None]
        above = cell + self.columns
        table = self.table
        low = table[cell] * (1 - along) + table[cell + 1] * along
        high = table[above] * (1 - along) + table[above + 1] * along
        mixed = low * (1 - up) + high * up
        return mixed[:, 0], from_points(mixed[:, 1:])

    def to_edge(self, loop: Loop) -> Floats:
        """Distance of each place from the edge, slower than :meth:`at` but true on ridges."""
        return np.asarray(self.edge.query(as_points(loop))[0], np.float64)

    def places(self, knots: Ints) -> Loop:
        """Where knots lie."""
        place = np.empty(len(knots), np.complex128)
        place.real = self.origin.real + self.cell * (knots % self.columns)
        place.imag = self.origin.imag + self.cell * (knots // self.columns)
        return place


def edge_points(area: Area, step: float) -> Floats:
    """Every vertex of an area's rings, and between them points at most ``step`` apart."""
    curves = [
        shapely.get_coordinates(shapely.segmentize(shapely.linestrings(ring), step))[:-1]
        for ring in rings(area)
    ]
    return np.concatenate(curves)


def inside_knots(area: Area, origin: complex, cell: float, rows: int, columns: int) -> Bools:
    """Which knots of a grid lie inside, by scan lines along its rows."""
    pieces, row, _ = clip_family(area, 0.0, cell, (origin.real, origin.imag))
    first = np.ceil((pieces[:, 0, 0] - origin.real) / cell).astype(np.int64)
    past = np.floor((pieces[:, 1, 0] - origin.real) / cell).astype(np.int64) + 1
    marks = np.zeros((rows, columns + 1), np.int64)
    np.add.at(marks, (row, np.clip(first, 0, columns)), 1)
    np.add.at(marks, (row, np.clip(past, 0, columns)), -1)
    return np.cumsum(marks, axis=1)[:, :columns] > 0


def depth_grid(area: Area, cell: float, deepest: float, felt: float) -> Depth:
    """Reckon the depths of an area on a grid.

    Only knots that are not deeper than ``deepest`` are measured (to samples of the edge a
    quarter of a cell apart); a rough distance transform finds them. The knots are those of
    one endless grid, whatever the area. O(n log n).

    Args:
        area: the area.
        cell: wanted distance between knots, in mm.
        deepest: depth at which all depths are cut off, in mm.
        felt: depth to which the edge is felt, in mm.
    """
    low_x, low_y, high_x, high_y = area.bounds
    cell = max(cell, math.sqrt((high_x - low_x) * (high_y - low_y) / MOST_KNOTS))
    first_x, first_y = math.floor(low_x / cell) - PAD, math.floor(low_y / cell) - PAD
    origin = complex(first_x * cell, first_y * cell)
    columns = math.ceil(high_x / cell) + PAD + 1 - first_x
    rows = math.ceil(high_y / cell) + PAD + 1 - first_y
    inside = inside_knots(area, origin, cell, rows, columns)
    # A rough distance is a cell out at most, hence the margin of two.
    inward = np.asarray(ndimage.distance_transform_edt(inside))
    measured = np.flatnonzero(inward.ravel() <= deepest / cell + 2)
    depth = np.full(rows * columns, deepest)
    knots = np.stack([measured % columns, measured // columns], axis=1) * cell
    knots += (origin.real, origin.imag)
    edge = cKDTree(edge_points(area, cell / 4))
    reach, _ = edge.query(knots, distance_upper_bound=deepest)
    reach = np.minimum(reach, deepest)
    depth[measured] = np.where(inside.ravel()[measured], reach, -reach)
    grid = depth.reshape(rows, columns)
    slope_y, slope_x = np.gradient(grid, cell)
    table = np.stack([depth, slope_x.ravel(), slope_y.ravel()], axis=1)
    least = ndimage.minimum_filter(grid, size=3, mode="nearest")
    return Depth(
        origin=origin,
        cell=cell,
        rows=rows,
        columns=columns,
        table=table,
        shallow=(least < felt).ravel(),
        edge=edge,
    )
