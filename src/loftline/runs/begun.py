"""Closed lines begin at a node that something meets, not where they happen to be drawn from.

A node where a line is drawn from and nothing else leads to is of no use to a plan: it would
only keep steps a stitch away from it, and so make what a plan costs a matter of the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import distance_along, ranges
from loftline.runs.facing import Curves
from loftline.runs.stops import Stops
from loftline.values import Bools, Floats, Ints

_SAME_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """Packed polylines and the nodes on them.

    Attributes:
        points, starts: the polylines.
        stops: each begins and ends at one.
    """

    points: Floats
    starts: Ints
    stops: Stops


def drawn_from(lines: Curves, stops: Stops) -> Bools:
    """Which stops tell only where a closed line is drawn from: nothing else meets their node."""
    if not len(stops.node):
        return np.zeros(0, bool)
    end = (stops.along <= _SAME_MM) | (stops.along >= lines.total[stops.curve] - _SAME_MM)
    own = end & lines.closed[stops.curve]
    often = np.bincount(stops.node)
    low = np.full(len(often), len(lines))
    high = np.full(len(often), -1)
    np.minimum.at(low, stops.node, stops.curve)
    np.maximum.at(high, stops.node, stops.curve)
    return np.asarray(own & ((often == 2) & (low == high))[stops.node])


def begun_at_nodes(lines: Curves, stops: Stops, fixed: Ints) -> Begun:
    """Draw closed lines from their first node that something meets, where they have one.

    Args:
        lines: all lines.
        stops: the nodes on them; every line begins and ends at one.
        fixed: nodes that are used whatever meets them: those on ways.
    """
    alone = drawn_from(lines, stops) & ~np.isin(stops.node, fixed)
    first = np.full(len(lines), np.inf)
    np.minimum.at(first, stops.curve[~alone], stops.along[~alone])
    moved = np.isfinite(first)
    moved &= np.bincount(stops.curve[alone], minlength=len(lines)) > 0
    if not moved.any():
        return Begun(points=lines.points, starts=lines.starts, stops=stops)
    begin = np.where(moved, first, 0.0)
    size = np.diff(lines.starts)
    owner = np.repeat(np.arange(len(lines)), size)
    # the first point beyond the new beginning; the old one is passed on the way round
    before = np.bincount(owner[lines.along <= begin[owner]], minlength=len(lines))
    k = ranges(np.zeros(len(lines), np.int64), size)
    count = np.where(moved, size - 1, size)[owner]
    source = lines.starts[owner] + np.where(moved[owner], k + before[owner], k) % count
    # of a moved line the last of these is the first again: its place is the beginning's
    last = lines.starts[1:] - 1
    points = lines.points[source]
    where = np.flatnonzero(moved)
    spot = lines.at(where, begin[where])
    points[last[where]] = spot
    points = np.insert(points, lines.starts[:-1][where], spot, axis=0)
    starts = lines.starts + np.concatenate([[0], np.cumsum(moved)])
    total = distance_along(points, starts)[starts[1:] - 1]
    kept = ~(alone & moved[stops.curve])
    curve, node = stops.curve[kept], stops.node[kept]
    along = stops.along[kept]
    along = np.where(moved[curve], (along - begin[curve]) % lines.total[curve], along)
    again = np.flatnonzero(moved[curve] & (along <= _SAME_MM))
    return Begun(
        points=points,
        starts=starts,
        stops=Stops(
            curve=np.append(curve, curve[again]),
            along=np.append(along, total[curve[again]]),
            node=np.append(node, node[again]),
        ),
    )
