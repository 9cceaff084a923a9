"""Ways cut at the nodes on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import distance_along, ranges
from loftline.runs.costs import BY_MACHINE, Costs
from loftline.runs.ends import Ends
from loftline.values import Floats, Ints, Way, Ways


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPieces:
    """Edges along ways, packed, with their cost as travel."""

    u: Ints
    v: Ints
    way: Ints
    cost: Floats
    points: Floats
    starts: Ints


def cut_rings(ways: Ways, ends: Ends, nodes: Floats, costs: Costs = BY_MACHINE) -> WayPieces:
    """The pieces of the rings between neighbouring nodes, where travel is allowed."""
    u: list[Ints] = []
    v: list[Ints] = []
    way: list[Ints] = []
    cost: list[Floats] = []
    points: list[Floats] = []
    sizes: list[Ints] = []
    for r in np.unique(ends.ring).tolist():
        member = np.flatnonzero(ends.ring == r)
        if len(member) < 2:
            continue
        member = member[np.argsort(ends.along[member], kind="stable")]
        on = ends.on_ring[member]
        ring = ways.points[ways.starts[r] : ways.starts[r + 1]]
        kind = ways.kind[ways.starts[r] : ways.starts[r + 1]]
        allowed = ways.open[ways.starts[r] : ways.starts[r + 1]]
        along = distance_along(ring, np.array([0, len(ring)]))
        total = along[-1]
        # the ring laid out once and half again, from its first node to that node again
        place = np.concatenate([along[:-1], along[:-1] + total])
        corner = np.concatenate([ring[:-1], ring[:-1]])
        stop = np.append(ends.along[member], ends.along[member[0]] + total)
        used = (place > stop[0] + 1e-9) & (place < stop[-1] - 1e-9)
        # a corner on a node would only repeat its point
        gap = np.abs(place - stop[np.clip(np.searchsorted(stop, place), 1, len(stop) - 1)])
        gap = np.minimum(gap, np.abs(place - stop[np.searchsorted(stop, place) - 1]))
        used &= gap > 1e-9
        merged = np.concatenate([stop, place[used]])
        spot = np.concatenate([nodes[np.append(on, on[0])], corner[used]])
        node = np.concatenate([np.append(on, on[0]), np.full(int(used.sum()), -1)])
        order = np.argsort(merged, kind="stable")
        merged, spot, node = merged[order], spot[order], node[order]
        step = np.diff(merged)
        middle = (merged[1:] + merged[:-1]) / 2 % total
        piece = np.clip(np.searchsorted(along, middle, side="right") - 1, 0, len(ring) - 2)
        weight = np.where(kind[piece] == Way.EDGE, costs.edge, costs.keep_out) * step
        at = np.flatnonzero(node >= 0)
        begin, end = at[:-1], at[1:]
        barred = np.add.reduceat((~allowed[piece]).astype(np.int64), begin) > 0
        rounds = np.add.reduceat((kind[piece] == Way.RING).astype(np.int64), begin) > 0
        if not costs.round_keep_outs:
            barred |= rounds
        each = np.add.reduceat(weight, begin)
        begin, end = begin[~barred], end[~barred]
        size = end - begin + 1
        u.append(node[begin])
        v.append(node[end])
        way.append(np.where(rounds[~barred], int(Way.RING), int(Way.EDGE)))
        cost.append(each[~barred])
        points.append(spot[ranges(begin, size)])
        sizes.append(size)
    if not u:
        none = np.empty(0, np.int64)
        return WayPieces(
            u=none,
            v=none,
            way=none,
            cost=np.empty(0),
            points=np.empty((0, 2)),
            starts=np.zeros(1, np.int64),
        )
    return WayPieces(
        u=np.concatenate(u),
        v=np.concatenate(v),
        way=np.concatenate(way),
        cost=np.concatenate(cost),
        points=np.concatenate(points),
        starts=np.concatenate([[0], np.cumsum(np.concatenate(sizes))]),
    )
