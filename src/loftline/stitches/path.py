"""The path of every run: edges laid end to end, with what each stretch is sewn for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import distance_along, ranges
from loftline.values import Bools, Floats, Ints, Kind, Network, Runs


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """All runs as one array of vertices.

    A stretch leads from a vertex to the next; what is said of a stretch stands at the vertex it
    begins at, and a run's last vertex repeats the one before.

    Attributes:
        points: ``(n, 2)``.
        starts: offsets of the runs.
        kind: ``(n,)`` :class:`Kind` of the stretch.
        line: ``(n,)`` the line that the stretch is a piece of, -1 for travel.
        stitch: ``(n,)`` longest stitch on the straight there, mm.
        joint: ``(n,)`` whether an edge of the network begins at the vertex.
        node: ``(n,)`` node of the network at joints and at a run's last vertex, else -1.
        along: ``(n,)`` distance from the run's start.
        sewn: ``(n,)`` where the edge of the stretch was sewn before, the vertex of that pass in
            the same place; else -1.
        sewn_to: ``(n,)`` the same of the vertex where the stretch ends.
        share: ``(n, 2)`` from where to where on that stretch of the first pass it leads, 0 to 1
            where it is the whole of it.
    """

    points: Floats
    starts: Ints
    kind: Ints
    line: Ints
    stitch: Floats
    joint: Bools
    node: Ints
    along: Floats
    sewn: Ints
    sewn_to: Ints
    share: Floats


def lay_path(network: Network, runs: Runs, stitch: Floats) -> Path:
    """Lay the runs' edges end to end; a node shared by two edges appears once.

    Args:
        network: the edges.
        runs: which of them are sewn, in order.
        stitch: ``(m,)`` longest stitch on each edge of the network, mm.
    """
    edges = runs.edges
    size = np.diff(network.starts)[edges]
    last = np.zeros(len(edges), bool)
    last[runs.starts[1:] - 1] = True
    count = size - 1 + last
    offset = ranges(np.zeros(len(edges), np.int64), count)
    each = np.repeat(np.arange(len(edges)), count)
    first = network.starts[:-1][edges]
    index = np.where(
        runs.forward[each], first[each] + offset, first[each] + size[each] - 1 - offset
    )
    kind = np.where(network.required[edges], int(Kind.LINE), int(Kind.TRAVEL))
    kind = np.where(runs.repeat, int(Kind.DOUBLE), kind)
    total = np.concatenate([[0], np.cumsum(count)])
    starts = total[runs.starts]
    points = network.points[index]
    node = np.full(len(points), -1)
    node[total[:-1]] = np.where(runs.forward, network.u[edges], network.v[edges])
    node[starts[1:] - 1] = np.where(runs.forward, network.v[edges], network.u[edges])[last]
    sewn, sewn_to = _sewn_before(runs, size, total, len(points))
    return Path(
        points=points,
        starts=starts,
        kind=kind[each],
        line=network.line[edges][each],
        stitch=stitch[edges][each],
        joint=offset == 0,
        node=node,
        along=distance_along(points, starts),
        sewn=sewn,
        sewn_to=sewn_to,
        share=np.tile([0.0, 1.0], (len(points), 1)),
    )


def _sewn_before(runs: Runs, size: Ints, total: Ints, n: int) -> tuple[Ints, Ints]:
    """Vertices of an edge's first pass in the places of the stretches of its later ones."""
    sewn, sewn_to = np.full(n, -1), np.full(n, -1)
    _, first, which = np.unique(runs.edges, return_index=True, return_inverse=True)
    again = np.flatnonzero(first[which] != np.arange(len(runs.edges)))
    if not len(again):
        return sewn, sewn_to
    before = first[which[again]]
    stretches = size[again] - 1
    each = np.repeat(np.arange(len(again)), stretches)
    step = ranges(np.zeros(len(again), np.int64), stretches)
    same_way = (runs.forward[again] == runs.forward[before])[each]
    far = stretches[each]
    here = total[again][each] + step
    sewn[here] = total[before][each] + np.where(same_way, step, far - step)
    sewn_to[here] = total[before][each] + np.where(same_way, step + 1, far - step - 1)
    return sewn, sewn_to
