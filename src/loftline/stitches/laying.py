"""Needle points of spans, and whether they keep to the path and are even.

Points are rounded to whole tenths of a millimetre as absolute places, so errors never add up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.stitches.anchors import NEAR_MM
from loftline.stitches.spans import Limits, Spans
from loftline.units import CHORD_ERROR_MM, NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Ints

_SLACK = 1e-6
_TIGHTER = 0.8

EVEN_TO = 0.1
"""Of the mean: how much the stitches of a straight line may differ, rounding apart."""

_ROUNDING_MM = 0.15 - 1e-9
"""Rounding both ends to tenths can lengthen a stitch by 0.14 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Needle points of some spans.

    Attributes:
        x, y: ``(k,)`` tenths, all but each span's first.
        vertex: ``(k,)`` path vertex whose stretch the stitch ending there lies in.
        position: ``(m,)`` stitches from the span's first point to each packed vertex.
        worst: ``(s,)`` greatest distance of a vertex from the chord of its stitch, mm.
    """

    x: Ints
    y: Ints
    vertex: Ints
    position: Floats
    worst: Floats


def lay(spans: Spans, steps: Floats | None) -> Laid:
    """Lay the stitches of spans.

    Args:
        spans: from :func:`wish`.
        steps: ``(m,)`` stitches on the stretch from each packed vertex as settled with the
            crossings; ``None`` where the wish is only stretched to whole numbers.
    """
    size = np.diff(spans.begin)
    if steps is None:
        with np.errstate(divide="ignore", invalid="ignore"):
            scale = np.where(spans.total > 0, spans.count / spans.total, 0.0)
        steps = spans.need * np.repeat(scale, size)
    count = spans.count.astype(np.int64)
    # every span has numbers of its own, from its first point to its last
    base = np.concatenate([[0], np.cumsum(count + 1)])
    place = np.cumsum(steps)
    place -= steps
    place -= np.repeat(place[spans.begin[:-1]], size)
    place[spans.ends] = count
    np.minimum(place, np.repeat(spans.count, size), out=place)
    whole = np.floor(place + _SLACK).astype(np.int64)
    points = np.diff(whole, append=0)
    points[spans.ends] = 0
    vertex = np.repeat(np.arange(len(place)), points)
    first = np.ones(int(base[-1]), bool)
    first[base[:-1]] = False
    number = np.flatnonzero(first)
    rest = number - base[spans.owner[vertex]] - place[vertex]
    rest /= np.maximum(place[vertex + 1] - place[vertex], 1e-12)
    np.minimum(rest, 1.0, out=rest)
    tenths = np.empty((2, int(base[-1])), np.int64)
    for axis in (0, 1):
        own = spans.points[:, axis] / NEEDLE_GRID_MM
        tenths[axis, base[:-1]] = np.rint(own[spans.begin[:-1]])
        here = own[vertex]
        tenths[axis, number] = np.rint(here + rest * (own[vertex + 1] - here))
    return Laid(
        x=tenths[0, number],
        y=tenths[1, number],
        vertex=spans.index[vertex],
        position=place,
        worst=chord_errors(spans, place, base, tenths),
    )


def chord_errors(spans: Spans, place: Floats, base: Ints, tenths: Ints) -> Floats:
    """Greatest distance of path vertices from the chord of their stitch, for each stitch.

    Args:
        spans: with their counts.
        place: as ``Laid.position``.
        base: number of each span's first point, where every span has numbers of its own.
        tenths: ``(2, k)`` all points by these numbers.
    """
    worst = np.zeros(tenths.shape[1])
    if not spans.curved.any():
        return worst
    inner = np.repeat(spans.curved, np.diff(spans.begin))
    inner[spans.begin[:-1]] = False
    inner[spans.ends] = False
    vertex = np.flatnonzero(inner)
    k = stitch_at(spans, place, base, vertex)
    ax, ay = tenths[:, k] * NEEDLE_GRID_MM
    bx, by = tenths[:, k + 1] * NEEDLE_GRID_MM
    bx -= ax
    by -= ay
    px, py = spans.points[vertex, 0] - ax, spans.points[vertex, 1] - ay
    share = (px * bx + py * by) / np.maximum(bx * bx + by * by, 1e-18)
    np.clip(share, 0, 1, out=share)
    px -= share * bx
    py -= share * by
    apart = np.sqrt(px * px + py * py)
    begins = np.flatnonzero(np.append(True, k[1:] != k[:-1]))
    worst[k[begins]] = np.maximum.reduceat(apart, begins)
    return worst


def stitch_at(spans: Spans, place: Floats, base: Ints, vertex: Ints) -> Ints:
    """Number of the stitch that passes each vertex."""
    owner = spans.owner[vertex]
    most = spans.count.astype(np.int64)[owner] - 1
    return np.asarray(base[owner] + np.minimum(np.floor(place[vertex] + 1e-9), most), np.int64)


def tighten(limits: Limits, spans: Spans, laid: Laid) -> Bools:
    """Ask for shorter stitches where a stitch leaves the path too far; which spans those are."""
    wide = laid.worst > CHORD_ERROR_MM - 1e-9
    bad = np.zeros(len(spans), bool)
    if not wide.any():
        return bad
    base = np.concatenate([[0], np.cumsum(spans.count.astype(np.int64) + 1)])
    bad[np.searchsorted(base, np.flatnonzero(wide), side="right") - 1] = True
    inner = np.repeat(bad, np.diff(spans.begin))
    # an end is the next span's too
    inner[spans.begin[:-1]] = False
    inner[spans.ends] = False
    bent = np.flatnonzero(inner)
    hit = bent[wide[stitch_at(spans, laid.position, base, bent)]]
    where = spans.index[hit]
    limits.longest[where] = np.maximum(limits.longest[where] * _TIGHTER, NEAR_MM)
    return bad


def uneven(spans: Spans, laid: Laid) -> Bools:
    """Straight spans whose stitches differ by more than a tenth once they are rounded."""
    count = spans.count.astype(np.int64)
    begin = np.cumsum(count) - count
    first = np.rint(spans.points[spans.begin[:-1]] / NEEDLE_GRID_MM).astype(np.int64)
    step = [np.diff(axis, prepend=0) for axis in (laid.x, laid.y)]
    for axis, at in zip(step, (laid.x, laid.y), strict=True):
        axis[begin] = at[begin]
    step[0][begin] -= first[:, 0]
    step[1][begin] -= first[:, 1]
    length = np.hypot(*step) * NEEDLE_GRID_MM
    most, least = np.maximum.reduceat(length, begin), np.minimum.reduceat(length, begin)
    mean = np.add.reduceat(length, begin) / count
    rough: Bools = ~spans.curved & (most - least > EVEN_TO * mean + _ROUNDING_MM)
    return rough
