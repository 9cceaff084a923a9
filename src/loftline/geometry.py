"""Plane geometry on shapely and numpy, in whole arrays.

Everything here is pure and knows nothing of sewing. Lengths are in one unit throughout
(millimetres everywhere in loftline), angles in degrees from the x axis, counter-clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon

from loftline.values import Area, Bools, Floats, Ints, Point

ARC_SEGMENTS = 32
"""Chords a quarter circle; the sag of a 20 mm radius is then 0.006 mm."""


_LEAST = 1e-6
"""A shorter piece of a scan line only touches a corner."""


def circle(centre: Point, diameter: float, quarter: int = ARC_SEGMENTS) -> Polygon:
    """Polygon drawn round a circle (it contains the circle, so a distance to it is safe).

    Args:
        centre: the circle's centre.
        diameter: the circle's diameter.
        quarter: sides a quarter turn.

    >>> round(circle((0, 0), 18).area / (math.pi * 81), 3)
    1.0
    """
    count = 4 * quarter
    radius = diameter / 2 / math.cos(math.pi / count)
    turn = np.arange(count) * (2 * math.pi / count)
    return Polygon(np.column_stack([np.cos(turn), np.sin(turn)]) * radius + np.asarray(centre))


def rectangle(centre: Point, width: float, height: float) -> Polygon:
    """Upright rectangle about its centre."""
    x, y = centre
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def polygons(area: shapely.Geometry) -> list[Polygon]:
    """The polygons of an area that hold any area at all, in the order they are stored."""
    return [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and part.area]


def only_polygons(shape: shapely.Geometry) -> Area:
    """Drop points and lines that a set operation left behind; keep the polygons."""
    members = shapely.get_parts(shapely.get_parts(shape))
    parts = [g for g in members if g.geom_type == "Polygon" and g.area > 0]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def are_lines(parts: npt.NDArray[np.object_]) -> Bools:
    """Which of some shapes are lines: a set operation leaves points too, and empty lines."""
    return np.asarray((shapely.get_type_id(parts) == 1) & ~shapely.is_empty(parts), np.bool_)


def inside_seams(outline: Polygon, allowance: float) -> Area:
    """What of a panel is left inside its seams.

    Holes are windows and slots: their edges are bound, not seamed, and take no allowance.
    """
    if allowance <= 0:
        return outline
    inner = Polygon(outline.exterior).buffer(-allowance, join_style="mitre")
    holes = [Polygon(ring) for ring in outline.interiors]
    return only_polygons(inner.difference(shapely.union_all(holes)) if holes else inner)


def pack(curves: Sequence[Floats]) -> tuple[Floats, Ints]:
    """One point array and its offsets for several polylines."""
    starts = np.concatenate([[0], np.cumsum([len(curve) for curve in curves])]).astype(np.int64)
    points = np.concatenate(curves) if curves else np.empty((0, 2))
    return points.astype(np.float64), starts


def rings(area: Area) -> list[Floats]:
    """All rings of an area, outer before inner, each with its first point repeated."""
    out: list[Floats] = []
    for polygon in polygons(area):
        out.append(shapely.get_coordinates(polygon.exterior))
        out.extend(shapely.get_coordinates(ring) for ring in polygon.interiors)
    return out


def ranges(first: Ints, count: Ints) -> Ints:
    """Concatenated ``arange(f, f + c)`` for each pair, without a loop.

    >>> ranges(np.array([5, 0]), np.array([2, 3])).tolist()
    [5, 6, 0, 1, 2]
    """
    total = int(count.sum())
    if total == 0:
        return np.empty(0, np.int64)
    shift = np.concatenate([[0], np.cumsum(count)[:-1]])
    out: Ints = np.arange(total) + np.repeat(first - shift, count)
    return out


def axes(angle: float) -> tuple[Floats, Floats]:
    """Unit vectors along an angle and square to it (to its left)."""
    turn = math.radians(angle % 360)
    # whole quarter turns are kept free of rounding, so that mirrored panels mirror exactly
    cosine = round(math.cos(turn), 15)
    sine = round(math.sin(turn), 15)
    return np.array([cosine, sine]), np.array([-sine, cosine])


def clip_family(
    area: Area, angle: float, spacing: float, through: Point
) -> tuple[Floats, Ints, Floats]:
    """Clip an endless family of parallel lines to an area.

    Even-odd scan lines with half-open edges: every edge owns its lower end, so a line
    through a vertex meets an even number of edges (the scan conversion of computer graphics
    textbooks, here over whole arrays).

    Args:
        area: where lines may lie.
        angle: direction of the lines in degrees.
        spacing: distance between neighbours.
        through: a point on line number 0.

    Returns:
        Pieces ``(k, 2, 2)`` from start to end along the angle, the number ``(k,)`` of
        the line each is a piece of, and where its ends lie along the area's rings ``(k, 2)``,
        one ring after the other. Sorted by number, then along the line. O(n log n).
    """
    scan = _Scan.of(area, angle, through)
    va, vb = scan.above[:, 0] / spacing, scan.above[:, 1] / spacing
    first = np.ceil(np.minimum(va, vb)).astype(np.int64)
    count = np.ceil(np.maximum(va, vb)).astype(np.int64) - first
    edge = np.repeat(np.arange(len(va)), count)
    number = ranges(first, count)
    share = (number - va[edge]) / (vb[edge] - va[edge])
    return scan.pieces(edge, number, share, lambda line: line.astype(np.float64) * spacing)


def clip_lines(
    area: Area, angle: float, offsets: Floats, through: Point
) -> tuple[Floats, Ints, Floats]:
    """Clip parallel lines at any distances from each other to an area.

    The same scan lines as in :func:`clip_family`.

    Args:
        area: where lines may lie.
        angle: direction of the lines in degrees.
        offsets: ``(n,)`` rising distances of the lines from ``through``, to the left of the angle.
        through: where offset 0 lies.

    Returns:
        Pieces ``(k, 2, 2)`` from start to end along the angle, the index ``(k,)`` of the
        line each is a piece of, and where its ends lie along the area's rings ``(k, 2)``, as
        from :func:`clip_family`. Sorted by line, then along it. O(n log n).
    """
    scan = _Scan.of(area, angle, through)
    va, vb = scan.above.T
    first = np.searchsorted(offsets, np.minimum(va, vb))
    count = np.searchsorted(offsets, np.maximum(va, vb)) - first
    edge = np.repeat(np.arange(len(va)), count)
    number = ranges(first, count)
    share = (offsets[number] - va[edge]) / (vb[edge] - va[edge])
    return scan.pieces(edge, number, share, lambda line: offsets[line])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scan:
    """The edges of an area as scan lines at an angle meet them.

    Attributes:
        through: where scan lines are reckoned from.
        along, across: unit vectors of the angle.
        ahead, above: ``(e, 2)`` how far along and across both ends of each edge lie.
        begun: ``(e,)`` mm along all rings, where each edge begins.
    """

    through: Floats
    along: Floats
    across: Floats
    ahead: Floats
    above: Floats
    begun: Floats

    @classmethod
    def of(cls, area: Area, angle: float, through: Point) -> _Scan:
        """All edges of all rings, one after the other."""
        along, across = axes(angle)
        curves = [curve - np.asarray(through) for curve in rings(area)]
        none = [np.empty((0, 2))]
        a = np.concatenate([*(curve[:-1] for curve in curves), *none])
        b = np.concatenate([*(curve[1:] for curve in curves), *none])
        return cls(
            through=np.asarray(through),
            along=along,
            across=across,
            ahead=np.column_stack([a @ along, b @ along]),
            above=np.column_stack([a @ across, b @ across]),
            begun=np.concatenate([[0.0], np.cumsum(np.hypot(*(b - a).T))])[: len(a)],
        )

    def pieces(
        self, edge: Ints, number: Ints, share: Floats, offset: Callable[[Ints], Floats]
    ) -> tuple[Floats, Ints, Floats]:
        """The pieces between each two crossings of a line.

        Args:
            edge: ``(2 k,)`` the edge of each crossing.
            number: the line of each.
            share: how far along the edge it lies, of its length.
            offset: how far across each line lies.
        """
        u = self.ahead[edge, 0] + share * (self.ahead[edge, 1] - self.ahead[edge, 0])
        order = np.lexsort((u, number))
        u, number = u[order].reshape(-1, 2), number[order][0::2]
        pieces = u[:, :, None] * self.along
        pieces += offset(number)[:, None, None] * self.across + self.through
        reach = np.hypot(*(side[:, 1] - side[:, 0] for side in (self.ahead, self.above)))
        at = (self.begun[edge] + share * reach[edge])[order].reshape(-1, 2)
        keep = u[:, 1] - u[:, 0] > _LEAST
        return pieces[keep], number[keep], at[keep]


def strokes(a: Floats, b: Floats) -> npt.NDArray[np.object_]:
    """Straight pieces from ``a`` to ``b``, shape ``(k, 2)`` each, as geometries."""
    return np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=object)


def lengths(points: Floats, starts: Ints) -> Floats:
    """Length of each packed polyline."""
    if len(starts) < 2:
        return np.empty(0)
    along = distance_along(points, starts)
    return along[starts[1:] - 1]


def distance_along(points: Floats, starts: Ints) -> Floats:
    """Distance of each packed point from the start of its own polyline."""
    if len(points) == 0:
        return np.empty(0)
    step = np.zeros(len(points))
    step[1:] = np.hypot(*np.diff(points, axis=0).T)
    step[starts[:-1]] = 0.0
    total = np.cumsum(step)
    return total - np.repeat(total[starts[:-1]], np.diff(starts))


def pole(area: Area) -> Point:
    """A point well inside an area, to name a place by."""
    point = shapely.point_on_surface(area)
    return (float(point.x), float(point.y))


def place(point: Sequence[float]) -> str:
    """A place in words, to the tenth of a millimetre.

    >>> place((12.34, 5))
    '(12.3, 5)'
    """
    return f"({round(point[0], 1):g}, {round(point[1], 1):g})"


def reach_leftward(corners: Floats, at: Floats, towards: Floats) -> Floats:
    """How far corners lie to the left of a place, looking in a direction there; the farthest.

    Args:
        corners: ``(k, 2)``.
        at: ``(m, 2)`` places.
        towards: ``(m, 2)`` unit vectors.

    Returns:
        ``(m,)`` mm; negative where all corners lie to the right.

    >>> box = np.array([(0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0)])
    >>> reach_leftward(box, np.array([(2.0, 1.0)]), np.array([(1.0, 0.0)])).tolist()
    [3.0]
    """
    side = np.column_stack([-towards[:, 1], towards[:, 0]])
    farthest = np.full(len(at), -np.inf)
    for corner in corners:
        np.maximum(farthest, side @ corner, out=farthest)
    out: Floats = farthest - (side * at).sum(axis=1)
    return out
