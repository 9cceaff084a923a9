"""Where the lines of a cell touch or cross each other, or those of the cells around."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from loftline.geometry import distance_along, pack, strokes
from loftline.project.motif_tile import TOUCHING_MM, Leads
from loftline.values import Bools, Floats, Ints

_PARALLEL = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Contacts:
    """Pairs of lines that meet, and the places where they do.

    Attributes:
        first, second: ``(n,)`` lines.
        step: ``(n, 2)`` which copy of the second line: so many cells along and up.
        line, along, node: ``(m,)`` a place on a line, mm from its start, and the node there.
        places: ``(k, 2)`` of the nodes; copies of one node are the same.
    """

    first: Ints
    second: Ints
    step: Ints
    line: Ints
    along: Floats
    node: Ints
    places: Floats


def find_contacts(curves: Sequence[Floats], leads: Sequence[Leads], steps: Floats) -> Contacts:
    """All contacts of a cell's lines.

    Args:
        curves: ``(n, 2)`` each.
        leads: where each leads; one that leads along or up goes on in its own copies.
        steps: ``(2,)`` mm from cell to cell along and up.
    """
    points, starts = pack(curves)
    owner = np.repeat(np.arange(len(curves)), np.diff(starts))
    along = distance_along(points, starts)
    inner = np.flatnonzero(owner[1:] == owner[:-1])
    a, b, line, far = points[inner], points[inner + 1], owner[inner], along[inner]
    tree = shapely.STRtree(strokes(a, b))
    goes_on = [np.array([way == word for way in leads]) for word in ("along", "up")]
    found = []
    for step in _copies(points, steps):
        shift = np.array(step) * steps
        j, i = tree.query(strokes(a + shift, b + shift), predicate="dwithin", distance=TOUCHING_MM)
        # a pair of lines is met once from each side: one is enough
        foreign = (line[i] != line[j]) if step != (0, 0) else line[i] < line[j]
        if step != (0, 0):
            own = line[i] == line[j]
            itself = own & (
                (goes_on[0][line[i]] & (step[1] == 0)) | (goes_on[1][line[i]] & (step[0] == 0))
            )
            foreign = foreign | (own & ~itself)
        i, j = i[foreign], j[foreign]
        found.append((*_meet(a, b, i, j, shift), line[i], line[j], far[i], far[j], step))
    return _gathered(found, steps)


def _copies(points: Floats, steps: Floats) -> list[tuple[int, int]]:
    """Half of the cells around within reach, and the cell itself: the rest are their mirrors."""
    spread = points.max(axis=0) - points.min(axis=0) + TOUCHING_MM
    across, up = (math.floor(float(far)) for far in spread / steps)
    return [(i, j) for j in range(up + 1) for i in range(-across, across + 1) if j > 0 or i >= 0]


def _meet(
    a: Floats, b: Floats, i: Ints, j: Ints, shift: Floats
) -> tuple[Bools, Floats, Floats, Floats]:
    """Whether and where pieces ``i`` meet pieces ``j`` that are shifted.

    Returns:
        ``(n,)`` whether; ``(n, 2)`` where; ``(n,)`` mm from the start of each of both pieces.
    """
    p, r = a[i], b[i] - a[i]
    q, s = a[j] + shift, b[j] - a[j]
    long_r, long_s = np.hypot(*r.T), np.hypot(*s.T)
    # a corner of one on the other, nearest first; else where they cross
    best = np.full(len(i), np.inf)
    where = np.zeros((len(i), 2))
    t, k = np.zeros(len(i)), np.zeros(len(i))
    for end in (0.0, 1.0):
        spot = p + end * r
        share = np.clip(((spot - q) * s).sum(axis=1) / long_s**2, 0, 1)
        apart = np.hypot(*(spot - q - share[:, None] * s).T)
        near = apart < best
        best[near], where[near], t[near], k[near] = apart[near], spot[near], end, share[near]
        spot = q + end * s
        share = np.clip(((spot - p) * r).sum(axis=1) / long_r**2, 0, 1)
        apart = np.hypot(*(spot - p - share[:, None] * r).T)
        near = apart < best
        best[near], where[near], t[near], k[near] = apart[near], spot[near], share[near], end
    cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    w = q - p
    with np.errstate(divide="ignore", invalid="ignore"):
        at_r = (w[:, 0] * s[:, 1] - w[:, 1] * s[:, 0]) / cross
        at_s = (w[:, 0] * r[:, 1] - w[:, 1] * r[:, 0]) / cross
    crosses = (best > TOUCHING_MM) & (np.abs(cross) > _PARALLEL * long_r * long_s)
    crosses &= (at_r >= 0) & (at_r <= 1) & (at_s >= 0) & (at_s <= 1)
    t[crosses], k[crosses] = at_r[crosses], at_s[crosses]
    where[crosses] = p[crosses] + t[crosses, None] * r[crosses]
    return crosses | (best <= TOUCHING_MM), where, t * long_r, k * long_s


_Found = tuple[Bools, Floats, Floats, Floats, Ints, Ints, Floats, Floats, tuple[int, int]]


def _gathered(found: list[_Found], steps: Floats) -> Contacts:
    """Contacts of all copies together, one node for those in one place of the cell."""
    first, second, step, where, t, k = ([] for _ in range(6))
    for met, spot, from_one, from_other, one, other, far_one, far_other, copy in found:
        first.append(one[met])
        second.append(other[met])
        step.append(np.tile(np.array(copy), (int(met.sum()), 1)))
        where.append(spot[met])
        t.append((far_one + from_one)[met])
        k.append((far_other + from_other)[met])
    place = np.concatenate(where)
    node, places = _nodes(place, steps)
    pair = np.concatenate([np.concatenate(first), np.concatenate(second)])
    along = np.concatenate([np.concatenate(t), np.concatenate(k)])
    return Contacts(
        first=np.concatenate(first),
        second=np.concatenate(second),
        step=np.concatenate(step).astype(np.int64),
        line=pair,
        along=along,
        node=np.concatenate([node, node]),
        places=places,
    )


def _nodes(place: Floats, steps: Floats) -> tuple[Ints, Floats]:
    """Which node each place is, on the cell closed to a ring both ways, and where nodes lie."""
    if not len(place):
        return np.empty(0, np.int64), np.empty((0, 2))
    # a place a hair below 0 and one a hair above are neighbours
    home = np.mod(place, steps)
    home[home >= steps] = 0.0
    pairs = cKDTree(home, boxsize=steps).query_pairs(2 * TOUCHING_MM, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), (len(home), len(home)))
    count, label = connected_components(links, directed=False)
    first = np.full(count, -1)
    first[label[::-1]] = np.arange(len(home))[::-1]
    return label.astype(np.int64), home[first]
