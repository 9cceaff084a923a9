"""Curves clipped to an area, and where along its border the clip cut each of them off.

The places along a border are its *marks*: mm along all rings of the area, one after the other
in the order of :func:`~loftline.geometry.rings`. An area whose points carry their marks as a
third coordinate hands them on to whatever it is intersected with, since the overlay carries
the third coordinate over from the edge that it cuts with (GEOS since 3.9). What is handed on is
measured against the end itself, so that a mark is right or it is none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon

from loftline.geometry import are_lines, distance_along, pack, polygons, rings, strokes
from loftline.values import Area, Floats, Ints, Ways

ON_RING_MM = 1e-4
"""An end this near to a ring lies on it."""

NOT_MADE = -1.0
"""The mark of an end that the border has not made."""

_SAME_MM = 1e-6


class Border(NamedTuple):
    """The edges of an area's rings, one after the other.

    Attributes:
        start, end: ``(e, 2)`` mm.
        mark: ``(e,)`` mm along all rings, where each begins.
    """

    start: Floats
    end: Floats
    mark: Floats

    @classmethod
    def of(cls, area: Area) -> Border:
        """All edges of an area's border."""
        points, starts = pack(rings(area))
        first = np.ones(len(points), bool)
        first[starts[1:] - 1] = False
        at = np.flatnonzero(first)
        length = np.hypot(*(points[at + 1] - points[at]).T)
        mark = np.concatenate([[0.0], np.cumsum(length)])[: len(at)]
        return cls(points[at], points[at + 1], mark)

    def edge_at(self, marks: Floats) -> Ints:
        """The edge on which each mark lies, not below 0."""
        edge: Ints = np.searchsorted(self.mark, marks, side="right") - 1
        return np.maximum(edge, 0)

    def place(self, marks: Floats) -> Floats:
        """The place of each mark, ``(k, 2)``."""
        edge = self.edge_at(marks)
        along = self.end[edge] - self.start[edge]
        share = (marks - self.mark[edge]) / np.maximum(np.hypot(*along.T), 1e-12)
        out: Floats = self.start[edge] + share[:, None] * along
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Cuts:
    """Ends that the border of an area has made.

    Attributes:
        points: ``(c, 2)`` places.
        marks: ``(c,)`` mm along the border; NaN where that is not known.
    """

    points: Floats
    marks: Floats

    @classmethod
    def none(cls) -> Cuts:
        """No cuts: closed lines, and lines that lie inside as a whole."""
        return cls(points=np.empty((0, 2)), marks=np.empty(0))

    @classmethod
    def joined(cls, several: Sequence[Cuts]) -> Cuts:
        """All of several."""
        return cls(
            points=np.concatenate([cuts.points for cuts in several]),
            marks=np.concatenate([cuts.marks for cuts in several]),
        )

    def at(self, ends: Floats) -> Floats:
        """The marks of ends, ``(k,)``: those made by a cut are the very same places."""
        asked, made = ends[:, 0] + 1j * ends[:, 1], self.points[:, 0] + 1j * self.points[:, 1]
        out = np.full(len(ends), NOT_MADE)
        if len(made):
            # of two at one place the one that is known
            order = np.lexsort((np.isnan(self.marks), made.imag, made.real))
            found = np.minimum(np.searchsorted(made[order], asked), len(made) - 1)
            hit = made[order[found]] == asked
            out[hit] = self.marks[order[found[hit]]]
        return out


