"""Rows of hardware: places at even distances along an edge."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Polygon

from loftline.geometry import place
from loftline.panel.shape import Edge
from loftline.project import EdgeRow
from loftline.units import format_length
from loftline.values import Floats, Point

MOST_IN_A_ROW = 200


class NoRowError(ValueError):
    """A row that does not fit, in words; ``key`` is the key to change."""

    def __init__(self, key: str, says: str) -> None:
        super().__init__(says)
        self.key = key


def row_places(row: EdgeRow, edge: Edge, outline: Polygon) -> tuple[Point, ...]:
    """Centres of a row, from left to right, or from below upward along an upright edge.

    The row lies on the straight line parallel to the edge at the distance asked for, where
    that line runs inside the outline, and beside a straight edge no farther than the edge does.

    Raises:
        NoRowError: when the line misses the panel or the pieces do not fit on it.
    """
    start, end = _stretch(row, edge, outline)
    length = math.dist(start, end)
    if row.every is None:
        count = row.count or 1
        step = length / count
    else:
        step = row.every
        count = row.count or math.floor(length / step + 1e-9)
        if count == 0:
            says = f"pieces {format_length(step)} apart do not fit; the row along this edge is "
            says += f"{format_length(length)} long; place them nearer, or give count"
            raise NoRowError("every", says)
        taken = step * (count - 1)
        if taken > length + 1e-9:
            says = f"{count} pieces {format_length(step)} apart take {format_length(taken)}; "
            says += f"the row along this edge is {format_length(length)} long"
            raise NoRowError("count", says)
    if count > MOST_IN_A_ROW:
        says = f"{count} pieces would lie in this row; at most {MOST_IN_A_ROW} are placed"
        raise NoRowError("every", says)
    along = length / 2 + (np.arange(count) - (count - 1) / 2) * step
    spots = start + along[:, None] * (end - start) / length
    return tuple((float(x), float(y)) for x, y in spots)


def _stretch(row: EdgeRow, edge: Edge, outline: Polygon) -> tuple[Floats, Floats]:
    """Both ends of the row's line inside the outline."""
    middle = np.array(edge.inside(row.distance))
    x, y = edge.inward
    along = np.array([-y, x]) if (-y, x) > (y, -x) else np.array([y, -x])
    x0, y0, x1, y1 = outline.bounds
    far = x1 - x0 + y1 - y0 + 1 if edge.length is None else edge.length / 2
    line = shapely.LineString([middle - far * along, middle + far * along])
    inside = shapely.get_parts(shapely.intersection(line, outline))
    inside = inside[(shapely.get_type_id(inside) == 1) & (shapely.length(inside) > 0)]
    here = inside[shapely.dwithin(inside, shapely.Point(middle), 1e-6)] if len(inside) else inside
    if not len(here):
        says = f"a row {format_length(row.distance)} in from this edge would pass "
        says += f"{place(middle.tolist())}, which does not lie on the panel"
        raise NoRowError("distance", says)
    ends = shapely.get_coordinates(here[0])[[0, -1]]
    order = np.argsort(ends @ along)
    return ends[order[0]], ends[order[1]]
