"""One curve through a whole area: the outline of a random tree.

Any tree drawn without crossings has an outline: walk round it with one hand on the bark and
you come back to where you started, having passed both sides of every branch. Drawn a little
off the bark that walk is a closed curve that never meets itself. The tree spans the seeds of
an area, so the curve visits all of it, and the keep-outs stay outside the bark.

A curve from one place of the edge to another comes about in the same way: the edge between
the two places is a branch, too. The walk then is outside the area along one side of that
branch and inside for all the rest, from the one end to the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, minimum_spanning_tree
from scipy.spatial import Delaunay
from shapely import Polygon

from loftline.fills.meander.depth import edge_points
from loftline.fills.meander.hashing import Names, chance, named
from loftline.fills.meander.loop import Curve, Loop, as_points, from_points
from loftline.fills.meander.pace import Pace
from loftline.fills.meander.seeds import Seeds
from loftline.geometry import rings
from loftline.values import Bools, Floats, Ints

SAMPLE_STEP = 0.25
"""Between samples of the edge, in spacings; see :func:`triangulate`."""
BULGE = 0.05
"""Of a step, how far a straight side of the edge bulges."""
BRANCH_CLEARANCE = 0.12
"""Branches nearer to the edge than this (in spacings) are taken only where no other is."""
LENGTH_WEIGHT = 0.15
TIGHT_WEIGHT = 10.0
GATE_STEP = 2.2
"""Between places where the tree may grow from the edge, on an average, in spacings."""
NO_GATE_WEIGHT = 5.0
BARK_WEIGHT = 1e-6
"""Of the edge as a branch: it is part of the tree before anything else."""
MARKED = 0.3
"""Share of the branches that mark the walk where it passes along them: every seven spacings
or so."""
OFF_BARK = 0.5
"""Share of the way from a seed to the middle of a triangle where the walk goes."""
OFF_BARK_ACROSS = 0.33
"""The same on an edge between two seeds, less than half so that two walks never meet."""
OFF_EDGE = 0.15
"""Both from a place of the edge, whose neighbours are so near that the walk would be a saw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A triangulation of seeds and edge samples.

    Attributes:
        places: nodes of the tree first (seeds, then the edge between two ends), then the
            other samples of the edge.
        names: of the nodes.
        seeds: how many of the nodes are seeds.
        corners: ``(t, 3)`` places of each triangle, counter-clockwise.
        beyond: ``(t, 3)`` the triangle across the side that faces each corner, or -1.
        links: ``(m, 2)`` sides that join two nodes, lower index first, sorted.
        doors: first and last side of the walk along the edge, for an open curve: the place
            the walk goes round and the sample beyond, there.
    """

    places: Loop
    names: Names
    seeds: int
    corners: Ints
    beyond: Ints
    links: Ints
    doors: tuple[tuple[int, int], tuple[int, int]] | None = None

    @property
    def nodes(self) -> int:
        """How many places may belong to the tree."""
        return len(self.names)


def triangulate(
    area: Polygon, seeds: Seeds, pace: Pace, seed: int, ends: tuple[complex, complex] | None = None
) -> Mesh:
    """Delaunay triangulation of the seeds and of samples of the area's edge.

    No side between two seeds crosses the edge: seeds lie at least 0.15 spacings deep, so by
    the power of the crossing point any circle through both would cut a chord of at least 0.3
    spacings from the edge, and samples lie closer together than that.

    Args:
        area: the area.
        seeds: seeds in it, 0.15 spacings deep or more.
        pace: wanted distance between neighbouring lines.
        seed: for the names of the edge's samples.
        ends: places on the outer edge between which the edge is a branch, either way round.
    """
    step = SAMPLE_STEP * pace.finest
    bark, doors = np.empty(0, np.int64), None
    if ends is None:
        samples = from_points(edge_points(area, step))
    else:
        outlines = [bulged(ring, step) for ring in rings(shapely.orient_polygons(area))]
        samples, outer = np.concatenate(outlines), len(outlines[0])
        bark = edge_between(samples[:outer], *ends)
        before, after = (bark[0] - 1) % outer, (bark[-1] + 1) % outer
        rest = np.setdiff1d(np.arange(len(samples)), bark)
        # twice as wide: the walk goes round each of them
        bark = bark[np.union1d(np.arange(0, len(bark), 2), [len(bark) - 1])]
        order = np.concatenate([bark, rest])
        rank = np.empty(len(samples), np.int64)
        rank[order] = np.arange(len(order)) + len(seeds)
        doors = (int(rank[bark[-1]]), int(rank[after])), (int(rank[bark[0]]), int(rank[before]))
        samples = samples[order]
    nodes = len(seeds) + len(bark)
    places = np.concatenate([seeds.places, samples])
    cell = np.round(as_points(samples[: len(bark)]) / step).astype(np.int64)
    mesh = Delaunay(as_points(places))
    corners, beyond = mesh.simplices.astype(np.int64), mesh.neighbors.astype(np.int64)
    a, b, c = places[corners].T
    turned = ((b - a).conjugate() * (c - a)).imag < 0
    corners[turned] = corners[turned][:, [0, 2, 1]]
    beyond[turned] = beyond[turned][:, [0, 2, 1]]
    sides = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    sides = np.sort(sides[(sides < nodes).all(axis=1)], axis=1)
    return Mesh(
        places=places,
        names=np.concatenate([seeds.names, named(seed, cell[:, 0], cell[:, 1])]),
        seeds=len(seeds),
        corners=corners,
        beyond=beyond,
        links=np.unique(sides, axis=0),
        doors=doors,
    )


def bulged(ring: Floats, step: float) -> Loop:
    """Samples of a ring, its straight sides bulging outward by next to nothing.

    Three places in a line would make triangles without a left and a right side.
    """
    place = from_points(ring)
    side = np.diff(place)
    count = np.ceil(np.abs(side) / step).astype(np.int64)
    share = (np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)) / np.repeat(
        count, count
    )
    outward = np.repeat(-1j * side / np.abs(side), count)
    along = np.repeat(place[:-1], count) + share * np.repeat(side, count)
    samples: Loop = along + BULGE * step * 4 * share * (1 - share) * outward
    return samples


def edge_between(samples: Loop, one: complex, other: complex) -> Ints:
    """Samples of a ring from the one nearest to a place to the one nearest to another.

    Returns:
        Indices in the ring's order, the shorter way round.
    """
    count = len(samples)
    first, last = int(np.abs(samples - one).argmin()), int(np.abs(samples - other).argmin())
    side = np.abs(np.roll(samples, -1) - samples)
    forth = (first + np.arange((last - first) % count + 1)) % count
    back = (last + np.arange((first - last) % count + 1)) % count
    return forth if side[forth[:-1]].sum() <= side[back[:-1]].sum() else back


def random_branches(mesh: Mesh, area: Polygon, pace: Pace, seed: int) -> tuple[Ints, Ints]:
    """A random spanning tree of the nodes: least total weight, where weights are random.

    Args:
        mesh: from :func:`triangulate`.
        area: the area.
        pace: wanted distance between neighbouring lines.
        seed: another seed, other weights.

    Returns:
        Branches ``(k, 2)``, and for each node the number of the tree it belongs to. There is
        more than one tree only where no side leads from one to the other.
    """
    links = mesh.links
    links = links[~((links[:, 0] >= mesh.seeds) & (np.diff(links, axis=1)[:, 0] > 1))]
    on_bark = links >= mesh.seeds
    ends = mesh.places[links]
    lines = np.asarray(shapely.linestrings(np.stack([ends.real, ends.imag], axis=2)))
    rooted = on_bark[:, 1] & ~on_bark[:, 0]
    if rooted.any():
        # a side to the edge itself may cut across a bay of it
        near = area.buffer(2 * BULGE * SAMPLE_STEP * pace.finest)
        shapely.prepare(near)
        inside = ~rooted
        inside[rooted] = shapely.covers(near, lines[rooted])
        links, on_bark, ends = links[inside], on_bark[inside], ends[inside]
        lines, rooted = lines[inside], rooted[inside]
    weight = branch_weights(mesh, links, pace, seed)
    inner = area.buffer(-BRANCH_CLEARANCE * pace.finest)
    shapely.prepare(inner)
    weight += np.where(rooted | shapely.covers(inner, lines), 0.0, TIGHT_WEIGHT)
    gate = chance(mesh.names[links[:, 1]], 6) < SAMPLE_STEP / GATE_STEP
    weight += np.where(rooted & ~gate, NO_GATE_WEIGHT, 0.0)
    weight[on_bark.all(axis=1)] = BARK_WEIGHT
    size = (mesh.nodes, mesh.nodes)
    graph = coo_array((weight, (links[:, 0], links[:, 1])), shape=size).tocsr()
    tree = minimum_spanning_tree(graph).tocoo()
    _, member = connected_components(graph, directed=False)
    branches = np.sort(np.stack([tree.row, tree.col], axis=1).astype(np.int64), axis=1)
    return branches[np.lexsort((branches[:, 1], branches[:, 0]))], member.astype(np.int64)


def branch_weights(mesh: Mesh, links: Ints, pace: Pace, seed: int) -> Floats:
    """Weights of links: chance by the names of both ends, a little for length."""
    names = np.sort(mesh.names[links], axis=1)
    ends = mesh.places[links]
    long = np.abs(ends[:, 0] - ends[:, 1]) / pace.at(ends[:, 0])
    weight: Floats = chance(named(seed, names[:, 0], names[:, 1]), 5) + LENGTH_WEIGHT * long + 0.01
    return weight


def prune(branches: Ints, weak: Bools) -> tuple[Ints, Bools]:
    """Cut off weak ends until every end of the tree is a strong node.

    Args:
        branches: ``(k, 2)`` branches.
        weak: ``(n,)`` which nodes may not be an end.

    Returns:
        The branches left, and which nodes are left.
    """
    left = np.ones(len(weak), dtype=bool)
    while True:
        degree = np.bincount(branches.ravel(), minlength=len(weak))
        off = left & weak & (degree <= 1)
        if not off.any():
            return branches, left
        left &= ~off
        branches = branches[left[branches].all(axis=1)]


def outline(mesh: Mesh, branches: Ints, member: Bools) -> Curve | None:
    """Walk once round a tree, or from its one door to the other.

    Every corner of a triangle at a node of the tree is passed once. From corner ``(t, v)``
    the walk goes on counter-clockwise round ``v`` into the next triangle, or, where a branch
    is in the way, along it to the corner at its other end. So it is one cycle for one tree.
    Each point keeps more than half its weight (among a triangle's corners) at its own node,
    so walks round different nodes never meet. O(number of triangles).

    Args:
        mesh: from :func:`triangulate`.
        branches: the tree, ``(k, 2)``.
        member: ``(n,)`` the nodes of the tree, at least one.

    Returns:
        The walk, closed where the mesh has no doors; ``None`` where a door cannot be found,
        because the edge there is no side of a triangle.
    """
    corners, beyond, places = mesh.corners, mesh.beyond, mesh.places
    in_tree = np.zeros(len(places), dtype=bool)
    in_tree[: mesh.nodes] = member
    own = corners
    other = np.roll(corners, 1, axis=1)
    key = np.minimum(own, other) * len(places) + np.maximum(own, other)
    blocked = np.isin(key, branches[:, 0] * len(places) + branches[:, 1])
    triangle = np.arange(len(corners))[:, None]
    along = 3 * triangle + np.array([2, 0, 1])
    across = np.roll(beyond, -1, axis=1)
    turn = np.argmax(corners[across] == own[:, :, None], axis=2)
    following = np.where(blocked, along, 3 * across + turn).ravel()
    if mesh.doors is None:
        names = mesh.names[np.minimum(own.ravel(), mesh.nodes - 1)]
        first = int(np.argmin(np.where(in_tree[own.ravel()], names, np.iinfo(np.uint64).max)))
        order = walked(following, first, first)
    else:
        (enter, after), (leave, before) = mesh.doors
        ahead = np.roll(corners, -1, axis=1)
        entered = np.flatnonzero(((own == enter) & (ahead == after)).ravel())
        left = np.flatnonzero(((own == leave) & (other == before)).ravel())
        if len(entered) != 1 or len(left) != 1:
            return None
        order = walked(following, int(entered[0]), int(following[left[0]]))
        if order[-1] != left[0]:
            return None
    own, other = own.ravel()[order], other.ravel()[order]
    node = places[own]
    middle = places[corners].mean(axis=1)[order // 3]
    at_edge = own >= mesh.seeds
    share = np.where(in_tree[other], OFF_BARK_ACROSS, OFF_BARK)
    share = np.where(at_edge, OFF_EDGE, share)
    points = np.stack(
        [
            node + np.where(at_edge, OFF_EDGE, OFF_BARK) * (middle - node),
            node + share * (places[other] - node),
        ],
        axis=1,
    )
    passed = blocked.ravel()[order]
    wanted = np.stack([np.ones(len(order), dtype=bool), ~passed], axis=1)
    names = np.sort(mesh.names[np.stack([own, other])[:, passed]], axis=0)
    marked = np.flatnonzero(passed)[chance(named(0, *names), 8) < MARKED]
    marks = np.cumsum(wanted.sum(axis=1))[marked] - 1
    return Curve(points=points[wanted], marks=marks, closed=mesh.doors is None)


def walked(following: Ints, first: int, stop: int) -> Ints:
    """Corners in order from the first until the next one would be ``stop``, or the first."""
    after = following.tolist()
    walk = [first]
    at = after[first]
    while at not in (stop, first):
        if len(walk) > len(after):
            break
        walk.append(at)
        at = after[at]
    return np.array(walk)
