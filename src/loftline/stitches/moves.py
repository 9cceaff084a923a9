"""The machine's moves between runs: round what sits above, never across it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra
from shapely import Polygon

from loftline.geometry import only_polygons, pack, polygons, rings, strokes
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Area, Floats, Ints, KeepOut

Box = tuple[float, float, float, float]

_BERTH_MM = 1.0
_DETOURS = 12
_CLOSER = (0.5, 0.0)
"""Shares of its zone kept from what sits above where whole zones leave no way."""


def obstacles(keep_outs: tuple[KeepOut, ...]) -> Area | None:
    """The zones of all that sits above, as one area; ``None`` when nothing does."""
    return _grown(keep_outs, 1.0)


def closer_obstacles(keep_outs: tuple[KeepOut, ...]) -> tuple[Area, ...]:
    """Smaller areas round the hard edges, which a foot that is up may pass; largest first."""
    areas = (_grown(keep_outs, share) for share in _CLOSER)
    return tuple(area for area in areas if area is not None)


def _grown(keep_outs: tuple[KeepOut, ...], share: float) -> Area | None:
    above = [zone for zone in keep_outs if zone.lies == "above"]
    if not above:
        return None
    reach = share * np.array([zone.reach for zone in above])
    grown = shapely.buffer([zone.outline for zone in above], reach)
    return only_polygons(shapely.union_all(grown))


def clear_origin(origin: tuple[int, int], area: Area | None) -> tuple[int, int]:
    """The origin, or the nearest place beside what sits above when it would lie on it."""
    if area is None:
        return origin
    point = shapely.Point(origin[0] * NEEDLE_GRID_MM, origin[1] * NEEDLE_GRID_MM)
    if not area.intersects(point):
        return origin
    berth = shapely.boundary(shapely.buffer(area, _BERTH_MM))
    spot = shapely.get_coordinates(shapely.shortest_line(point, berth))[1] / NEEDLE_GRID_MM
    return (round(float(spot[0])), round(float(spot[1])))


def route(
    start: Floats,
    end: Floats,
    area: Area | None,
    closer: Sequence[Area] = (),
    field: Box | None = None,
) -> tuple[Ints, Ints]:
    """Places to pass on the way of each move that would cross what sits above.

    Args:
        start: ``(m, 2)`` millimetres, where each move begins.
        end: ``(m, 2)`` millimetres, where it ends.
        area: from :func:`obstacles`.
        closer: from :func:`closer_obstacles`, for moves that find no way round the area.
        field: x0, y0, x1, y1 of the hoop's field, mm, which a move leaves only where all of
            it is taken up.

    Returns:
        ``(k, 2)`` places in tenths of a millimetre in order, and ``(k,)`` the move each
        belongs to. A shortest way through the corners of the grown obstacles (the
        visibility graph of motion planning). A move that finds none round the last of the
        areas stays straight; the checks report it.
    """
    none = np.empty((0, 2), np.int64), np.empty(0, np.int64)
    if area is None or not len(start):
        return none
    ways: dict[int, list[Floats]] = {}
    left = np.arange(len(start))
    tries = [(one, field) for one in (area, *closer)]
    for one, within in tries if field is None else [*tries, (area, None)]:
        left = _routed(start, end, one, within, left, ways)
        if not len(left):
            break
    owners = np.repeat(sorted(ways), [len(ways[move]) for move in sorted(ways)])
    if not len(owners):
        return none
    places = np.array([place for move in sorted(ways) for place in ways[move]])
    return np.rint(places / NEEDLE_GRID_MM).astype(np.int64), owners.astype(np.int64)


def _routed(
    start: Floats,
    end: Floats,
    area: Area,
    field: Box | None,
    moves: Ints,
    ways: dict[int, list[Floats]],
) -> Ints:
    """Those of the moves that find no way round an area; the ways of the others are kept."""
    shapely.prepare(area)
    crossing = moves[shapely.intersects(area, strokes(start[moves], end[moves]))]
    if not len(crossing):
        return crossing
    single = polygons(area)
    tree = shapely.STRtree(single)
    berths = [_within(_corners(one), field) for one in single]
    lost: list[int] = []
    for move in crossing.tolist():
        way = _around(start[move], end[move], single, berths, tree)
        if way is None:
            lost.append(move)
        else:
            ways[move] = way
    return np.array(lost, np.int64)


def _corners(one: Polygon) -> Floats:
    berth = only_polygons(shapely.simplify(shapely.buffer(one, _BERTH_MM), _BERTH_MM / 2))
    corners, _ = pack([ring[:-1] for ring in rings(berth)])
    return corners


def _within(corners: Floats, field: Box | None) -> Floats:
    if field is None:
        return corners
    inside = (corners >= np.array(field[:2]) + NEEDLE_GRID_MM) & (
        corners <= np.array(field[2:]) - NEEDLE_GRID_MM
    )
    held: Floats = corners[inside.all(axis=1)]
    return held


def _around(
    start: Floats, end: Floats, single: list[Polygon], berths: list[Floats], tree: shapely.STRtree
) -> list[Floats] | None:
    """Places on a short way round the obstacles it meets; ``None`` where there is no way.

    Only obstacles that a way has met so far are looked at, so the work depends on those in
    the way and not on all there are.
    """
    met: set[int] = set()
    way = np.stack([start, end])
    for _ in range(_DETOURS):
        hits = set(tree.query(shapely.LineString(way), predicate="intersects").tolist())
        if not hits - met:
            return None if hits else list(way[1:-1])
        met |= hits
        near = sorted(met)
        nodes = np.concatenate([start[None], end[None], *(berths[i] for i in near)])
        found = _shortest(nodes, shapely.MultiPolygon([single[i] for i in near]))
        if found is None:
            return None
        way = found
    return None


def _shortest(nodes: Floats, area: Area) -> Floats | None:
    """Shortest way from node 0 to node 1 in sight of one another."""
    i, j = np.triu_indices(len(nodes), 1)
    shapely.prepare(area)
    free = ~shapely.intersects(area, strokes(nodes[i], nodes[j]))
    i, j = i[free], j[free]
    length = np.hypot(*(nodes[i] - nodes[j]).T)
    graph = csr_matrix((length, (i, j)), shape=(len(nodes), len(nodes)))
    far, before = dijkstra(graph, directed=False, indices=np.array([0]), return_predecessors=True)
    if not np.isfinite(far[0, 1]):
        return None
    order = [1]
    while order[-1] != 0:
        order.append(int(before[0, order[-1]]))
    return nodes[order[::-1]]
