"""One closed curve through a whole area: the outline of a random tree.

Any tree drawn without crossings has an outline: walk round it with one hand on the bark and
you come back to where you started, having passed both sides of every branch. Drawn a little
off the bark that walk is a closed curve that never meets itself. The tree spans the seeds of
an area, so the curve visits all of it, and the keep-outs stay outside the bark.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, minimum_spanning_tree
from scipy.spatial import Delaunay

from loftline.fills.meander.depth import edge_points
from loftline.fills.meander.loop import Loop, as_points, from_points
from loftline.values import Area, Bools, Ints

SAMPLE_STEP = 0.25
"""Between samples of the edge, in spacings; see :func:`triangulate`."""
BRANCH_CLEARANCE = 0.12
"""Branches nearer to the edge than this (in spacings) are taken only where no other is."""
LENGTH_WEIGHT = 0.15
TIGHT_WEIGHT = 10.0
OFF_BARK = 0.5
"""Share of the way from a seed to the middle of a triangle where the walk goes."""
OFF_BARK_ACROSS = 0.33
"""The same on an edge between two seeds, less than half so that two walks never meet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A triangulation of seeds and edge samples.

    Attributes:
        places: seeds first, then samples of the edge.
        seeds: how many are seeds.
        corners: ``(t, 3)`` places of each triangle, counter-clockwise.
        beyond: ``(t, 3)`` the triangle across the side that faces each corner, or -1.
        links: ``(m, 2)`` sides that join two seeds, lower index first, sorted.
    """

    places: Loop
    seeds: int
    corners: Ints
    beyond: Ints
    links: Ints


def triangulate(area: Area, seeds: Loop, spacing: float) -> Mesh:
    """Delaunay triangulation of the seeds and of samples of the area's edge.

    No side between two seeds crosses the edge: seeds lie at least 0.15 spacings deep, so by
    the power of the crossing point any circle through both would cut a chord of at least 0.3
    spacings from the edge, and samples lie closer together than that.

    Args:
        area: the area.
        seeds: complex places in it, 0.15 spacings deep or more.
        spacing: wanted distance between neighbouring lines.
    """
    samples = from_points(edge_points(area, SAMPLE_STEP * spacing))
    places = np.concatenate([seeds, samples])
    mesh = Delaunay(as_points(places))
    corners, beyond = mesh.simplices.astype(np.int64), mesh.neighbors.astype(np.int64)
    a, b, c = places[corners].T
    turned = ((b - a).conjugate() * (c - a)).imag < 0
    corners[turned] = corners[turned][:, [0, 2, 1]]
    beyond[turned] = beyond[turned][:, [0, 2, 1]]
    sides = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    sides = np.sort(sides[(sides < len(seeds)).all(axis=1)], axis=1)
    links = np.unique(sides, axis=0)
    return Mesh(places=places, seeds=len(seeds), corners=corners, beyond=beyond, links=links)


def random_branches(
    mesh: Mesh, area: Area, spacing: float, rng: np.random.Generator
) -> tuple[Ints, Ints]:
    """A random spanning tree of the seeds: least total weight, where weights are random.

    Args:
        mesh: from :func:`triangulate`.
        area: the area.
        spacing: wanted distance between neighbouring lines.
        rng: source of every random choice.

    Returns:
        Branches ``(k, 2)``, and for each seed the number of the tree it belongs to. There is
        more than one tree only where no side leads from one to the other.
    """
    ends = mesh.places[mesh.links]
    lines = np.asarray(shapely.linestrings(np.stack([ends.real, ends.imag], axis=2)))
    inner = area.buffer(-BRANCH_CLEARANCE * spacing)
    shapely.prepare(inner)
    tight = ~shapely.covers(inner, lines)
    weight = rng.random(len(lines)) + TIGHT_WEIGHT * tight
    weight += LENGTH_WEIGHT * np.abs(ends[:, 0] - ends[:, 1]) / spacing + 0.01
    graph = coo_array(
        (weight, (mesh.links[:, 0], mesh.links[:, 1])), shape=(mesh.seeds, mesh.seeds)
    ).tocsr()
    tree = minimum_spanning_tree(graph).tocoo()
    _, member = connected_components(graph, directed=False)
    branches = np.sort(np.stack([tree.row, tree.col], axis=1).astype(np.int64), axis=1)
    return branches[np.lexsort((branches[:, 1], branches[:, 0]))], member.astype(np.int64)


def prune(branches: Ints, weak: Bools) -> tuple[Ints, Bools]:
    """Cut off weak ends until every end of the tree is a strong seed.

    Args:
        branches: ``(k, 2)`` branches.
        weak: ``(n,)`` which seeds may not be an end.

    Returns:
        The branches left, and which seeds are left.
    """
    left = np.ones(len(weak), dtype=bool)
    while True:
        degree = np.bincount(branches.ravel(), minlength=len(weak))
        off = left & weak & (degree <= 1)
        if not off.any():
            return branches, left
        left &= ~off
        branches = branches[left[branches].all(axis=1)]


def outline(mesh: Mesh, branches: Ints, member: Bools) -> Loop:
    """Walk once round a tree.

    Every corner of a triangle at a seed of the tree is passed once. From corner ``(t, v)``
    the walk goes on counter-clockwise round ``v`` into the next triangle, or, where a branch
    is in the way, along it to the corner at its other end. So it is one cycle for one tree.
    Each point keeps more than half its weight (among a triangle's corners) at its own seed,
    so walks round different seeds never meet. O(number of triangles).

    Args:
        mesh: from :func:`triangulate`.
        branches: the tree, ``(k, 2)``.
        member: ``(n,)`` the seeds of the tree, at least one.
    """
    corners, beyond, places = mesh.corners, mesh.beyond, mesh.places
    in_tree = np.zeros(len(places), dtype=bool)
    in_tree[: mesh.seeds] = member
    own = corners
    other = np.roll(corners, 1, axis=1)
    key = np.minimum(own, other) * len(places) + np.maximum(own, other)
    blocked = np.isin(key, branches[:, 0] * len(places) + branches[:, 1])
    triangle = np.arange(len(corners))[:, None]
    along = 3 * triangle + np.array([2, 0, 1])
    across = np.roll(beyond, -1, axis=1)
    turn = np.argmax(corners[across] == own[:, :, None], axis=2)
    following = np.where(blocked, along, 3 * across + turn).ravel().tolist()
    start = int(np.flatnonzero(in_tree[own.ravel()])[0])
    walk = [start]
    at = following[start]
    while at != start:
        walk.append(at)
        at = following[at]
    order = np.array(walk)
    seed = places[own.ravel()[order]]
    middle = places[corners].mean(axis=1)[order // 3]
    far = other.ravel()[order]
    share = np.where(in_tree[far], OFF_BARK_ACROSS, OFF_BARK)
    points = np.stack(
        [
            seed + OFF_BARK * (middle - seed),
            seed + share * (places[far] - seed),
        ],
        axis=1,
    )
    wanted = np.stack([np.ones(len(order), dtype=bool), ~blocked.ravel()[order]], axis=1)
    loop: Loop = points[wanted]
    return loop
