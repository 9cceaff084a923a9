"""The machine's moves between runs: round what sits above, never across it."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra
from shapely import Polygon

from loftline.geometry import only_polygons, pack, polygons, rings, strokes
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Area, Floats, Ints, KeepOut

_BERTH_MM = 1.0
_DETOURS = 12


def obstacles(keep_outs: tuple[KeepOut, ...]) -> Area | None:
    """The zones of all that sits above, as one area; ``None`` when nothing does."""
    above = [zone for zone in keep_outs if zone.sits == "above"]
    if not above:
        return None
    grown = shapely.buffer([z.outline for z in above], np.array([z.reach for z in above]))
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


def route(start: Floats, end: Floats, area: Area | None) -> tuple[Ints, Ints]:
    """Places to pass on the way of each move that would cross what sits above.

    Args:
        start: ``(m, 2)`` millimetres, where each move begins.
        end: ``(m, 2)`` millimetres, where it ends.
        area: from :func:`obstacles`.

    Returns:
        ``(k, 2)`` places in tenths of a millimetre in order, and ``(k,)`` the move each
        belongs to. A shortest way through the corners of the grown obstacles (the
        visibility graph of motion planning). A move that begins or ends on an obstacle
        stays straight; the checks report it.
    """
    none = np.empty((0, 2), np.int64), np.empty(0, np.int64)
    if area is None or not len(start):
        return none
    shapely.prepare(area)
    crossing = shapely.intersects(area, strokes(start, end))
    if not crossing.any():
        return none
    single = polygons(area)
    tree = shapely.STRtree(single)
    berths = [_corners(one) for one in single]
    places: list[Floats] = []
    owners: list[int] = []
    for move in np.flatnonzero(crossing).tolist():
        way = _around(start[move], end[move], single, berths, tree)
        places.extend(way)
        owners.extend([move] * len(way))
    if not places:
        return none
    tenths = np.rint(np.array(places) / NEEDLE_GRID_MM).astype(np.int64)
    return tenths, np.array(owners, np.int64)


def _corners(one: Polygon) -> Floats:
    berth = only_polygons(shapely.simplify(shapely.buffer(one, _BERTH_MM), _BERTH_MM / 2))
    corners, _ = pack([ring[:-1] for ring in rings(berth)])
    return corners


def _around(
    start: Floats, end: Floats, single: list[Polygon], berths: list[Floats], tree: shapely.STRtree
) -> list[Floats]:
    """A short way round the obstacles it meets; nothing when there is none.

    Only obstacles that a way has met so far are looked at, so the work depends on those in
    the way and not on all there are.
    """
    met: set[int] = set()
    way = np.stack([start, end])
    for _ in range(_DETOURS):
        hits = set(tree.query(shapely.LineString(way), predicate="intersects").tolist())
        if not hits - met:
            return [] if hits else list(way[1:-1])
        met |= hits
        near = sorted(met)
        nodes = np.concatenate([start[None], end[None], *(berths[i] for i in near)])
        found = _shortest(nodes, shapely.MultiPolygon([single[i] for i in near]))
        if found is None:
            return []
        way = found
    return []


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
