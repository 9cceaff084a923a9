"""Closed lines at even distances inside the edge of an area."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, Polygon

from loftline.geometry import polygons
from loftline.values import Area, Floats

LEAST_RADIUS = 0.25
"""Corners are rounded to this, in spacings: a sharp one at the meeting of two edges is a spike."""
LEAST_AROUND = 3.0
"""A shorter ring, in spacings, is a dot and is left out."""
_NEARER = 0.25
"""Where the last level leaves a wide middle, one more ring lies this much nearer to it."""
_LEAST_AROUND_NEARER = 2.2
_FIRST = 0.5
_QUARTER = 16
_FLAT_MM = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """One closed line.

    Attributes:
        points: ``(k, 2)`` mm, the first repeated last.
        level: how many spacings it lies deeper than the outermost.
    """

    points: Floats
    level: int


def ring_levels(area: Area, spacing: float) -> list[Ring]:
    """Rings at half a spacing from the edge, one and a half, and so on, outermost first.

    Each level is the area drawn in by its distance and opened by :data:`LEAST_RADIUS`
    (drawn in farther by it, and let out again), so that no corner is sharper. What is drawn in
    and opened keeps its distance: neighbouring levels are a spacing apart or more. A middle
    that has no room for another level, yet is wide, gets a ring three quarters of a spacing in.

    Args:
        area: ground in mm; its holes count as edges too.
        spacing: mm between levels.

    Returns:
        Rings that do not meet, all inside the area.
    """
    found: list[Ring] = []
    level = 0
    while True:
        depth = (_FIRST + level) * spacing
        nearer = _drawn_in(area, depth - _NEARER * spacing, spacing)
        if not nearer:
            return found
        full = _long_rings(_drawn_in(area, depth, spacing), LEAST_AROUND * spacing)
        reached = [Polygon(ring) for ring in full]
        bare = [polygon for polygon in nearer if not shapely.intersects(polygon, reached).any()]
        more = _long_rings(bare, _LEAST_AROUND_NEARER * spacing)
        for ring in full + more:
            points = np.asarray(shapely.get_coordinates(ring))
            found.append(Ring(points=points, level=level))
        level += 1


def _drawn_in(area: Area, depth: float, spacing: float) -> list[Polygon]:
    radius = LEAST_RADIUS * spacing
    inner = area.buffer(-(depth + radius), quad_segs=_QUARTER)
    return polygons(inner.buffer(radius, quad_segs=_QUARTER).simplify(_FLAT_MM))


def _long_rings(areas: list[Polygon], least: float) -> list[LinearRing]:
    rings = [ring for area in areas for ring in (area.exterior, *area.interiors)]
    return [ring for ring in rings if ring.length >= least]
