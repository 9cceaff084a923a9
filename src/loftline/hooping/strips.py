"""The lines seen in strips across one axis: how far they reach, what a border there would cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import ranges
from loftline.values import Floats, Ints, Panel

KEPT_MM = 5.0
"""Between a border and a fold or keep-out: nearer, the two would show as one."""

_SAMPLE_MM = 0.5
_STEP_MM = 1.0
_SEEN_MM = 2.0
_SAME_MM = 1e-6
_MOST_STACKS = 400
_ALONG = 0.866
"""Cosine of 30 degrees: a fold that runs along a border; others it has to cross somewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewing:
    """What must be covered, as points with weights.

    Attributes:
        points: ``(n, 2)`` mm, close together along all lines.
        weight: ``(n,)`` millimetres of line that each stands for.
        crossings: ``(k, 2)`` where lines cross: a border there cuts them at one place.
        bounds: x0, y0, x1, y1 of the lines.
        shunned: x0, y0, x1, y1 of each keep-out.
        folds: ``(f, 2, 2)`` straight folds.
    """

    points: Floats
    weight: Floats
    crossings: Floats
    bounds: tuple[float, float, float, float]
    shunned: Floats
    folds: Floats

    @staticmethod
    def of(panel: Panel, points: Floats, starts: Ints, crossings: Floats) -> Sewing:
        """From packed lines on a panel."""
        sampled, weight = _samples(points, starts)
        low, high = points.min(axis=0), points.max(axis=0)
        flat = high - low < _STEP_MM  # a single line, straight along one axis
        low, high = low - _STEP_MM / 2 * flat, high + _STEP_MM / 2 * flat
        zones = [zone.zone or zone.outline.buffer(zone.reach) for zone in panel.keep_outs]
        shunned = shapely.bounds(zones)
        return Sewing(
            points=sampled,
            weight=weight,
            crossings=crossings,
            bounds=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
            shunned=np.asarray(shunned, np.float64).reshape(-1, 4),
            folds=np.array([(f.start, f.end) for f in panel.folds], float).reshape(-1, 2, 2),
        )

    def swapped(self) -> Sewing:
        """The same with x and y changed over: its rows are the columns."""
        x0, y0, x1, y1 = self.bounds
        return Sewing(
            points=self.points[:, ::-1],
            weight=self.weight,
            crossings=self.crossings[:, ::-1],
            bounds=(y0, x0, y1, x1),
            shunned=self.shunned[:, [1, 0, 3, 2]],
            folds=self.folds[:, :, ::-1],
        )

    def band(self, low: float, high: float) -> Sewing:
        """What of it lies between two heights."""
        mine = (self.points[:, 1] >= low) & (self.points[:, 1] <= high)
        crossing = (self.crossings[:, 1] > low) & (self.crossings[:, 1] < high)
        shunned = (self.shunned[:, 3] > low) & (self.shunned[:, 1] < high)
        ends = np.sort(self.folds[:, :, 1], axis=1)
        folds = (ends[:, 1] > low) & (ends[:, 0] < high)
        points = self.points[mine]
        # a line reaches a little farther than the last of its points on this side of a border
        near = self.points[
            np.abs(self.points[:, 1] - (low + high) / 2) <= (high - low) / 2 + _SAMPLE_MM, 0
        ]
        x0, x1 = (near.min(), near.max()) if len(points) else (0.0, 0.0)
        return Sewing(
            points=points,
            weight=self.weight[mine],
            crossings=self.crossings[crossing],
            bounds=(float(x0), low, float(x1), high),
            shunned=self.shunned[shunned],
            folds=self.folds[folds],
        )


