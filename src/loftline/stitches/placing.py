"""Needle points along a path: even on the straight, closer on bends, one on every corner.

Between anchors (ends of runs and lines, corners) stitches are even. On curves a stitch is
no longer than the chord whose sagitta is the allowed error, ``sqrt(8 r e)``; the wish is
smoothed along the path so that lengths change gently. Points are rounded to whole tenths
of a millimetre as absolute places, so errors never add up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import minimum_filter1d, uniform_filter1d

from loftline.stitches.path import Path
from loftline.units import CHORD_ERROR_MM, LEAST_STITCH_MM, NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Ints

CORNER_DEGREES = 30.0
"""A sharper bend gets a needle point of its own."""

_FIRST_ERROR = 0.08
"""Sagitta aimed at; rounding and the estimate of the radius take up the rest."""

_ROUNDS = 12
_EVENINGS = 3
_NEAR = LEAST_STITCH_MM + 0.15
_GENTLE = math.radians(0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Needle points in tenths of a millimetre with the vertex their stitch comes from.

    Attributes:
        x, y: ``(k,)`` tenths.
        vertex: ``(k,)`` path vertex whose stretch the stitch ending here lies in.
        run: ``(k,)`` run of each point.
        position: place of every path vertex among the needle points: 2.5 lies half a stitch
            after point 2.
    """

    x: Ints
    y: Ints
    vertex: Ints
    run: Ints
    position: Floats


def place_stitches(path: Path, stitch: float) -> Placed:
    """Place needle points.

    Args:
        path: from :func:`~loftline.stitches.path.lay_path`.
        stitch: longest stitch in mm on the straight.

    Returns:
        The needle points; every anchor is one. Near-linear in vertices and stitches.
    """
    turn = _turns(path)
    anchor = _anchors(path, turn)
    at = np.flatnonzero(anchor)
    span = np.cumsum(anchor) - 1
    # a span ends where the next begins; a run's last vertex begins none
    bend = (np.abs(turn) > _GENTLE) & ~anchor
    curved = np.zeros(len(at), bool)
    curved[span[bend]] = True
    spacing = _Spacing(path, turn, anchor, np.where(curved[span], span, -1), stitch)
    for _ in range(_ROUNDS):
        place = spacing.lay(at, span)
        worst = _chord_errors(path, place, curved[span] & ~anchor)
        wide = worst > CHORD_ERROR_MM - 1e-9
        if not wide.any():
            break
        spacing.tighten(place.position, wide)
    run_of = np.repeat(np.arange(len(path.starts) - 1), np.diff(path.starts))
    return Placed(
        x=place.x,
        y=place.y,
        vertex=place.vertex,
        run=run_of[place.vertex],
        position=place.position,
    )


