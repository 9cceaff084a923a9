"""The network: lines and ways, cut at the nodes where they meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import distance_along, lengths, ranges
from loftline.runs.costs import DOUBLE_COST
from loftline.runs.crossings import find_crossings
from loftline.runs.ends import MERGE_MM, SAME_POINT_MM, clusters, settle_ends
from loftline.runs.rings import cut_rings
from loftline.values import Bools, Floats, Ints, Lines, Network, Panel


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stops:
    """Places on packed polylines where nodes lie: polyline, distance along it, node."""

    line: Ints
    along: Floats
    node: Ints


def make_network(panel: Panel, lines: Lines) -> Network:
    """Node the lines and the ways.

    Line ends on a ring of the sewable area become nodes of that ring; ends nearer to each
    other than :data:`MERGE_MM` share one. Crossings become nodes unless they lie that close
    to an end or to the next crossing: there the lines simply cross.

    Args:
        panel: for the ways.
        lines: what must be sewn.

    Returns:
        The network; required edges first, in line order, then the ways.
    """
    points, starts, ends = settle_ends(lines, panel.ways, panel.sewable)
    nodes = [ends.points]
    line_of = np.repeat(np.arange(len(lines)), np.diff(starts))
    crossing_points, crossing_stops = _crossing_stops(
        points, starts, lines.family, len(ends.points)
    )
    nodes.append(crossing_points)
    along = distance_along(points, starts)
    stops = _Stops(
        line=np.concatenate([line_of[ends.index], crossing_stops.line]),
        along=np.concatenate([along[ends.index], crossing_stops.along]),
        node=np.concatenate([ends.node, crossing_stops.node]),
    )
    where = np.concatenate(nodes)
    sewn = _cut(points, starts, stops)
    ways = cut_rings(panel.ways, ends, where)
    u = np.concatenate([sewn.u, ways.u])
    edge_points = np.concatenate([sewn.points, ways.points])
    edge_starts = np.concatenate([sewn.starts, ways.starts[1:] + len(sewn.points)])
    length = lengths(edge_points, edge_starts)
    cost = length.copy()
    cost[: len(sewn.u)] *= DOUBLE_COST
    cost[len(sewn.u) :] = ways.cost
    return Network(
        nodes=where,
        u=u,
        v=np.concatenate([sewn.v, ways.v]),
        way=np.concatenate([np.zeros(len(sewn.u), np.int64), ways.way]),
        required=np.arange(len(u)) < len(sewn.u),
        line=np.concatenate([sewn.owner, np.full(len(ways.u), -1)]),
        length=length,
        cost=cost,
        points=edge_points,
        starts=edge_starts,
        line_points=points,
        line_starts=starts,
    )


def _crossing_stops(
    points: Floats, starts: Ints, family: Ints, first_node: int
) -> tuple[Floats, _Stops]:
    found = find_crossings(points, starts, family)
    total = lengths(points, starts)

    def clear(line: Ints, along: Floats) -> Bools:
        return np.asarray((along > MERGE_MM) & (along < total[line] - MERGE_MM))

    keep = clear(found.first, found.first_along) & clear(found.second, found.second_along)
    where = found.points[keep]
    if not len(where):
        none = np.empty(0, np.int64)
        return np.empty((0, 2)), _Stops(line=none, along=np.empty(0), node=none)
    label = np.arange(len(where))
    if len(np.unique(family)) > 2:
        label = clusters(where, SAME_POINT_MM)
    line = np.concatenate([found.first[keep], found.second[keep]])
    along = np.concatenate([found.first_along[keep], found.second_along[keep]])
    node = np.concatenate([label, label])
    order = np.lexsort((node, along, line))
    line, along, node = line[order], along[order], node[order]
    # three lines through one point meet pairwise: keep one stop a line
    again = (line[1:] == line[:-1]) & (node[1:] == node[:-1])
    line, along, node = (array[np.append(True, ~again)] for array in (line, along, node))
    crowded = (line[1:] == line[:-1]) & (np.diff(along) < MERGE_MM)
    kept = ~np.isin(node, node[1:][crowded])
    line, along, node = line[kept], along[kept], node[kept]
    spot = np.empty((int(label.max()) + 1, 2))
    spot[label[::-1]] = where[::-1]
    names, compact = np.unique(node, return_inverse=True)
    return spot[names], _Stops(line=line, along=along, node=first_node + compact)


def _on_lines(points: Floats, along: Floats, owner: Ints, stops: _Stops) -> Floats:
    """Places of stops on their own lines.

    A shared node may lie a hair beside a line, and a straight line must stay straight.
    """
    if not len(points):
        return np.empty((0, 2))
    reach = float(along.max(initial=0.0)) + 1.0
    asked = stops.line * reach + stops.along
    at = owner * reach + along
    return np.column_stack([np.interp(asked, at, points[:, k]) for k in (0, 1)])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pieces:
    """Edges cut from polylines, packed, with the polyline each came from."""

    u: Ints
    v: Ints
    owner: Ints
    points: Floats
    starts: Ints


def _cut(points: Floats, starts: Ints, stops: _Stops) -> _Pieces:
    """Cut polylines at their stops; every polyline begins and ends at a stop."""
    owner = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    inner = np.ones(len(points), bool)
    inner[starts[:-1]] = False
    inner[starts[1:] - 1] = False
    vertex = np.flatnonzero(inner)
    along = distance_along(points, starts)
    line = np.concatenate([stops.line, owner[vertex]])
    place = np.concatenate([stops.along, along[vertex]])
    node = np.concatenate([stops.node, np.full(len(vertex), -1)])
    spot = np.concatenate([_on_lines(points, along, owner, stops), points[vertex]])
    order = np.lexsort((place, line))
    line, node, spot = line[order], node[order], spot[order]
    at = np.flatnonzero(node >= 0)
    same = line[at[1:]] == line[at[:-1]]
    begin, end = at[:-1][same], at[1:][same]
    size = end - begin + 1
    return _Pieces(
        u=node[begin],
        v=node[end],
        owner=line[begin],
        points=spot[ranges(begin, size)],
        starts=np.concatenate([[0], np.cumsum(size)]),
    )
