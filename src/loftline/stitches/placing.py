"""Needle points along a path: even on the straight, closer on bends, one on every corner."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftline.geometry import ranges
from loftline.stitches.anchors import Bends, bends_of, find_anchors
from loftline.stitches.crossings import Pieces, step_over
from loftline.stitches.laying import Laid, lay, tighten, uneven
from loftline.stitches.path import Path
from loftline.stitches.phases import Through
from loftline.stitches.sewn_again import lay_between
from loftline.stitches.spans import Limits, Spans, wish
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Ints

_ROUNDS = 12
_CHUNK = 60_000
"""Vertices worked on together: their arrays stay within a processor's cache."""


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


def place_stitches(path: Path) -> Placed:
    """Place needle points.

    Args:
        path: from :func:`~loftline.stitches.path.lay_path`.

    Returns:
        The needle points; every anchor is one. Near-linear in vertices and stitches.
    """
    bends = bends_of(path)
    anchors = find_anchors(path, bends)
    at = anchors.at
    limits = Limits.of(path, bends, at)
    run_end = np.zeros(len(path.points), bool)
    run_end[path.starts[1:] - 1] = True
    # from a run's last point to the next run's first there is no stitch
    real = ~run_end[at[:-1]]
    done = _Done(path, at[:-1][real], at[1:][real])
    again = np.logical_and.reduceat((path.sewn >= 0) | run_end, done.first)
    _lay_all(path, bends, limits, anchors.through, done, np.flatnonzero(~again))
    if again.any():
        left = _lay_again(path, bends, limits, done, np.flatnonzero(again))
        _lay_all(path, bends, limits, anchors.through, done, left)
    return done.placed()


def _lay_all(
    path: Path, bends: Bends, limits: Limits, through: Through, done: _Done, which: Ints
) -> None:
    """Lay spans, and those again whose stitches leave the path too far."""
    for left in range(_ROUNDS, 0, -1):
        if not len(which):
            return
        wished = [
            wish(path, bends, limits, (part, done.first[part], done.last[part]))
            for part in _chunks(which, done)
        ]
        rest = []
        for spans, steps in _settled(path, wished, through):
            laid = lay(spans, steps)
            bad = tighten(limits, spans, laid)
            if steps is not None:
                stepped = np.logical_or.reduceat(through.matters[spans.index] > 0, spans.begin[:-1])
                rough = uneven(spans, laid) & stepped
                # what cannot give way and stay even is left even
                through.matters[spans.index[np.repeat(rough, np.diff(spans.begin))]] = 0.0
                bad |= rough
            if left == 1:
                bad[:] = False
            done.take(spans, laid, ~bad)
            rest.append(spans.which[bad])
        which = np.concatenate(rest)


def _lay_again(path: Path, bends: Bends, limits: Limits, done: _Done, which: Ints) -> Ints:
    """Lay what is sewn over again between the stitches of the first pass; which is left."""
    _, first_pass = done.position()
    rest = []
    for part in _chunks(which, done):
        wished = wish(path, bends, limits, (part, done.first[part], done.last[part]))
        spans, laid, good = lay_between(path, wished, first_pass)
        good &= ~tighten(limits, spans, laid)
        done.take(spans, laid, good)
        rest.append(part[~good])
    return np.concatenate(rest)


def _chunks(which: Ints, done: _Done) -> list[Ints]:
    """Spans in groups of some ten thousand vertices."""
    size = np.cumsum(done.last[which] - done.first[which] + 1)
    cuts = np.searchsorted(size, np.arange(_CHUNK, int(size[-1]), _CHUNK))
    return [part for part in np.split(which, cuts) if len(part)]