def _samples(points: Floats, starts: Ints) -> tuple[Floats, Floats]:
    """Points along packed lines: all corners, and others so that none lie far apart."""
    owner = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    piece = np.flatnonzero(owner[1:] == owner[:-1])
    step = points[piece + 1] - points[piece]
    long = np.hypot(*step.T)
    count = np.maximum(np.ceil(long / _SAMPLE_MM), 1).astype(np.int64)
    each = np.repeat(np.arange(len(piece)), count)
    share = ranges(np.zeros(len(piece), np.int64), count) / count[each]
    ends = starts[1:] - 1
    sampled = np.concatenate([points[piece][each] + share[:, None] * step[each], points[ends]])
    return sampled, np.concatenate([(long / count)[each], np.zeros(len(ends))])


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """Where horizontal borders may lie, and what each would do.

    Attributes:
        at: ``(m,)`` rising heights; the first and last are the region's own ends.
        near: ``(m,)`` folds and keep-outs that a border there would come too near to.
        cut: ``(m,)`` lines it would cut, at crossings counted once; lines along it count high.
        low, high: ``(m - 1,)`` how far the lines reach in x in each strip; infinite where there
            are none.
    """

    at: Floats
    near: Ints
    cut: Floats
    low: Floats
    high: Floats


def strips(sewing: Sewing, sizes: Sequence[float] = ()) -> Strips:
    """Candidates a millimetre apart, at the heights of crossings, and where fields just fit.

    Args:
        sewing: what is covered.
        sizes: heights of the fields that may be stacked.
    """
    _, y0, _, y1 = sewing.bounds
    count = max(1, int(np.ceil((y1 - y0) / _STEP_MM - 1e-9)))
    at = np.linspace(y0, y1, count + 1)
    at[1:-1] = at[1:-1].round(1)  # where a needle point can lie
    levels = np.unique(np.round(sewing.crossings[:, 1], 3))
    levels = levels[(levels > y0 + _STEP_MM) & (levels < y1 - _STEP_MM)]
    if len(levels) <= 4 * count:
        at = np.unique(np.concatenate([at, levels]))
    full = _stacked(sizes, y1 - y0)
    if len(full):
        at = np.unique(np.concatenate([at, y0 + full, y1 - full]).round(9))
    low, high = np.full(len(at) - 1, np.inf), np.full(len(at) - 1, -np.inf)
    # from its points a line goes on that far, through strips however narrow
    first, last = (
        np.clip(np.searchsorted(at, np.clip(y, y0, y1), side="right") - 1, 0, len(at) - 2)
        for y in (sewing.points[:, 1] - _SAMPLE_MM, sewing.points[:, 1] + _SAMPLE_MM)
    )
    for more in range(int((last - first).max(initial=0)) + 1):
        place = np.minimum(first + more, last)
        np.minimum.at(low, place, sewing.points[:, 0])
        np.maximum.at(high, place, sewing.points[:, 0])
    return Strips(at=at, near=_near(sewing, at), cut=_cut(sewing, at), low=low, high=high)


def _stacked(sizes: Sequence[float], room: float) -> Floats:
    """Heights of stacks of fields that leave some room, where all of it must be used to fit."""
    tops = np.zeros(1)
    for size in sizes:
        count = np.arange(int(room / size) + 1)
        if len(tops) * len(count) > _MOST_STACKS:
            return np.empty(0)
        tops = (tops[:, None] + count * size).ravel()
    return np.unique(tops[(tops > _SAME_MM) & (tops < room - _SAME_MM)])


def _cut(sewing: Sewing, at: Floats) -> Floats:
    order = np.argsort(sewing.points[:, 1], kind="stable")
    y = sewing.points[order, 1]
    total = np.concatenate([[0.0], np.cumsum(sewing.weight[order])])
    below = total[np.searchsorted(y, at - _SEEN_MM)]
    above = total[np.searchsorted(y, at + _SEEN_MM)]
    levels = np.sort(sewing.crossings[:, 1])
    met = np.searchsorted(levels, at + 1e-3) - np.searchsorted(levels, at - 1e-3)
    _, y0, _, y1 = sewing.bounds
    seen = np.minimum(at + _SEEN_MM, y1) - np.maximum(at - _SEEN_MM, y0)
    cut: Floats = np.maximum((above - below) / seen - met, 0.0)
    return cut


def _near(sewing: Sewing, at: Floats) -> Ints:
    near = np.zeros(len(at), np.int64)
    for _, bottom, _, top in sewing.shunned:
        near += (at > bottom - KEPT_MM) & (at < top + KEPT_MM)
    for start, end in sewing.folds:
        run, rise = np.abs(end - start)
        if run >= _ALONG * np.hypot(run, rise):
            bottom, top = sorted((start[1], end[1]))
            near += (at > bottom - KEPT_MM) & (at < top + KEPT_MM)
    return near
