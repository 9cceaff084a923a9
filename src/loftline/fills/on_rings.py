"""Which ring of the ways each line end lies on, from the cut that made it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from loftline.clips import NOT_MADE, ON_RING_MM, Border, Cuts, rings_at
from loftline.geometry import distance_along
from loftline.values import Area, Floats, Ints, OnRings, Ways

_MIDDLE = 2


class _Along(NamedTuple):
    """How each edge of an area's border runs along the rings of the ways.

    Attributes:
        ring: ``(e,)`` the ring, -1 for an edge that lies on none, such as one along a fold.
        start: ``(e,)`` mm along the ring where the edge begins.
        forward: ``(e,)`` 1 where it runs as the ring does, -1 the other way.
    """

    ring: Ints
    start: Floats
    forward: Ints


def ends_on_rings(curves: Sequence[Floats], cuts: Cuts | None, area: Area, ways: Ways) -> OnRings:
    """The ring at both ends of each line, and how far along it.

    Args:
        curves: lines.
        cuts: the ends that the border of the area made; ``None`` where that is not known.
        area: what the lines were cut by.
        ways: from :func:`~loftline.panel.ways.make_ways`, for the same panel.

    """
    ring = np.full((len(curves), 2), OnRings.UNKNOWN)
    along = np.full((len(curves), 2), np.nan)
    if cuts is None or not len(curves):
        return OnRings(ring=ring, along=along)
    ends = np.array([curve[[0, -1]] for curve in curves])
    marks = cuts.at(ends.reshape(-1, 2)).reshape(-1, 2)
    ring[marks == NOT_MADE] = OnRings.NONE
    _watch_out(ring, ends, area)
    known = marks >= 0
    border = Border.of(area)
    if known.any():
        ring[known], along[known] = _placed(marks[known], border, _along(border, ways), ways)
    return OnRings(ring=ring, along=along)


def _watch_out(ring: Ints, ends: Floats, area: Area) -> None:
    """An end that no border made may lie on one all the same: nothing is said of it."""
    free = np.flatnonzero(ring.ravel() == OnRings.NONE)
    if len(free):
        edge = shapely.boundary(area)
        shapely.prepare(edge)
        near = shapely.dwithin(edge, shapely.points(ends.reshape(-1, 2)[free]), ON_RING_MM)
        ring.reshape(-1)[free[near]] = OnRings.UNKNOWN


def _placed(marks: Floats, border: Border, along: _Along, ways: Ways) -> tuple[Ints, Floats]:
    """The ring and the distance along it of each mark."""
    edge = border.edge_at(marks)
    begun = marks - border.mark[edge]
    left = np.hypot(*(border.end[edge] - border.start[edge]).T) - begun
    ring = along.ring[edge]
    # where an edge that lies on no ring begins or ends it may touch one
    ring[(ring < 0) & (np.minimum(begun, left) <= ON_RING_MM)] = OnRings.UNKNOWN
    far = along.start[edge] + along.forward[edge] * begun
    on = np.flatnonzero(ring >= 0)
    far[ring < 0] = np.nan
    total = distance_along(ways.points, ways.starts)[ways.starts[1:] - 1]
    far[on] = np.clip(far[on], 0.0, total[ring[on]])
    return ring, far


def _along(border: Border, ways: Ways) -> _Along:
    """Edge by edge: most are edges of a ring as they are, the others are looked for."""
    count = len(border.mark)
    out = _Along(np.full(count, -1), np.zeros(count), np.ones(count, np.int64))
    if not len(ways.points):
        return out
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    piece = np.flatnonzero(owner[1:] == owner[:-1])
    far = distance_along(ways.points, ways.starts)
    same = piece[:count]
    if np.array_equal(ways.points[same], border.start) and np.array_equal(
        ways.points[same + 1], border.end
    ):
        # a design over the whole panel: its rings are the ways, in their order
        return _Along(owner[same], far[same], out.forward)
    names, name = np.unique(
        np.concatenate([_named(ways.points), _named(border.start), _named(border.end)]),
        return_inverse=True,
    )
    of_way, start, end = np.split(name, [len(ways.points), len(ways.points) + count])
    key = of_way[piece] * len(names) + of_way[piece + 1]
    # of two rings that share an edge the first
    order = np.argsort(key, kind="stable")
    for forward, asked in ((1, start * len(names) + end), (-1, end * len(names) + start)):
        at = np.minimum(np.searchsorted(key[order], asked), len(key) - 1)
        same = np.flatnonzero((key[order][at] == asked) & (out.ring < 0))
        found = piece[order[at[same]]]
        out.ring[same], out.forward[same] = owner[found], forward
        out.start[same] = far[found if forward == 1 else found + 1]
    _look_for(np.flatnonzero(out.ring < 0), border, ways, out)
    return out


def _named(points: Floats) -> Floats:
    """Points as single numbers, the same for the same place."""
    out: Floats = points[:, 0] + 0.0 + 1j * (points[:, 1] + 0.0)
    return out


def _look_for(edges: Ints, border: Border, ways: Ways, out: _Along) -> None:
    """Edges that a fold or another design has cut off: on a ring from end to end or on none."""
    if not len(edges):
        return
    start, end = border.start[edges], border.end[edges]
    middle = (start + end) / 2
    at, ring, far = rings_at(np.concatenate([start, end, middle]), ways)
    count = len(edges)
    rings = len(ways.starts)
    # which of the three places of which edge lies on which ring
    which, name = at // count, at % count * rings + ring
    both = np.intersect1d(name[which == 0], name[which == 1])
    mid = np.flatnonzero((which == _MIDDLE) & np.isin(name, both))
    edge, first = np.unique(at[mid] % count, return_index=True)
    mid = mid[first]
    length = np.hypot(*(end - start)[edge].T)
    forward = _runs_forward((end - start)[edge], ring[mid], far[mid], ways)
    out.ring[edges[edge]] = ring[mid]
    out.forward[edges[edge]] = forward
    out.start[edges[edge]] = far[mid] - forward * length / 2


def _runs_forward(direction: Floats, ring: Ints, far: Floats, ways: Ways) -> Ints:
    """Whether each edge runs as its ring does there, 1, or against it, -1."""
    along = distance_along(ways.points, ways.starts)
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    reach = float(along.max()) + 1.0
    piece = np.searchsorted(owner * reach + along, ring * reach + far, side="right") - 1
    piece = np.minimum(piece, ways.starts[ring + 1] - 2)
    way = ways.points[piece + 1] - ways.points[piece]
    return np.where((way * direction).sum(axis=1) >= 0, 1, -1)