class Clipped(NamedTuple):
    """Curves that an area cut.

    Attributes:
        parts: pieces inside, as geometries, those of one curve together.
        whole: ``(k,)`` the curve that each is a piece of.
        cuts: the ends that the area's border made.
    """

    parts: npt.NDArray[np.object_]
    whole: Ints
    cuts: Cuts


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """An area that curves are clipped to.

    Attributes:
        area: where they may lie.
        marked: the same, its points with their marks.
        border: its edges.
    """

    area: Area
    marked: Area
    border: Border

    @classmethod
    def to(cls, area: Area) -> Clip:
        """Made ready for an area."""
        return cls(area=area, marked=_marked(area), border=Border.of(area))

    def curves(self, curves: npt.NDArray[np.object_]) -> Clipped:
        """What of curves lies in the area."""
        cut = shapely.intersection(curves, self.marked)
        found, curve = shapely.get_parts(cut, return_index=True)
        parts, within = shapely.get_parts(found, return_index=True)
        kept = are_lines(parts)
        parts, whole = parts[kept], curve[within[kept]]
        if not len(parts):
            return Clipped(parts, whole, Cuts.none())
        own = np.repeat(_ends(curves)[whole, :, :2], 2, axis=0)
        ends = _ends(parts).reshape(-1, 3)
        places, marks = ends[:, :2], ends[:, 2]
        begun = (places[:, None] == own).all(axis=2).any(axis=1)
        handed = self.border.place(np.where(marks >= 0, marks, 0.0))
        right = np.hypot(*(handed - places).T) <= _SAME_MM
        # where a curve itself begins the border has made nothing
        made = right | ~begun
        marks = np.where(right, marks, np.nan)
        return Clipped(parts, whole, Cuts(points=places[made], marks=marks[made]))


def _ends(lines: npt.NDArray[np.object_]) -> Floats:
    """First and last point of each line, ``(k, 2, 3)``."""
    ends = shapely.get_point(lines[:, None], np.array([0, -1]))
    return np.asarray(shapely.get_coordinates(ends, include_z=True)).reshape(-1, 2, 3)


def _marked(area: Area) -> Area:
    """An area whose points carry their marks as a third coordinate."""
    drawn: list[Polygon] = []
    total = 0.0
    for polygon in polygons(area):
        loops = []
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.asarray(shapely.get_coordinates(ring))
            marks = total + distance_along(points, np.array([0, len(points)]))
            loops.append(np.column_stack([points, marks]))
            total = float(marks[-1])
        drawn.append(Polygon(loops[0], loops[1:]))
    return drawn[0] if len(drawn) == 1 else MultiPolygon(drawn)


def rings_at(places: Floats, ways: Ways) -> tuple[Ints, Ints, Floats]:
    """Each place with each ring of the ways that it lies on, and how far along.

    Args:
        places: ``(n, 2)``.
        ways: packed rings.

    Returns:
        Place, ring and distance along it in mm, sorted by place, then ring.
    """
    none = np.empty(0, np.int64)
    if not len(places) or not len(ways.points):
        return none, none, np.empty(0)
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    piece = np.flatnonzero(owner[1:] == owner[:-1])
    a, b = ways.points[piece], ways.points[piece + 1]
    tree = shapely.STRtree(strokes(a, b))
    at = np.asarray(shapely.points(places), dtype=object)
    end, hit = tree.query(at, predicate="dwithin", distance=ON_RING_MM)
    apart = shapely.distance(at[end], strokes(a[hit], b[hit]))
    ring = owner[piece[hit]]
    order = np.lexsort((hit, apart, ring, end))
    end, hit, ring = end[order], hit[order], ring[order]
    first = np.append(True, (np.diff(end) > 0) | (np.diff(ring) > 0))[: len(end)]
    end, hit, ring = end[first], hit[first], ring[first]
    start = distance_along(ways.points, ways.starts)[piece[hit]]
    return end, ring, start + np.hypot(*(places[end] - a[hit]).T)


def on_ring(ring: Ints, along: Floats, ways: Ways) -> Floats:
    """The places so far along rings of the ways, ``(n, 2)``."""
    if not len(ring):
        return np.empty((0, 2))
    far = distance_along(ways.points, ways.starts)
    reach = float(far.max()) + 1.0
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    at, asked = owner * reach + far, ring * reach + along
    return np.column_stack([np.interp(asked, at, ways.points[:, k]) for k in (0, 1)])
