"""The loose line that holds a floated panel on its backing, sewn first and pulled out later."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely

from loftline.geometry import polygons
from loftline.hooping.covering import Box
from loftline.values import Floats, Panel

STITCH_MM: Final = 5.5
"""Loose stitches of 5 to 6 mm (makers of hoops)."""

_RIM_MM: Final = 4.0
"""From the rim of the cloth."""
_INSIDE_MM: Final = 0.5
"""From the rim of the field."""
_BERTH_MM: Final = 3.0
"""From zones that no needle may enter: a loose stitch cuts corners."""
_LEAST_MM: Final = 12.0


def basting(panel: Panel, place: Box, *, keeps_holes: bool) -> list[Floats]:
    """Ways of the basting line in one field: a box round it, in the extra where the cloth ends.

    Args:
        panel: the cloth and its keep-outs.
        place: x0, y0, x1, y1 of the field.
        keeps_holes: whether every needle hole stays; then nothing is basted inside the outline.

    Returns:
        Polylines, ``(n, 2)`` mm each; none where there is no cloth for them.
    """
    x0, y0, x1, y1 = place
    field = shapely.box(x0 + _INSIDE_MM, y0 + _INSIDE_MM, x1 - _INSIDE_MM, y1 - _INSIDE_MM)
    cloth = panel.outline.buffer(panel.overhang - _RIM_MM)
    taken = [
        (zone.zone or zone.outline.buffer(zone.reach)).buffer(_BERTH_MM) for zone in panel.keep_outs
    ]
    taken += [dart.zone.buffer(_BERTH_MM) for dart in panel.darts]
    taken += [shapely.Polygon(ring).buffer(_BERTH_MM) for ring in panel.outline.interiors]
    if keeps_holes:
        taken.append(panel.outline.buffer(_BERTH_MM))
    rims = [
        shapely.LineString(one.exterior) for one in polygons(shapely.intersection(field, cloth))
    ]
    left = shapely.difference(shapely.union_all(rims), shapely.union_all(taken))
    ways = shapely.get_parts(shapely.line_merge(left))
    long = [way for way in ways if way.length >= _LEAST_MM]
    return [shapely.get_coordinates(way) for way in long]


def loose_stitches(way: Floats, longest: float) -> Floats:
    """Needle points along a way, evenly, a loose stitch apart or what the machine sews."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))])
    count = max(1, int(np.ceil(along[-1] / min(STITCH_MM, longest) - 1e-9)))
    at = np.linspace(0.0, along[-1], count + 1)
    return np.column_stack([np.interp(at, along, way[:, axis]) for axis in (0, 1)])


def cross_stitches(at: tuple[float, float], arm: float) -> Floats:
    """Needle points of a cross, each arm out and back, ending at the tip of the last."""
    tips = np.array([(arm, 0.0), (0.0, arm), (-arm, 0.0), (0.0, -arm)])
    points = np.zeros((8, 2))
    points[1::2] = tips
    points += np.asarray(at)
    return points