def _settled(
    path: Path, wished: list[Spans], through: Through
) -> list[tuple[Spans, Floats | None]]:
    """Spans with the stitches on each of their stretches, where they pass crossings."""
    knots = [_knots(spans, through) for spans in wished]
    some = [(spans, at) for spans, at in zip(wished, knots, strict=True) if at is not None]
    if not some:
        return [(spans, None) for spans in wished]
    # a piece ends where the next begins, or at its span's end
    ends = [np.append(spans.index[at[1:]], 0) for spans, at in some]
    pieces = [np.bincount(spans.owner[at], minlength=len(spans)) for spans, at in some]
    end, size = np.concatenate(ends), np.concatenate(pieces)
    first = np.append(0, np.cumsum(size))
    inner = np.ones(len(end), bool)
    inner[first[1:] - 1] = False
    task = Pieces(
        need=np.concatenate([np.add.reduceat(spans.need, at) for spans, at in some]),
        first=first,
        count=np.concatenate([spans.count for spans, _ in some]),
        most=np.concatenate([spans.most for spans, _ in some]),
        node=np.where(inner, path.node[end], -1),
        matters=np.where(inner, through.matters[end], 0.0),
        wanted=np.where(inner, through.wanted[end], 0.0),
        free=through.free[end],
    )
    steps = step_over(task)
    counts = np.rint(np.add.reduceat(steps, first[:-1]))
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = np.where(task.need > 0, steps / task.need, 0.0)
    out: list[tuple[Spans, Floats | None]] = []
    piece = span = 0
    for spans, at in zip(wished, knots, strict=True):
        if at is None:
            out.append((spans, None))
            continue
        own = np.repeat(scale[piece : piece + len(at)], np.diff(np.append(at, len(spans.index))))
        out.append((replace(spans, count=counts[span : span + len(spans)]), spans.need * own))
        piece += len(at)
        span += len(spans)
    return out


def _knots(spans: Spans, through: Through) -> Ints | None:
    """Where pieces begin: at the spans' first vertices and at crossings; ``None`` without any."""
    begins = through.matters[spans.index] > 0
    begins[spans.ends] = False
    begins[spans.begin[:-1]] = False
    if not begins.any():
        return None
    begins[spans.begin[:-1]] = True
    return np.flatnonzero(begins)


class _Done:
    """Stitches of the spans that are laid, in the order of laying."""

    def __init__(self, path: Path, first: Ints, last: Ints) -> None:
        self.path = path
        self.first, self.last = first, last
        self.count = np.ones(len(first), np.int64)
        self.run = np.searchsorted(path.starts, first, side="right") - 1
        self.within = np.zeros(len(path.points))
        self.which: list[Ints] = []
        self.laid: list[tuple[Ints, Ints, Ints]] = []

    def take(self, spans: Spans, laid: Laid, good: Bools) -> None:
        """Keep what is laid on some spans."""
        count = spans.count.astype(np.int64)
        # a span's last vertex is the next one's first, and stands at nought there
        inner = np.ones(len(spans.index), bool)
        inner[spans.ends] = False
        self.within[spans.index[inner]] = laid.position[inner]
        self.count[spans.which] = count
        x, y, vertex = laid.x, laid.y, laid.vertex
        if not good.all():
            keep = np.repeat(good, count)
            x, y, vertex = x[keep], y[keep], vertex[keep]
        self.laid.append((x, y, vertex))
        self.which.append(spans.which[good])

    def position(self) -> tuple[Ints, Floats]:
        """Number of each span's first needle point, and the place of every vertex."""
        begin = np.cumsum(self.count) - self.count + self.run
        place = self.within + np.repeat(begin, self._sizes())
        ends = self.path.starts[1:] - 1
        final = np.append(np.flatnonzero(np.diff(self.run)), len(self.run) - 1)
        place[ends] = begin[final] + self.count[final]
        return begin, place

    def _sizes(self) -> Ints:
        """Vertices from each span's first up to the next one's first."""
        return np.diff(np.append(self.first, len(self.path.points)))

    def placed(self) -> Placed:
        """All of them in the order of the path."""
        path = self.path
        begin, place = self.position()
        runs = len(path.starts) - 1
        x, y, vertex = (np.empty(int(self.count.sum()) + runs, np.int64) for _ in range(3))
        start = np.append(0, np.cumsum(np.bincount(self.run, self.count, runs)))[:-1]
        start = start.astype(np.int64) + np.arange(runs)
        x[start], y[start] = _tenths(path.points[path.starts[:-1]])
        vertex[start] = path.starts[:-1]
        for which, laid in zip(self.which, self.laid, strict=True):
            where = ranges(begin[which] + 1, self.count[which])
            x[where], y[where], vertex[where] = laid
        run = np.repeat(np.arange(runs), np.diff(np.append(start, len(x))))
        return Placed(x=x, y=y, vertex=vertex, run=run, position=place)


def _tenths(points: Floats) -> Ints:
    return np.rint(points.T / NEEDLE_GRID_MM).astype(np.int64)
