"""Where lines end: on a ring, shared with a neighbour, or free."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy.spatial import cKDTree

from loftline.clips import ON_RING_MM, on_ring, rings_at
from loftline.geometry import distance_along, lengths, only_polygons
from loftline.runs.connected import components
from loftline.units import LEAST_STITCH_MM
from loftline.values import Area, Bools, Floats, Ints, Lines, OnRings, Ways

MERGE_MM = LEAST_STITCH_MM + 0.1499
"""Nodes nearer than this along a line or way are one: between two of them no stitch fits
once both ends are rounded to the tenth of a millimetre. A hair under 0.45, which round numbers
meet, so that a line drawn again in a hoop's field is not moved by the last digit."""

SHARP = np.radians(30.0)
"""A ring's corner sharper than this gets a needle point of its own."""

SAME_POINT_MM = 0.02
"""Crossings and free ends this near are one point, drawn with rounding."""

_STRAY_MM = 0.02
_HOOK_MM = 2 * MERGE_MM
"""An end moves by no more than half of this."""
_BENDS_MM = (10.0, 3.0, 1.0, 0.5)
"""Last stretch of a line that may be bent to its moved end, longest tried first."""


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
    ends = Ends.find(points, lines, ways)
    if len(ways.joints):
        ends = ends.joined(ways)
    points[ends.index] = ends.points[ends.node]
    moved = np.hypot(*(points - lines.points).T) > 1e-9
    if not moved.any():
        return points, lines.starts, ends
    keep = _without_hooks(points, lines.starts, ends.index[moved[ends.index]])
    if not keep.all():
        rank = np.cumsum(keep) - 1
        first = np.append(rank[lines.starts[:-1]], int(keep.sum()))
        lines = replace(lines, points=lines.points[keep], starts=first)
        ends = replace(ends, index=rank[ends.index])
        points, moved = points[keep], moved[keep]
    line_of = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    ground = only_polygons(shapely.buffer(sewable, _STRAY_MM))
    shapely.prepare(ground)
    stray = _strays(np.unique(line_of[moved]), points, lines.starts, ground)
    if not len(stray):
        return points, lines.starts, ends
    turned = np.flatnonzero(moved & np.isin(line_of, stray))
    reach = np.full(len(turned), _BENDS_MM[0])
    bent = _bend(lines, points, ends, turned, reach)
    for shorter in _BENDS_MM[1:]:
        stray = _strays(stray, bent[0], bent[1], ground)
        if not len(stray):
            break
        reach[np.isin(line_of[turned], stray)] = shorter
        bent = _bend(lines, points, ends, turned, reach)
    return bent


def _without_hooks(points: Floats, starts: Ints, moved: Ints) -> Bools:
    """Which points stay: a curve's own points beside an end that was moved past them go."""
    keep = np.ones(len(points), bool)
    line = np.searchsorted(starts, moved, side="right") - 1
    for end, own in zip(moved.tolist(), line.tolist(), strict=True):
        first, last = int(starts[own]), int(starts[own + 1]) - 1
        way = 1 if end == first else -1
        at = end + way
        while first < at < last and np.hypot(*(points[at] - points[end])) < _HOOK_MM:
            keep[at] = False
            at += way
    return keep


def _strays(which: Ints, points: Floats, starts: Ints, ground: Area) -> Ints:
    """Those of some lines that leave the ground."""
    return np.array(
        [
            i
            for i in which.tolist()
            if not ground.covers(shapely.LineString(points[starts[i] : starts[i + 1]]))
        ],
        np.int64,
    )


