"""Folds laid on the ground: the way each takes through the overhang, and what it closes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from loftline.geometry import only_polygons, polygons
from loftline.units import SAME_PLACE_MM
from loftline.values import Area, Floats, Fold, Point

STRIP_MM = 6.0
"""Width of the strip that quilting leaves free along a closed fold, the gap in the foam where
that is wider (our own figure): a panel about 3 mm thick bends within its own thickness on
both sides of the fold."""

TRAVEL_STRIP_MM = 1.0
"""Width of the strip in which ways are shut along a fold closed to travel: stitches leave
their way by less than half of it."""

_PAST_MM = 0.6  # a drawn fold may end a little inside the edge it is meant to reach
_STRAIGHT_ON = 2.0
"""A fold goes straight on through the overhang where that is no more than so many times as
long as the shortest way out; else it takes the shortest (what is trimmed off has no fold)."""


def lay_folds(folds: tuple[Fold, ...], outline: Polygon, ground: Area) -> tuple[Fold, ...]:
    """The folds with their way over the ground, and their strips where closed to quilting."""
    border = shapely.boundary(ground)
    shapely.prepare(border)
    laid = []
    for fold in folds:
        across = _across(fold, outline, ground, border)
        closed = fold.closed_to in ("quilting", "both")
        width = max(fold.gap, STRIP_MM)
        strip = strip_along(across, width, ground) if closed else None
        laid.append(replace(fold, across=across, strip=strip))
    return tuple(laid)


def shut_by_folds(folds: tuple[Fold, ...], outline: Polygon, ground: Area) -> list[Area]:
    """Where folds let no travel pass, area by area.

    Along folds closed to travel that is a narrow strip over the whole ground. A gap in the
    foam carries no travel either; it ends at the cut edge, since the foam to be trimmed off
    runs on past it and holds the pieces together.
    """
    shut: list[Area] = []
    for fold in folds:
        if fold.closed_to in ("travel", "both"):
            shut.append(strip_along(fold.across, TRAVEL_STRIP_MM, ground))
        if fold.gap > 0:
            inner = _inside(fold, outline)
            if len(inner):
                path = tuple((float(x), float(y)) for x, y in inner)
                shut.append(strip_along(path, fold.gap, outline))
    return shut


def strip_along(path: tuple[Point, ...], width: float, area: Area) -> Area:
    """The strip of an area along a path, half the width on each side.

    It is drawn out past the path's ends, so that it parts the area where the edge is oblique;
    other pieces of the area that lie there are not taken.
    """
    points = np.array(path)
    more = 2 * width + 1.0
    ends = [_beyond(points[1], points[0], more), _beyond(points[-2], points[-1], more)]
    long = LineString(np.vstack([ends[0], points[1:-1], ends[1]]))
    band = long.buffer(width / 2, cap_style="flat", join_style="mitre")
    drawn = LineString(points)
    pieces = polygons(shapely.intersection(band, area))
    return only_polygons(MultiPolygon([piece for piece in pieces if piece.intersects(drawn)]))


def _beyond(before: Floats, end: Floats, more: float) -> Floats:
    step = end - before
    beyond: Floats = end + step / np.hypot(*step) * more
    return beyond


def _inside(fold: Fold, outline: Polygon) -> Floats:
    """First and last place of the fold within the outline, ``(2, 2)``; none: ``(0, 2)``."""
    start, end = np.asarray(fold.start), np.asarray(fold.end)
    along = (end - start) / np.hypot(*(end - start))
    line = LineString(
        [
            start - along * (_PAST_MM if outline.contains_properly(shapely.Point(start)) else 0),
            end + along * (_PAST_MM if outline.contains_properly(shapely.Point(end)) else 0),
        ]
    )
    met = shapely.get_coordinates(shapely.intersection(line, outline))
    if not len(met):
        return np.empty((0, 2))
    far = (met - start) @ along
    if far.max() - far.min() < SAME_PLACE_MM:
        return np.empty((0, 2))
    return np.array([start + along * far.min(), start + along * far.max()])


def _across(
    fold: Fold, outline: Polygon, ground: Area, border: shapely.Geometry
) -> tuple[Point, ...]:
    inner = _inside(fold, outline)
    if not len(inner):
        return (fold.start, fold.end)
    along = (inner[1] - inner[0]) / np.hypot(*(inner[1] - inner[0]))
    way = [
        *_way_out(inner[0], -along, ground, border),
        inner[0],
        inner[1],
        *_way_out(inner[1], along, ground, border),
    ]
    return tuple((float(x), float(y)) for x, y in way)


def _way_out(
    point: Floats, along: Floats, ground: Area, border: shapely.Geometry
) -> tuple[Floats, ...]:
    """Where the fold leaves the ground beyond its end at the cut edge; nothing when it has."""
    here = shapely.Point(point)
    least = float(shapely.distance(here, border))
    if least < SAME_PLACE_MM or not ground.covers(here):
        return ()
    ray = LineString([point, point + along * _STRAIGHT_ON * least])
    met = shapely.get_coordinates(shapely.intersection(ray, border))
    if len(met):
        nearest: Floats = met[int(np.argmin(np.hypot(*(met - point).T)))]
        return (nearest,)
    return (shapely.get_coordinates(shapely.shortest_line(here, border))[1],)
