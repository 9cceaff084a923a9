"""Registration crosses: in the extra to trim off, where two hoopings meet at the panel's edge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely

from loftline.geometry import only_polygons
from loftline.hooping.covering import Box, Cover
from loftline.values import Area, Panel, Point

ARM_MM: Final = 5.5
"""Half a cross: one loose stitch, easily picked out."""

CLEAR_MM: Final = 2.0
"""Between a cross and whatever else is sewn, and the rim of the cloth."""

_TRIES: Final = 5


def find_crosses(
    panel: Panel, found: Cover, reach: Sequence[Box], room: float
) -> list[tuple[Point, tuple[int, int]]]:
    """Where crosses fit, each with the two cells that sew it.

    Args:
        panel: its extra to trim off.
        found: the cells and their borders.
        reach: x0, y0, x1, y1 of what each cell sews; a cross is put only where both fields hold
            it besides.
        room: mm that a field keeps for overlaps.
    """
    ground = strip(panel)
    if ground.is_empty:
        return []
    shapely.prepare(ground)
    boxes = [np.array(box) for box in reach]
    crosses: list[tuple[Point, tuple[int, int]]] = []
    for border, pair, outward in _meetings(found):
        at = _beyond(panel, ground, border, outward, upright=found.upright)
        if at is None:
            continue
        arm = np.array([at[0] - ARM_MM, at[1] - ARM_MM, at[0] + ARM_MM, at[1] + ARM_MM])
        grown = [_union(boxes[cell], arm) for cell in pair]
        fields = [np.array(found.cells[cell].field) for cell in pair]
        if all((g[2:] - g[:2] <= f - room).all() for g, f in zip(grown, fields, strict=True)):
            crosses.append((at, pair))
            for cell, box in zip(pair, grown, strict=True):
                boxes[cell] = box
    return crosses


def strip(panel: Panel) -> Area:
    """Cloth that is trimmed off and that no line runs into."""
    if panel.overhang <= 0:
        return shapely.MultiPolygon()
    laid = panel.outline.buffer(panel.overhang - CLEAR_MM)
    taken = [shapely.union(panel.outline, panel.ground).buffer(CLEAR_MM)]
    taken += [zone.zone or zone.outline.buffer(zone.reach) for zone in panel.keep_outs]
    return only_polygons(shapely.difference(laid, shapely.union_all(taken)))


def _union(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    return np.concatenate([np.minimum(one[:2], other[:2]), np.maximum(one[2:], other[2:])])


def _meetings(found: Cover) -> list[tuple[tuple[int, float], tuple[int, int], int]]:
    """Ends of borders at the rim: axis and place of the border, its two cells, which end.

    The axis is that of the border's place, in the sense of rows: 1 for one between rows.
    """
    first = np.concatenate([[0], np.cumsum([len(side) + 1 for side in found.sides])]).tolist()
    out: list[tuple[tuple[int, float], tuple[int, int], int]] = []
    for row, level in enumerate(found.levels):
        below, above = first[row], first[row + 1]
        out.append(((1, level), (below, above), -1))
        out.append(((1, level), (above - 1, first[row + 2] - 1), 1))
    for row, end in ((0, -1), (len(found.sides) - 1, 1)):
        for k, side in enumerate(found.sides[row]):
            out.append(((0, side), (first[row] + k, first[row] + k + 1), end))
    return out


def _beyond(
    panel: Panel, ground: Area, border: tuple[int, float], outward: int, *, upright: bool
) -> Point | None:
    """The place on a border's end beyond the outline where a cross has room."""
    axis, place = border
    axis = axis if upright else 1 - axis
    x0, y0, x1, y1 = panel.outline.bounds
    ends = [[x0 - 1, place], [x1 + 1, place]] if axis == 1 else [[place, y0 - 1], [place, y1 + 1]]
    met = shapely.bounds(shapely.intersection(panel.outline, shapely.LineString(ends)))
    if np.isnan(met).any():
        return None
    rim = float(met[1 - axis] if outward < 0 else met[3 - axis])
    for far in np.linspace(panel.run_off, panel.overhang, _TRIES + 2)[1:-1][_from_middle()]:
        along = rim + outward * float(far)
        at = (along, place) if axis == 1 else (place, along)
        box = shapely.box(at[0] - ARM_MM, at[1] - ARM_MM, at[0] + ARM_MM, at[1] + ARM_MM)
        if ground.covers(box):
            return (round(at[0], 1), round(at[1], 1))
    return None


def _from_middle() -> list[int]:
    return sorted(range(_TRIES), key=lambda k: abs(k - _TRIES // 2))
