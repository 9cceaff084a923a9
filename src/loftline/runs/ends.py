"""Where lines end: on a ring, shared with a neighbour, or free."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from loftline.geometry import distance_along, lengths, strokes
from loftline.units import LEAST_STITCH_MM
from loftline.values import Area, Bools, Floats, Ints, Lines, Ways

MERGE_MM = LEAST_STITCH_MM + 0.15
"""Nodes nearer than this along a line or way are one: between two of them no stitch fits
once both ends are rounded to the tenth of a millimetre."""

SHARP = np.radians(30.0)
"""A ring's corner sharper than this gets a needle point of its own."""

SAME_POINT_MM = 0.02
"""Crossings and free ends this near are one point, drawn with rounding."""

_ON_RING_MM = 1e-4
_STRAY_MM = 0.02
_BEND_MM = 10.0


def settle_ends(lines: Lines, ways: Ways, sewable: Area) -> tuple[Floats, Ints, Ends]:
    """Give every line end its node, and move the end onto it.

    A straight line is tilted by less than :data:`MERGE_MM`. Where that would bring it into
    a keep-out it passes closely, only its last stretch is bent.

    Args:
        lines: lines as drawn.
        ways: rings of the sewable area.
        sewable: where lines may lie.

    Returns:
        Packed points and offsets of the lines as they will be sewn, and their ends.
    """
    points = lines.points.copy()
    ends = Ends.find(points, lines.starts, lines.closed, ways)
    points[ends.index] = ends.points[ends.node]
    moved = np.hypot(*(points - lines.points).T) > 1e-9
    if not moved.any():
        return points, lines.starts, ends
    line_of = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    suspects = np.unique(line_of[moved])
    ground = shapely.buffer(sewable, _STRAY_MM)
    shapely.prepare(ground)
    stray = [
        i
        for i in suspects.tolist()
        if not ground.covers(shapely.LineString(points[lines.starts[i] : lines.starts[i + 1]]))
    ]
    if not stray:
        return points, lines.starts, ends
    return _bend(lines, points, ends, moved & np.isin(line_of, stray))


