"""Which vertices of a path must be needle points, and which must not.

Ends of runs and lines, and corners, are anchors: needle points. Where a path goes straight on
over a place that is sewn through more than once, the needle should miss that place, since
every pass would pierce it there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.stitches.path import Path
from loftline.stitches.phases import Through, find_phases
from loftline.units import LEAST_STITCH_MM, NEEDLE_GRID_MM, SAME_PLACE_MM
from loftline.values import Bools, Floats, Ints

CORNER_DEGREES = 30.0
"""A sharper bend gets a needle point of its own."""

NEAR_MM = LEAST_STITCH_MM + 0.15
"""Least distance of needle points as they are meant; rounding may take 0.14 mm of it."""

STRAIGHT_ON = math.radians(6.0)
"""A bend that a stitch of 3 mm, its middle on it, leaves by 0.08 mm."""

_MOST_VERTICES = 50_000
"""Between two anchors, so that work on a long curve stays within a processor's cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bends:
    """How the path bends at each of its vertices.

    Attributes:
        cross, dot: ``(n,)`` products of the steps before and behind; 0 and 1 at runs' ends.
        near: ``(n,)`` mean length of the two steps, 0 at runs' ends.
        step: ``(n,)`` length of the stretch that begins at the vertex, 0 at a run's last.
    """

    cross: Floats
    dot: Floats
    near: Floats
    step: Floats

    def sharper(self, angle: float) -> Bools:
        """Where the path bends by more than an angle below a quarter turn, in radians."""
        return np.asarray(np.abs(self.cross) > math.tan(angle) * self.dot, np.bool_)


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchors:
    """Anchors of a path, and the crossings that it goes straight on over.

    Attributes:
        at: anchors in order; the ends of every run are among them.
        through: where the needle should enter beside the crossings.
    """

    at: Ints
    through: Through


def bends_of(path: Path) -> Bends:
    """Products and lengths of the path's steps; O(n)."""
    points = path.points
    dx, dy = np.diff(points[:, 0]), np.diff(points[:, 1])
    ends = np.concatenate([path.starts[:-1], path.starts[1:] - 1])
    cross, dot, near = np.zeros(len(points)), np.ones(len(points)), np.zeros(len(points))
    cross[1:-1] = dx[:-1] * dy[1:] - dy[:-1] * dx[1:]
    dot[1:-1] = dx[:-1] * dx[1:] + dy[:-1] * dy[1:]
    cross[ends], dot[ends] = 0.0, 1.0
    step = np.zeros(len(points))
    np.sqrt(dx * dx + dy * dy, out=step[:-1])
    step[path.starts[1:] - 1] = 0.0
    near[1:] = (step[:-1] + step[1:]) / 2
    near[ends] = 0.0
    return Bends(cross=cross, dot=dot, near=near, step=step)


def find_anchors(path: Path, bends: Bends) -> Anchors:
    """Anchors and crossings of a path; O(n log n) in its corners."""
    n = len(path.points)
    sharp = bends.sharper(math.radians(CORNER_DEGREES))
    fixed = np.zeros(n, bool)
    fixed[path.starts[:-1]] = True
    fixed[path.starts[1:] - 1] = True
    alone = alone_at(path)
    # a line that goes on in another, over a place that is sewn through again, goes on as one
    on = ~alone & ~bends.sharper(STRAIGHT_ON)
    same = (path.kind[1:] == path.kind[:-1]) & (path.stitch[1:] == path.stitch[:-1])
    same &= (path.line[1:] == path.line[:-1]) | on[1:]
    fixed[1:] |= ~same & path.joint[1:]
    # turning off a line at a crossing, or back on itself
    fixed |= path.joint & sharp
    corner = ~fixed & sharp
    corner[_MOST_VERTICES::_MOST_VERTICES] |= ~fixed[_MOST_VERTICES::_MOST_VERTICES]
    anchor = _with_room(path, bends, fixed, corner)
    passed = np.flatnonzero(path.joint & ~anchor & ~alone)
    pierced = np.zeros(int(path.node.max()) + 1, bool)
    pierced[path.node[anchor & (path.node >= 0)]] = True
    return Anchors(at=np.flatnonzero(anchor), through=find_phases(path, passed, pierced))


def alone_at(path: Path) -> Bools:
    """Vertices that lie on no place that is sewn through more than once."""
    passes = np.bincount(path.node[path.node >= 0])
    return np.asarray((path.node < 0) | (passes[path.node] < 2), np.bool_)


def _with_room(path: Path, bends: Bends, fixed: Bools, corner: Bools) -> Bools:
    """All that is fixed, and of the corners those that leave room for a stitch, sharp first."""
    if not corner.any():
        return fixed
    where = np.flatnonzero(fixed | corner)
    gap = np.diff(path.along[where])
    gap[gap < 0] = 2 * NEAR_MM  # from run to run
    place = np.concatenate([[0.0], np.cumsum(gap)])
    kept = fixed[where] | _roomy(place)
    rest = np.flatnonzero(~kept)
    turn = np.abs(np.arctan2(bends.cross[where[rest]], bends.dot[where[rest]]))
    hole = np.rint(path.points[where] / NEEDLE_GRID_MM) * NEEDLE_GRID_MM
    for i in rest[np.argsort(-turn, kind="stable")]:
        # with no room for a stitch beside another point it is left to the chord error
        first, end = np.searchsorted(place, (place[i] - NEAR_MM, place[i] + NEAR_MM))
        beside = first + np.flatnonzero(kept[first:end])
        far = np.hypot(*(hole[beside] - hole[i]).T)
        kept[i] = (far >= LEAST_STITCH_MM - SAME_PLACE_MM).all()
    anchor = np.zeros(len(fixed), bool)
    anchor[where[kept]] = True
    return anchor


def _roomy(place: Floats) -> Bools:
    """Places with room for a stitch on both sides."""
    room = np.concatenate([[True], np.diff(place) >= NEAR_MM, [True]])
    both: Bools = room[1:] & room[:-1]
    return both
