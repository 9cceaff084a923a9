"""Spans, the stretches of a path from one anchor to the next: the stitches wished on each.

On the straight stitches are even. On a curve a stitch is no longer than the chord whose sagitta
is the allowed error, ``sqrt(8 r e)``; the wish is smoothed along the path so that lengths change
gently.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.geometry import ranges
from loftline.stitches.anchors import NEAR_MM, Bends
from loftline.stitches.path import Path
from loftline.values import Bools, Floats, Ints

_FIRST_ERROR = 0.08
"""Sagitta aimed at; rounding and the estimate of the radius take up the rest."""

_LEAST_COTANGENT = 1 / math.tan(1.5)
_GENTLE = math.radians(0.5)
_SLACK = 1e-6
_EVENINGS = 3
_CELLS = 6
"""Raster cells in a stitch."""

_APART = 2.0
"""Stitches between two curves on the raster: neither feels the other."""

_CLOSE_VERTICES_MM = 0.02
"""Nearer together, the bend of a curve at a vertex is mostly rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What curves allow.

    Attributes:
        longest: ``(n,)`` longest stitch at each vertex, mm; shortened in place where a stitch
            leaves the path too far.
        bent: ``(n,)`` whether the path bends there at all.
    """

    longest: Floats
    bent: Bools

    @classmethod
    def of(cls, path: Path, bends: Bends, at: Ints) -> Limits:
        """The limits of a path with anchors ``at``, whose own bends do not count."""
        with np.errstate(divide="ignore", invalid="ignore"):
            radius = bends.near * np.maximum(bends.dot / np.abs(bends.cross), _LEAST_COTANGENT)
            square = 8 * _FIRST_ERROR * radius
            bent = (square < path.stitch * path.stitch) & (bends.near > _CLOSE_VERTICES_MM)
        bent |= bends.sharper(_GENTLE)
        bent[at] = False
        longest = path.stitch.copy()
        longest[bent] = np.clip(np.sqrt(square[bent]), NEAR_MM, longest[bent])
        return cls(longest=longest, bent=bent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spans:
    """Some spans of a path, packed, each with both its ends, and the stitches wished on them.

    Attributes:
        which: ``(s,)`` their numbers in the path.
        index: ``(m,)`` path vertices.
        begin: ``(s + 1,)`` offsets of the spans in ``index``.
        owner: ``(m,)`` span of each vertex, from 0.
        points: ``(m, 2)`` mm.
        stitch: ``(s,)`` longest stitch on the straight, mm.
        length: ``(s,)`` mm.
        curved: ``(s,)`` whether it bends at all.
        need: ``(m,)`` stitches wished for on the stretch from each vertex, a real number.
        total: ``(s,)`` their sum.
        count: ``(s,)`` stitches there will be.
        most: ``(s,)`` stitches that have room.
    """

    which: Ints
    index: Ints
    begin: Ints
    owner: Ints
    points: Floats
    stitch: Floats
    length: Floats
    curved: Bools
    need: Floats
    total: Floats
    count: Floats
    most: Floats

    def __len__(self) -> int:
        return len(self.which)

    @property
    def ends(self) -> Ints:
        """Last vertex of each span."""
        return self.begin[1:] - 1


def wish(path: Path, bends: Bends, limits: Limits, spans: tuple[Ints, Ints, Ints]) -> Spans:
    """Wish stitches on some spans.

    Args:
        path: the runs.
        bends: of the path.
        limits: of the path.
        spans: numbers, first vertices and last vertices.
    """
    which, first, last = spans
    size = last - first + 1
    index = ranges(first, size)
    begin = np.concatenate([[0], np.cumsum(size)])
    owner = np.repeat(np.arange(len(which)), size)
    step = bends.step[index]
    step[begin[1:] - 1] = 0.0
    stitch = path.stitch[first]
    need = step / np.repeat(stitch, size)
    length = np.add.reduceat(step, begin[:-1])
    most = np.floor(length / NEAR_MM + _SLACK)
    curved = np.zeros(len(which), bool)
    if len(index) > 2 * len(which):
        bent = limits.bent[index]
        bent[begin[:-1]] = False
        bent[begin[1:] - 1] = False
        curved[owner[bent]] = True
    if curved.any():
        bent = np.repeat(curved, size)
        own = limits.longest[index[bent]] / np.repeat(stitch[curved], size[curved])
        cells = step[bent] * np.repeat(_CELLS / stitch[curved], size[curved])
        need[bent] = _smoothed(own, cells, size[curved])
    total = np.add.reduceat(need, begin[:-1])
    # a span too short for its wish gets fewer stitches, none of them too short to sew
    count = np.maximum(np.minimum(np.ceil(total - _SLACK), most), 1.0)
    if curved.any():
        for _ in range(_EVENINGS):
            cap = (total / (count * NEAR_MM))[owner] * step
            if (need <= cap).all():
                break
            need = np.minimum(need, cap)
            total = np.add.reduceat(need, begin[:-1])
    return Spans(
        which=which,
        index=index,
        begin=begin,
        owner=owner,
        points=path.points[index],
        stitch=stitch,
        length=length,
        curved=curved,
        need=need,
        total=total,
        count=count,
        most=most,
    )


def _smoothed(limit: Floats, cells: Floats, size: Ints) -> Floats:
    """Carry each vertex's limit to its neighbourhood, smooth it, and count stitches.

    Args:
        limit: ``(m,)`` at each vertex, in parts of the stitch.
        cells: ``(m,)`` length of the stretch from it, in cells; 0 at a span's last.
        size: ``(s,)`` vertices of each span.

    Returns:
        ``(m,)`` stitches on the stretch from each vertex; 0 at a span's last.
    """
    last = np.cumsum(size) - 1
    place = np.cumsum(cells)
    place -= cells
    # each begins on a whole cell with room around, so that no span depends on another
    begin = place[last - size + 1]
    room = _APART * _CELLS
    long = np.ceil(place[last] - begin) + room
    place += np.repeat(np.cumsum(long) - long + room - begin, size)
    raster = np.ones(int(place[-1]) + 3)
    at = place.astype(np.int64)
    fresh = np.flatnonzero(np.append(True, at[1:] != at[:-1]))
    raster[at[fresh]] = np.minimum.reduceat(np.minimum(limit, 1.0), fresh)
    least = _over(np.minimum, raster, 2)
    mean = _over(np.add, least, 1) / 3
    # running integral of stitches
    integral = np.concatenate([[0.0], np.cumsum(1 / (_CELLS * mean))])
    passed = integral[at] + (place - at) * (integral[at + 1] - integral[at])
    need = np.zeros(len(place))
    need[:-1] = np.diff(passed)
    need[last] = 0.0
    return need


def _over(ufunc: np.ufunc, values: Floats, reach: int) -> Floats:
    """An operation over each value and so many neighbours on both sides; the ends repeated."""
    padded = np.concatenate([np.repeat(values[:1], reach), values, np.repeat(values[-1:], reach)])
    out = padded[: len(values)].copy()
    for k in range(1, 2 * reach + 1):
        ufunc(out, padded[k : k + len(values)], out=out)
    return out
