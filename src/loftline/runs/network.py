"""The network: lines and ways, cut at the nodes where they meet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from loftline.errors import Step, does_nothing
from loftline.geometry import distance_along, lengths, ranges
from loftline.runs.barred import barred_by_folds, bars_travel
from loftline.runs.begun import Begun, begun_at_nodes
from loftline.runs.costs import BY_MACHINE, Costs
from loftline.runs.crossings import find_crossings
from loftline.runs.ends import MERGE_MM, SAME_POINT_MM, Ends, clusters, settle_ends
from loftline.runs.facing import Curves
from loftline.runs.rings import cut_rings
from loftline.runs.steps import Steps, find_steps
from loftline.runs.stops import Stops
from loftline.runs.touching import with_touches
from loftline.values import Bools, Floats, Ints, Lines, Network, Panel, Way, Ways

_ON_CREASE_MM = 1e-3
_ON_CORNER_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stops:
    """Places on packed polylines where nodes lie: polyline, distance along it, node."""

    line: Ints
    along: Floats
    node: Ints


def make_network(
    panel: Panel, lines: Lines, step: Step = does_nothing, *, costs: Costs = BY_MACHINE
) -> Network:
    """Node the lines and the ways.

    Line ends on a ring of the sewable area become nodes of that ring; ends nearer to each
    other than :data:`MERGE_MM` share one. Crossings become nodes unless they lie that close
    to an end or to the next crossing: there the lines simply cross.

    Args:
        panel: for the ways.
        lines: what must be sewn.
        step: progress callback.
        costs: prices of travel and of runs' ends.

    Returns:
        The network; required edges first, in line order, then the ways along rings, then steps.
    """
    step("network", 0, 4)
    points, starts, ends = settle_ends(lines, panel.ways, panel.sewable)
    step("network", 1, 4)
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
    stops = _with_ends_on_creases(stops, points, starts, lines, ends)
    where = np.concatenate(nodes)
    step("network", 2, 4)
    curves = Curves.of(points, starts, lines.closed)
    met = Stops(curve=stops.line, along=stops.along, node=stops.node)
    met, where = with_touches(curves, met, ends.on_ring, where, step)
    step("network", 2, 4)
    stops = _Stops(line=met.curve, along=met.along, node=met.node)
    on_rings = Stops(curve=ends.ring, along=ends.along, node=ends.on_ring)
    steps = find_steps(panel, curves, met, on_rings, where, costs, step)
    stops, ends, where = _with_steps(stops, ends, where, steps)
    step("network", 3, 4)
    met = Stops(curve=stops.line, along=stops.along, node=stops.node)
    sewn = _cut(begun_at_nodes(curves, met, ends.on_ring))
    ways = cut_rings(panel.ways, ends, where, costs)
    at_edge = _at_edge(panel.ways, ends, len(where))
    count = len(sewn.u), len(ways.u), len(steps.u)
    u = np.concatenate([sewn.u, ways.u, steps.u])
    v = np.concatenate([sewn.v, ways.v, steps.v])
    straight = where[np.column_stack([steps.u, steps.v])].reshape(-1, 2)
    edge_points = np.concatenate([sewn.points, ways.points, straight])
    sizes = np.concatenate([np.diff(sewn.starts), np.diff(ways.starts), np.full(count[2], 2)])
    edge_starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    length = lengths(edge_points, edge_starts)
    cost = length * costs.double
    cost[count[0] : count[0] + count[1]] = ways.cost
    return Network(
        nodes=where,
        u=u,
        v=v,
        way=np.concatenate(
            [np.full(count[0], Way.LINE), ways.way, np.full(count[2], Way.STEP)]
        ).astype(np.int64),
        required=np.arange(len(u)) < len(sewn.u),
        line=np.concatenate([sewn.owner, np.full(count[1] + count[2], -1)]),
        length=length,
        cost=cost,
        points=edge_points,
        starts=edge_starts,
        line_points=points,
        line_starts=starts,
        once=_once(panel, edge_points, edge_starts, len(sewn.u)),
        end_cost=costs.of_ends(at_edge),
        at_edge=at_edge,
        fill=np.concatenate([lines.fill[sewn.owner], np.full(count[1] + count[2], -1)]),
    )


def _at_edge(ways: Ways, ends: Ends, n: int) -> Bools:
    """Nodes that lie on the edge, whether it may be travelled along or not."""
    there = np.zeros(n, bool)
    if not len(ends.on_ring):
        return there
    along = distance_along(ways.points, ways.starts)
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    reach = float(along.max()) + 1.0
    place = owner * reach + along
    # on a corner both pieces count: one may run along the edge, the other round a keep-out
    for beside in (-_ON_CREASE_MM, _ON_CREASE_MM):
        total = along[ways.starts[ends.ring + 1] - 1]
        asked = ends.ring * reach + np.clip(ends.along + beside, 0.0, total - _ON_CREASE_MM)
        piece = np.searchsorted(place, asked, side="right") - 1
        there[ends.on_ring[ways.kind[piece] == Way.EDGE]] = True
    return there


def _with_steps(
    stops: _Stops, ends: Ends, where: Floats, steps: Steps
) -> tuple[_Stops, Ends, Floats]:
    """The same with the nodes that steps need."""
    lines, rings = steps.on_lines, steps.on_rings
    return (
        _Stops(
            line=np.concatenate([stops.line, lines.curve]),
            along=np.concatenate([stops.along, lines.along]),
            node=np.concatenate([stops.node, lines.node]),
        ),
        replace(
            ends,
            on_ring=np.concatenate([ends.on_ring, rings.node]),
            ring=np.concatenate([ends.ring, rings.curve]),
            along=np.concatenate([ends.along, rings.along]),
        ),
        np.concatenate([where, steps.points]),
    )


def _once(panel: Panel, points: Floats, starts: Ints, required: int) -> Bools | None:
    """Pieces of lines that are not sewn over again, which would be travel where there is none.

    They meet a fold closed to travel, or lie where its foam has a gap.
    """
    if not bars_travel(panel):
        return None
    index = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    pieces = np.asarray(shapely.linestrings(points, indices=index), dtype=object)[:required]
    once = np.zeros(len(starts) - 1, bool)
    once[:required] = barred_by_folds(panel, pieces)
    return once


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
    # at a corner of both lines each of the pieces beside it tells of the crossing
    if len(np.unique(family)) > 2 or len(points) > 2 * len(family):
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


def _with_ends_on_creases(
    stops: _Stops, points: Floats, starts: Ints, lines: Lines, ends: Ends
) -> _Stops:
    """Creases stop too where a line of a part ends on them: the fold is where its part ends."""
    creases = np.flatnonzero(lines.fill < 0)
    if not len(creases):
        return stops
    free = np.setdiff1d(ends.node[~lines.closed[stops.line[: len(ends.node)]]], ends.on_ring)
    line, along, node = [stops.line], [stops.along], [stops.node]
    at = np.asarray(shapely.points(ends.points[free]), dtype=object)
    for crease in creases.tolist():
        drawn = shapely.linestrings(points[starts[crease] : starts[crease + 1]])
        near = free[shapely.dwithin(drawn, at, _ON_CREASE_MM)]
        far = np.atleast_1d(shapely.line_locate_point(drawn, shapely.points(ends.points[near])))
        taken = stops.along[stops.line == crease].tolist()
        for n, s in sorted(zip(near.tolist(), far.tolist(), strict=True), key=lambda pair: pair[1]):
            if min(abs(s - t) for t in taken) > MERGE_MM:
                taken.append(s)
                line.append(np.array([crease]))
                along.append(np.array([s]))
                node.append(np.array([n]))
    return _Stops(line=np.concatenate(line), along=np.concatenate(along), node=np.concatenate(node))


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


def _beside(line: Ints, along: Floats, stops: _Stops) -> Bools:
    """Corners on which a stop lies: repeated, the turn there could not be told."""
    reach = float(stops.along.max(initial=0.0)) + float(along.max(initial=0.0)) + 1.0
    at = np.sort(stops.line * reach + stops.along)
    place = line * reach + along
    right = np.searchsorted(at, place)
    gap = np.full(len(place), np.inf)
    for k in (right - 1, right):
        near = np.flatnonzero((k >= 0) & (k < len(at)))
        gap[near] = np.minimum(gap[near], np.abs(at[k[near]] - place[near]))
    return np.asarray(gap <= _ON_CORNER_MM)


def _cut(begun: Begun) -> _Pieces:
    """Cut polylines at their stops; every polyline begins and ends at a stop."""
    points, starts, met = begun.points, begun.starts, begun.stops
    stops = _Stops(line=met.curve, along=met.along, node=met.node)
    owner = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    inner = np.ones(len(points), bool)
    inner[starts[:-1]] = False
    inner[starts[1:] - 1] = False
    vertex = np.flatnonzero(inner)
    along = distance_along(points, starts)
    vertex = vertex[~_beside(owner[vertex], along[vertex], stops)]
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