def _bend(
    lines: Lines, points: Floats, ends: Ends, at: Ints, reach: Floats
) -> tuple[Floats, Ints, Ends]:
    """Keep lines as drawn but for a last stretch of ``reach`` to their moved ends ``at``."""
    first = np.isin(at, lines.starts[:-1])
    drawn = lines.points
    inward = drawn[np.where(first, at + 1, at - 1)] - drawn[at]
    whole = np.hypot(*inward.T)
    knee = drawn[at] + inward * (np.minimum(reach, whole / 3) / whole)[:, None]
    before = np.where(first, at + 1, at)
    line_of = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    added = np.bincount(line_of[at], minlength=len(lines))
    index = ends.index + (before[None, :] <= ends.index[:, None]).sum(axis=1)
    return (
        np.insert(points, before, knee, axis=0),
        lines.starts + np.concatenate([[0], np.cumsum(added)]),
        replace(ends, index=index),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Line ends and their nodes.

    Attributes:
        index: ``(e,)`` index of each end among the lines' packed points.
        node: ``(e,)`` its node.
        points: ``(n,)`` places of the nodes.
        on_ring: ``(k,)`` nodes that lie on rings, once for each ring they lie on.
        ring, along: ``(k,)`` the ring each lies on and how far along it.
    """

    index: Ints
    node: Ints
    points: Floats
    on_ring: Ints
    ring: Ints
    along: Floats

    @classmethod
    def find(cls, points: Floats, lines: Lines, ways: Ways) -> Ends:
        """Find the ends; those beside a ring's corner are moved onto it in ``points``."""
        closed, first, last = lines.closed, lines.starts[:-1], lines.starts[1:] - 1
        index = np.concatenate([first[~closed], last[~closed], first[closed], last[closed]])
        loops = int(closed.sum())
        open_ends = len(index) - 2 * loops
        ring = np.full(len(index), -1)
        along = np.zeros(len(index))
        free = np.flatnonzero(~closed)
        ring[:open_ends], along[:open_ends] = _on_rings(
            points[index[:open_ends]], lines.ends, np.concatenate([2 * free, 2 * free + 1]), ways
        )
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
        on_ring = np.flatnonzero(ring[leader] >= 0)
        return cls(
            index=index,
            node=node,
            points=points[index[leader]],
            on_ring=on_ring,
            ring=ring[leader][on_ring],
            along=along[leader][on_ring],
        )

    def joined(self, ways: Ways) -> Ends:
        """The same with a node wherever one ring leaves another, on both rings."""
        node, places = self.node.copy(), [*self.points]
        on_ring, ring, along = self.on_ring.tolist(), self.ring.tolist(), self.along.tolist()
        total = lengths(ways.points, ways.starts)
        which, rings, far = rings_at(ways.joints, ways)
        for j, place in enumerate(ways.joints):
            meets = list(zip(rings[which == j].tolist(), far[which == j].tolist(), strict=True))
            found = {}
            for r, s in meets:
                apart = [
                    min(abs(a - s), total[r] - abs(a - s)) if q == r else np.inf
                    for q, a in zip(ring, along, strict=True)
                ]
                nearest = int(np.argmin(apart)) if apart else 0
                if apart and apart[nearest] <= MERGE_MM:
                    found[r] = on_ring[nearest]
            if found:
                here = min(found.values())
            else:
                here = len(places)
                places.append(place)
            node[np.isin(node, list(found.values()))] = here
            on_ring = [here if n in found.values() else n for n in on_ring]
            fresh = [(r, s) for r, s in meets if r not in found]
            on_ring += [here] * len(fresh)
            ring += [r for r, _ in fresh]
            along += [s for _, s in fresh]
        return Ends(
            index=self.index,
            node=node,
            points=np.array(places).reshape(-1, 2),
            on_ring=np.array(on_ring, np.int64),
            ring=np.array(ring, np.int64),
            along=np.array(along, np.float64),
        )


def _on_rings(ends: Floats, known: OnRings | None, index: Ints, ways: Ways) -> tuple[Ints, Floats]:
    """The ring each end lies on, ``-1`` where there is none, and how far along it.

    What the designs know of an end is taken from them, if the end still lies there; only the
    others are looked for.

    Args:
        ends: ``(e, 2)`` places.
        known: of the ends, one after the other.
        index: ``(e,)`` where each stands in ``known``.
        ways: the rings.
    """
    ring = np.full(len(ends), -1)
    along = np.zeros(len(ends))
    asked = np.arange(len(ends))
    if known is not None and len(ends):
        ring, along = known.ring.ravel()[index].copy(), known.along.ravel()[index].copy()
        on = np.flatnonzero(ring >= 0)
        moved = np.hypot(*(on_ring(ring[on], along[on], ways) - ends[on]).T) > ON_RING_MM
        ring[on[moved]] = OnRings.UNKNOWN
        asked = np.flatnonzero(ring == OnRings.UNKNOWN)
        ring[asked] = -1
        along[ring < 0] = 0.0
    end, owner, far = rings_at(ends[asked], ways)
    # the first ring that holds it: a ring round a strip shares its ends with the edge
    first = np.append(True, np.diff(end) > 0)[: len(end)]
    ring[asked[end[first]]] = owner[first]
    along[asked[end[first]]] = far[first]
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
    label = components(len(points), pairs[:, 0], pairs[:, 1])
    _, first, inverse = np.unique(label, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))
    return np.asarray(rank[inverse], np.int64)
