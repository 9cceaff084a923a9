"""What of many lines lies in a region, whole lines kept as they are.

A line that crosses itself stays one line. (An overlay of lines and areas cuts it wherever it
crosses itself.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from loftline.fills.motif.laying import Laid
from loftline.geometry import ranges, rings, strokes
from loftline.values import Area, Bools, Floats, Ints

_HAIR = 1e-9
"""Of a piece between two points of a line: nearer to a point than this is on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Pieces of lines.

    Attributes:
        curves: ``(k, 2)`` each.
        line: ``(m,)`` which line each was cut from.
        closed: ``(m,)``.
        whole: ``(m,)`` whether nothing was cut off.
    """

    curves: tuple[Floats, ...]
    line: Ints
    closed: Bools
    whole: Bools


def cut(laid: Laid, region: Area) -> Pieces:
    """The pieces of lines inside a region, by line, then along it.

    A place on a line is the number of the point before it and the share of the way to the
    next. The places where lines meet rings of the region cut each into stretches, and one
    point of a stretch tells on which side all of it lies.

    Returns:
        Pieces; the ends of those that were cut lie on rings. What runs along a ring is left
        out.
    """
    points, starts = laid.points, laid.starts
    line, place = _meets(laid, region)
    count = len(starts) - 1
    bound = np.concatenate([place, starts[:-1], starts[1:] - 1.0])
    owner = np.concatenate([line, np.arange(count), np.arange(count)])
    order = np.lexsort((bound, owner))
    bound, owner = bound[order], owner[order]
    same = (owner[1:] == owner[:-1]) & (bound[1:] > bound[:-1])
    begin, end, owner = bound[:-1][same], bound[1:][same], owner[:-1][same]
    shapely.prepare(region)
    middle = _at(points, (begin + end) / 2)
    inside = np.asarray(shapely.contains_xy(region, *middle.T))
    begin, end, owner = begin[inside], end[inside], owner[inside]
    at_start, at_end = begin == starts[owner], end == starts[owner + 1] - 1.0
    return _joined_up(_curves(points, begin, end), owner, at_start, at_end, laid.closed[owner])


def _meets(laid: Laid, region: Area) -> tuple[Ints, Floats]:
    """Lines and the places on them where they meet rings of a region."""
    owner = np.repeat(np.arange(len(laid.starts) - 1), np.diff(laid.starts))
    inner = np.flatnonzero(owner[1:] == owner[:-1])
    a, b = laid.points[inner], laid.points[inner + 1]
    edges = rings(region)
    q = np.concatenate([ring[:-1] for ring in edges])
    s = np.concatenate([np.diff(ring, axis=0) for ring in edges])
    tree = shapely.STRtree(strokes(q, q + s))
    i, j = tree.query(strokes(a, b), predicate="intersects")
    p, r = a[i], b[i] - a[i]
    cross = r[:, 0] * s[j, 1] - r[:, 1] * s[j, 0]
    w = q[j] - p
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (w[:, 0] * s[j, 1] - w[:, 1] * s[j, 0]) / cross
    real = np.isfinite(share)
    share = np.clip(share[real], 0, 1)
    share[share < _HAIR] = 0.0
    share[share > 1 - _HAIR] = 1.0
    first = inner[i[real]]
    return owner[first], first + share


def _at(points: Floats, place: Floats) -> Floats:
    """Where places lie."""
    before = np.minimum(np.floor(place).astype(np.int64), len(points) - 2)
    share = (place - before)[:, None]
    out: Floats = points[before] + share * (points[before + 1] - points[before])
    return out


def _curves(points: Floats, begin: Floats, end: Floats) -> list[Floats]:
    """The stretches between places, with the points that lie between them."""
    first = np.floor(begin).astype(np.int64) + 1
    count = np.maximum(np.ceil(end).astype(np.int64) - first, 0)
    size = count + 2
    starts = np.concatenate([[0], np.cumsum(size)])
    out = np.empty((int(starts[-1]), 2))
    out[starts[:-1]] = _at(points, begin)
    out[starts[1:] - 1] = _at(points, end)
    out[ranges(starts[:-1] + 1, count)] = points[ranges(first, count)]
    return np.split(out, starts[1:-1]) if len(begin) else []


def _joined_up(
    curves: list[Floats], owner: Ints, at_start: Bools, at_end: Bools, closed: Bools
) -> Pieces:
    """A closed line that was cut goes on over the place where it was begun."""
    whole = at_start & at_end
    kept = np.ones(len(curves), bool)
    for k in np.flatnonzero(closed & at_end & ~whole).tolist():
        first = int(np.searchsorted(owner, owner[k]))
        if at_start[first] and first != k:
            curves[k] = np.concatenate([curves[k], curves[first][1:]])
            kept[first] = False
    left = np.flatnonzero(kept)
    return Pieces(
        curves=tuple(curves[k] for k in left),
        line=owner[left],
        closed=(closed & whole)[left],
        whole=whole[left],
    )