def _bend(lines: Lines, points: Floats, ends: Ends, turned: Bools) -> tuple[Floats, Ints, Ends]:
    """Keep lines as drawn but for a last stretch to their moved ends."""
    at = np.flatnonzero(turned)
    first = np.isin(at, lines.starts[:-1])
    drawn = lines.points
    inward = drawn[np.where(first, at + 1, at - 1)] - drawn[at]
    reach = np.hypot(*inward.T)
    knee = drawn[at] + inward * (np.minimum(_BEND_MM, reach / 3) / reach)[:, None]
    before = np.where(first, at + 1, at)
    line_of = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    added = np.bincount(line_of[at], minlength=len(lines))
    index = ends.index + (before[None, :] <= ends.index[:, None]).sum(axis=1)
    return (
        np.insert(points, before, knee, axis=0),
        lines.starts + np.concatenate([[0], np.cumsum(added)]),
        Ends(index=index, node=ends.node, points=ends.points, ring=ends.ring, along=ends.along),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Line ends and their nodes.

    Attributes:
        index: ``(e,)`` index of each end among the lines' packed points.
        node: ``(e,)`` its node.
        points: ``(n,)`` places of the nodes.
        ring, along: ``(n,)`` the ring a node lies on (-1: none) and how far along it.
    """

    index: Ints
    node: Ints
    points: Floats
    ring: Ints
    along: Floats

    @classmethod
    def find(cls, points: Floats, starts: Ints, closed: Bools, ways: Ways) -> Ends:
        """Find the ends; those beside a ring's corner are moved onto it in ``points``."""
        first, last = starts[:-1], starts[1:] - 1
        index = np.concatenate([first[~closed], last[~closed], first[closed], last[closed]])
        loops = int(closed.sum())
        open_ends = len(index) - 2 * loops
        ring = np.full(len(index), -1)
        along = np.zeros(len(index))
        ring[:open_ends], along[:open_ends] = _on_rings(points[index[:open_ends]], ways)
        node = np.full(len(index), -1)
        leads = np.zeros(len(index), bool)
        count = 0
        total = lengths(ways.points, ways.starts)
        _snap_to_corners(points, index[:open_ends], ring, along, ways)
        for r in np.unique(ring[ring >= 0]).tolist():
            members = np.flatnonzero(ring == r)
            order = members[np.argsort(along[members], kind="stable")]
            group = _grouped(along[order], total[r])
            node[order] = count + group
            leads[order[np.unique(group, return_index=True)[1]]] = True
            count += int(group.max()) + 1
        loose = np.flatnonzero((ring < 0) & (np.arange(len(index)) < open_ends))
        if len(loose):
            node[loose] = count + clusters(points[index[loose]], SAME_POINT_MM)
            count = int(node.max()) + 1
        node[open_ends:] = count + np.tile(np.arange(loops), 2)
        count += loops
        # the first end along a ring gives its node the place, elsewhere the first found
        leader = np.full(count, len(index))
        np.minimum.at(leader, node, np.arange(len(index)))
        leader[node[leads]] = np.flatnonzero(leads)
        return cls(
            index=index,
            node=node,
            points=points[index[leader]],
            ring=ring[leader],
            along=along[leader],
        )


def _on_rings(ends: Floats, ways: Ways) -> tuple[Ints, Floats]:
    """The ring each end lies on, ``-1`` where there is none, and how far along it."""
    ring = np.full(len(ends), -1)
    along = np.zeros(len(ends))
    if not len(ends) or not len(ways.points):
        return ring, along
    owner = np.repeat(np.arange(len(ways.starts) - 1), np.diff(ways.starts))
    piece = np.flatnonzero(owner[1:] == owner[:-1])
    a, b = ways.points[piece], ways.points[piece + 1]
    tree = shapely.STRtree(strokes(a, b))
    end, hit = tree.query_nearest(shapely.points(ends), max_distance=_ON_RING_MM, all_matches=False)
    ring[end] = owner[piece[hit]]
    start = distance_along(ways.points, ways.starts)[piece[hit]]
    along[end] = start + np.hypot(*(ends[end] - a[hit]).T)
    return ring, along


def _snap_to_corners(points: Floats, index: Ints, ring: Ints, along: Floats, ways: Ways) -> None:
    """Move ends beside a sharp corner of their ring onto it, in place.

    No stitch fits between the two, and cutting the corner could enter a keep-out.
    """
    place_on = distance_along(ways.points, ways.starts)
    for r in np.unique(ring[ring >= 0]).tolist():
        first, last = int(ways.starts[r]), int(ways.starts[r + 1]) - 1
        corners = ways.points[first:last]
        out = np.roll(corners, -1, axis=0) - corners
        back = corners - np.roll(corners, 1, axis=0)
        turn = np.abs(
            np.arctan2(back[:, 0] * out[:, 1] - back[:, 1] * out[:, 0], (back * out).sum(axis=1))
        )
        sharp = np.flatnonzero(turn > SHARP)
        if not len(sharp):
            continue
        total = place_on[last]
        at = place_on[first + sharp]
        on = np.flatnonzero(ring[: len(index)] == r)
        apart = np.abs(along[on][:, None] - at)
        apart = np.minimum(apart, total - apart)
        nearest = apart.argmin(axis=1)
        close = apart[np.arange(len(on)), nearest] <= MERGE_MM
        along[on[close]] = at[nearest[close]]
        points[index[on[close]]] = corners[sharp[nearest[close]]]


def _grouped(along: Floats, total: float) -> Ints:
    """Groups of sorted places on a ring that lie within :data:`MERGE_MM` of their first."""
    fresh = np.append(True, np.diff(along) > MERGE_MM)
    group = np.cumsum(fresh) - 1
    # a chain of near neighbours may grow longer than the merge: part it greedily
    for chain in np.flatnonzero(np.bincount(group) > 2).tolist():
        members = np.flatnonzero(group == chain)
        anchor = along[members[0]]
        for k in members[1:].tolist():
            if along[k] - anchor > MERGE_MM:
                fresh[k] = True
                anchor = along[k]
    group = np.cumsum(fresh) - 1
    if group[-1] > 0 and along[0] + total - along[-1] <= MERGE_MM:
        group[group == group[-1]] = 0
    return group


def clusters(points: Floats, radius: float) -> Ints:
    """Labels of points chained together by a radius, numbered by first appearance."""
    pairs = cKDTree(points).query_pairs(radius, output_type="ndarray")
    n = len(points)
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    _, first, inverse = np.unique(label, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))
    return np.asarray(rank[inverse], np.int64)