def _turns(path: Path) -> Floats:
    """Signed turn in radians at each vertex, 0 at the ends of runs."""
    turn = np.zeros(len(path.points))
    step = np.diff(path.points, axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    dot = (step[:-1] * step[1:]).sum(axis=1)
    turn[1:-1] = np.arctan2(cross, dot)
    turn[path.starts[:-1]] = 0.0
    turn[path.starts[1:] - 1] = 0.0
    return turn


def _anchors(path: Path, turn: Floats) -> Bools:
    """Vertices that must be needle points."""
    n = len(path.points)
    fixed = np.zeros(n, bool)
    fixed[path.starts[:-1]] = True
    fixed[path.starts[1:] - 1] = True
    changed = (path.kind[1:] != path.kind[:-1]) | (path.line[1:] != path.line[:-1])
    fixed[1:] |= changed & path.joint[1:]
    # turning off a line at a crossing, or back on itself
    fixed |= path.joint & (np.abs(turn) > math.radians(CORNER_DEGREES))
    corner = ~fixed & (np.abs(turn) > math.radians(CORNER_DEGREES))
    where = np.flatnonzero(fixed | corner)
    gap = np.diff(path.along[where])
    gap[gap < 0] = 2 * _NEAR  # from run to run
    place = np.concatenate([[0.0], np.cumsum(gap)])
    kept = fixed[where] | _roomy(place)
    rest = np.flatnonzero(~kept)
    for i in rest[np.argsort(-np.abs(turn[where[rest]]), kind="stable")]:
        # with no room for a stitch beside another point it is left to the chord error
        first, end = np.searchsorted(place, (place[i] - _NEAR, place[i] + _NEAR))
        kept[i] = not kept[first:end].any()
    anchor = np.zeros(n, bool)
    anchor[where[kept]] = True
    return anchor


def _roomy(place: Floats) -> Bools:
    """Places with room for a stitch on both sides."""
    room = np.concatenate([[True], np.diff(place) >= _NEAR, [True]])
    both: Bools = room[1:] & room[:-1]
    return both


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    x: Ints
    y: Ints
    vertex: Ints
    position: Floats


class _Spacing:
    """Wished stitch length along the path, tightened where a chord errs too far."""

    def __init__(
        self, path: Path, turn: Floats, anchor: Bools, curved: Ints, stitch: float
    ) -> None:
        self.path = path
        self.stitch = stitch
        step = np.zeros(len(path.points))
        step[:-1] = np.hypot(*np.diff(path.points, axis=0).T)
        step[path.starts[1:] - 1] = 0.0
        self.step = step
        self.density = np.full(len(step), 1 / stitch)
        # only curved spans need the raster, each with a gap to the next
        self.curve = np.flatnonzero(curved >= 0)
        self.gap = np.cumsum(np.diff(curved[self.curve], prepend=-1) != 0) * stitch * 2
        limit = np.full(len(step), stitch)
        near = np.zeros(len(step))
        near[1:-1] = (step[:-2] + step[1:-1]) / 2
        bend = np.abs(turn)
        use = (bend > 1e-6) & ~anchor
        radius = near[use] / np.tan(np.minimum(bend[use], 1.5))
        limit[use] = np.clip(np.sqrt(8 * _FIRST_ERROR * radius), _NEAR, stitch)
        self.limit = limit
        self._spread()

    def _spread(self) -> None:
        """Carry each vertex's limit to its neighbourhood and smooth it."""
        if not len(self.curve):
            return
        step = self.step[self.curve]
        end = np.cumsum(step) + self.gap
        begin = end - step
        cell = self.stitch / 6
        count = int(end[-1] / cell) + 2
        raster = np.full(count, self.stitch)
        at = np.minimum((begin / cell).astype(np.int64), count - 1)
        np.minimum.at(raster, at, self.limit[self.curve])
        raster = uniform_filter1d(minimum_filter1d(raster, 5, mode="nearest"), 3, mode="nearest")
        # mean density over each stretch from the running integral
        edge = np.arange(count + 1) * cell
        integral = np.concatenate([[0.0], np.cumsum(cell / raster)])
        passed = np.interp(end, edge, integral) - np.interp(begin, edge, integral)
        with np.errstate(divide="ignore", invalid="ignore"):
            mean = passed / step
        self.density[self.curve] = np.where(step > 1e-12, mean, 1 / self.stitch)

    def lay(self, at: Ints, span: Ints) -> _Laid:
        """Needle points for the wish as it stands."""
        path = self.path
        need = self.density * self.step
        total = np.add.reduceat(need, at)
        # a span too short for its wish gets fewer stitches, none of them too short to sew
        most = np.floor(np.add.reduceat(self.step, at) / _NEAR + 1e-6)
        count = np.maximum(np.minimum(np.ceil(total - 1e-6), most), 1.0)
        for _ in range(_EVENINGS):
            cap = total / (count * _NEAR)
            need = np.minimum(need, cap[span] * self.step)
            total = np.add.reduceat(need, at)
        ends = np.isin(at, path.starts[1:] - 1)
        # from a run's last point to the next run's first: one step that is no stitch
        count[ends] = 1.0
        begin = np.concatenate([[0.0], np.cumsum(count)])[:-1]
        inside = np.cumsum(need) - need
        inside -= inside[at][span]
        with np.errstate(divide="ignore", invalid="ignore"):
            scale = np.where(total > 0, count / total, 0.0)
        position = begin[span] + inside * scale[span]
        number = np.arange(int(begin[-1]) + 1)
        x = np.interp(number, position, path.points[:, 0])
        y = np.interp(number, position, path.points[:, 1])
        # the stitch ending at a point lies in the stretch just before it
        vertex = np.searchsorted(position, number - 1e-6, side="right") - 1
        first = np.searchsorted(position, position[path.starts[:-1]] - 1e-9)
        starts = np.rint(position[path.starts[:-1]]).astype(np.int64)
        vertex = np.maximum(vertex, 0)
        vertex[starts] = first
        return _Laid(
            x=np.rint(x / NEEDLE_GRID_MM).astype(np.int64),
            y=np.rint(y / NEEDLE_GRID_MM).astype(np.int64),
            vertex=vertex,
            position=position,
        )

    def tighten(self, position: Floats, wide: Bools) -> None:
        """Ask for shorter stitches where the stitch ``floor(position)`` is too wide."""
        stitch_of = np.floor(position + 1e-9).astype(np.int64)
        hit = wide[np.minimum(stitch_of, len(wide) - 1)]
        hit &= np.isin(np.arange(len(position)), self.curve)
        self.limit[hit] = np.maximum(self.limit[hit] * 0.8, _NEAR)
        self._spread()


def _chord_errors(path: Path, laid: _Laid, use: Bools) -> Floats:
    """Greatest distance of path vertices from the chord of their stitch, for each stitch."""
    vertex = np.flatnonzero(use)
    worst = np.zeros(len(laid.x))
    if not len(vertex):
        return worst
    k = np.minimum(np.floor(laid.position[vertex] + 1e-9).astype(np.int64), len(laid.x) - 2)
    a = np.column_stack([laid.x[k], laid.y[k]]) * NEEDLE_GRID_MM
    b = np.column_stack([laid.x[k + 1], laid.y[k + 1]]) * NEEDLE_GRID_MM
    chord = b - a
    square = np.maximum((chord * chord).sum(axis=1), 1e-18)
    p = path.points[vertex] - a
    share = np.clip((p * chord).sum(axis=1) / square, 0, 1)
    apart = np.hypot(*(p - share[:, None] * chord).T)
    np.maximum.at(worst, k, apart)
    return worst
