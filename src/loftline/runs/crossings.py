"""Where lines of different families cross."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import distance_along, ranges, strokes
from loftline.values import Floats, Ints

_STRAIGHT = 0.1
"""Rows: segments that go aside by less than this part of their length, all taken together."""

_MANY = 20_000_000
"""Pairs that fit into memory."""

_SLACK = 1e-6
"""More than rounding moves a place when it is reckoned along a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Segments:
    """Straight pieces of lines: ends, the line each belongs to, its distance along it."""

    a: Floats
    b: Floats
    line: Ints
    along: Floats

    def of(self, chosen: Ints) -> Segments:
        """Some of the segments."""
        return Segments(
            a=self.a[chosen], b=self.b[chosen], line=self.line[chosen], along=self.along[chosen]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossings:
    """Crossing points with both lines and the distances along them."""

    points: Floats
    first: Ints
    first_along: Floats
    second: Ints
    second_along: Floats


def explode(points: Floats, starts: Ints) -> Segments:
    """All segments of packed polylines."""
    line = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    along = distance_along(points, starts)
    inner = np.flatnonzero(line[1:] == line[:-1])
    return Segments(a=points[inner], b=points[inner + 1], line=line[inner], along=along[inner])


def find_crossings(points: Floats, starts: Ints, family: Ints) -> Crossings:
    """All proper crossings between lines of different families.

    Args:
        points: ``(n, 2)`` packed lines.
        starts: their offsets.
        family: ``(m,)`` family of each line; lines of one family are taken not to cross.

    Returns:
        The crossings, sorted by family pair. Work and memory grow with the number of
        crossings where one family of a pair is straight, with n log n for two of curves.
    """
    segments = explode(points, starts)
    of_family = family[segments.line] if len(family) else np.empty(0, np.int64)
    groups = [segments.of(np.flatnonzero(of_family == f)) for f in np.unique(of_family)]
    found = [_between(groups[i], groups[j]) for i, j in _overlapping(groups)]
    parts = [np.concatenate(column) for column in zip(*found, strict=True)] if found else None
    if parts is None:
        none = np.empty(0, np.int64)
        parts = [np.empty((0, 2)), none, np.empty(0), none, np.empty(0)]
    return Crossings(
        points=parts[0],
        first=parts[1],
        first_along=parts[2],
        second=parts[3],
        second_along=parts[4],
    )


def _overlapping(groups: list[Segments]) -> list[tuple[int, int]]:
    """Pairs of groups whose bounding boxes meet, first below second, by the second."""
    if not groups:
        return []
    low = np.array([np.minimum(g.a, g.b).min(axis=0) for g in groups])
    high = np.array([np.maximum(g.a, g.b).max(axis=0) for g in groups])
    met = (low[:, None] <= high[None]).all(axis=2)
    j, i = np.nonzero(np.tril(met & met.T, -1))
    return list(zip(i.tolist(), j.tolist(), strict=True))


def _between(one: Segments, other: Segments) -> tuple[Floats, Ints, Floats, Ints, Floats]:
    i, j = _candidates(one, other)
    order = np.lexsort((j, i))
    return _solve(one, other, i[order], j[order])


def _candidates(one: Segments, other: Segments) -> tuple[Ints, Ints]:
    if _are_rows(one):
        found = _meet_rows(one, other)
        if found is not None:
            return found[1], found[0]
    elif _are_rows(other):
        found = _meet_rows(other, one)
        if found is not None:
            return found
    tree = shapely.STRtree(strokes(other.a, other.b))
    i, j = tree.query(strokes(one.a, one.b), predicate="intersects")
    return i, j


def _are_rows(segments: Segments) -> bool:
    reach = segments.b - segments.a
    length = np.hypot(*reach.T)
    along = _direction(segments)
    aside = np.abs(reach[:, 0] * along[1] - reach[:, 1] * along[0])
    return bool(length.sum() > 0 and aside.sum() <= _STRAIGHT * length.sum())


def _direction(segments: Segments) -> Floats:
    """Unit vector along the longest segment."""
    reach = segments.b - segments.a
    length = np.hypot(*reach.T)
    longest = int(np.argmax(length))
    along: Floats = reach[longest] / max(length[longest], _SLACK)
    return along


def _meet_rows(rows: Segments, other: Segments) -> tuple[Ints, Ints] | None:
    """Pairs (other, rows) that may cross, where the rows are about parallel.

    Rows side by side are bands that do not overlap, each with its pieces in order along it.
    A segment crosses a run of neighbouring bands; the stretch of it within a band tells
    which pieces it may meet there. ``None`` where so much lies across the rows that nearly
    all pairs would be looked at.
    """
    along = _direction(rows)
    frame = np.column_stack([along, (-along[1], along[0])])
    (ua, wa), (ub, wb) = (rows.a @ frame).T, (rows.b @ frame).T
    low, high = np.minimum(wa, wb), np.maximum(wa, wb)
    # bands: overlapping widths taken together
    order = np.argsort(low, kind="stable")
    top = np.maximum.accumulate(high[order])
    fresh = np.append(True, low[order][1:] > top[:-1])
    band = np.empty(len(order), np.int64)
    band[order] = np.cumsum(fresh) - 1
    begin = np.flatnonzero(fresh)
    floor = low[order][begin] - _SLACK
    ceiling = top[np.append(begin[1:], len(order)) - 1] + _SLACK
    # pieces along each band, on one axis for all bands
    left, right = np.minimum(ua, ub), np.maximum(ua, ub)
    (pa, qa), (pb, qb) = (other.a @ frame).T, (other.b @ frame).T
    least = min(left.min(), pa.min(), pb.min())
    stride = max(right.max(), pa.max(), pb.max()) - least + 1.0
    order = np.lexsort((left, band))
    start = (band * stride + left - least)[order]
    end = np.maximum.accumulate((band * stride + right - least)[order])
    # which bands each segment meets, and where along them
    first = np.searchsorted(ceiling, np.minimum(qa, qb), side="left")
    count = np.searchsorted(floor, np.maximum(qa, qb), side="right") - first
    if count.sum() > _MANY:
        return None
    which = np.repeat(np.arange(len(pa)), count)
    met = ranges(first, count)
    rise = (qb - qa)[which]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.stack([floor[met] - qa[which], ceiling[met] - qa[which]]) / rise
    share = np.where(rise == 0, np.array([[0.0], [1.0]]), np.clip(share, 0, 1))
    place = pa[which] + share * (pb - pa)[which]
    shift = met * stride - least
    begin = np.searchsorted(end, shift + place.min(axis=0) - _SLACK, side="left")
    stop = np.searchsorted(start, shift + place.max(axis=0) + _SLACK, side="right")
    count = np.maximum(stop - begin, 0)
    if count.sum() > _MANY:
        return None
    return np.repeat(which, count), order[ranges(begin, count)]


def _solve(
    one: Segments, other: Segments, i: Ints, j: Ints
) -> tuple[Floats, Ints, Floats, Ints, Floats]:
    """Crossing of segment pairs by Cramer's rule; parallel pairs do not cross."""
    p, r = one.a[i], one.b[i] - one.a[i]
    q, s = other.a[j], other.b[j] - other.a[j]
    cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    w = q - p
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (w[:, 0] * s[:, 1] - w[:, 1] * s[:, 0]) / cross
        k = (w[:, 0] * r[:, 1] - w[:, 1] * r[:, 0]) / cross
    hit = (t >= 0) & (t <= 1) & (k >= 0) & (k <= 1) & (np.abs(cross) > 1e-12)
    i, j, t, k = i[hit], j[hit], t[hit], k[hit]
    along_one = one.along[i] + t * np.hypot(*r[hit].T)
    along_other = other.along[j] + k * np.hypot(*s[hit].T)
    return p[hit] + t[:, None] * r[hit], one.line[i], along_one, other.line[j], along_other
