"""Outlines that cross or touch themselves where nobody could see it.

Lines drawn through thousands of places cross themselves in loops finer than a pencil line,
and a bay may close at its mouth. The first are left out, the second is a hole; what really
crosses is left to be refused. Areas are even-odd; where a bay only touches, they equal the
area by the shoelace formula, which counts what is wound round twice two times.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon

from loftline.project.drawn.drawing import Point
from loftline.project.drawn.limits import LOOP_MM, MOST_LOOPS, SAME_LINE_MM, SLIVER_MM

Floats = npt.NDArray[np.float64]
_AT_ONCE = 20  # each may cross all others


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """An area without its trifles.

    Attributes:
        loops: where loops and spikes too small to cut were left out.
        touches: where the line touches itself and shuts in a hole.
    """

    area: Polygon
    loops: tuple[Point, ...] = ()
    touches: tuple[Point, ...] = ()


def mended(points: Floats) -> Mended | None:
    """The area inside a closed line ``(n, 2)``; ``None`` where it really crosses itself."""
    drawn = Polygon(points)
    if drawn.is_valid:
        return Mended(area=drawn) if drawn.area > 0 else None
    if _crosses_often(drawn):
        return None
    pieces = sorted(
        (
            piece
            for part in shapely.get_parts(shapely.make_valid(drawn))
            for piece in shapely.get_parts(part)
            if isinstance(piece, Polygon)
        ),
        key=lambda piece: -piece.area,
    )
    return _without_trifles(pieces, points) if pieces else None


def _without_trifles(pieces: list[Polygon], points: Floats) -> Mended | None:
    """The largest piece, where all else is a trifle or a bay that closed."""
    main, lobes = pieces[0], pieces[1:]
    inner = [Polygon(ring) for ring in main.interiors]
    loops = [area for area in (*lobes, *inner) if _trifle(area)]
    bays = [ring for ring, area in zip(main.interiors, inner, strict=True) if not _trifle(area)]
    even_odd = sum(piece.area for piece in pieces)
    slack = 2 * sum(area.area for area in loops) + 1e-9 * even_odd
    wound_twice = abs(_shoelace(points) - even_odd) > slack
    area = Polygon(main.exterior, bays)
    if wound_twice or not area.is_valid or not all(_trifle(lobe) for lobe in lobes):
        return None
    places = [_somewhere(loop) for loop in loops]
    apart = shapely.distance(area.boundary, shapely.points(points))
    if not places and apart.max() > SAME_LINE_MM:  # a spike of no width, which left no area
        places = [_somewhere(shapely.points(points[int(np.argmax(apart))]))]
    return Mended(
        area=area,
        loops=tuple(places),
        touches=tuple(_somewhere(shapely.shortest_line(bay, main.exterior)) for bay in bays),
    )


def _trifle(area: Polygon) -> bool:
    """Too small or too thin to cut."""
    low_x, low_y, high_x, high_y = area.bounds
    small = np.hypot(high_x - low_x, high_y - low_y) <= LOOP_MM
    return bool(small or shapely.buffer(area, -SLIVER_MM / 2).is_empty)


def _crosses_often(drawn: Polygon) -> bool:
    """Whether it crosses itself in more places than can be looked at one by one."""
    ends = shapely.get_coordinates(drawn.exterior)
    sides = np.asarray(shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)))
    tree = shapely.STRtree(sides)
    met = 0
    for first in range(0, len(sides), _AT_ONCE):
        one, two = tree.query(sides[first : first + _AT_ONCE])
        one = one + first
        apart = (two - one) % (len(sides) - 1)
        one, two = one[(two > one) & (apart > 1)], two[(two > one) & (apart > 1)]
        met += int(shapely.intersects(sides[one], sides[two]).sum())
        if met > MOST_LOOPS:
            return True
    return False


def _shoelace(points: Floats) -> float:
    x, y = (points - points[0]).T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2


def _somewhere(shape: shapely.Geometry) -> Point:
    x, y = shapely.get_coordinates(shape)[0].tolist()
    return (x, y)
