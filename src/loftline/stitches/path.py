"""The path of every run: edges laid end to end, with what each stretch is sewn for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import distance_along, ranges
from loftline.values import Bools, Floats, Ints, Kind, Network, Runs


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """All runs as one array of vertices.

    Attributes:
        points: ``(n, 2)``.
        starts: offsets of the runs.
        kind: ``(n,)`` :class:`Kind` of the stretch that begins at each vertex (a run's last
            vertex repeats the one before).
        line: ``(n,)`` the line that stretch is a piece of, -1 for travel.
        joint: ``(n,)`` whether an edge of the network begins at the vertex.
        along: ``(n,)`` distance from the run's start.
    """

    points: Floats
    starts: Ints
    kind: Ints
    line: Ints
    joint: Bools
    along: Floats


def lay_path(network: Network, runs: Runs) -> Path:
    """Lay the runs' edges end to end; a node shared by two edges appears once."""
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
    return Path(
        points=points,
        starts=starts,
        kind=kind[each],
        line=network.line[edges][each],
        joint=offset == 0,
        along=distance_along(points, starts),
    )
