"""Where lines of different families cross."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import distance_along, strokes
from loftline.values import Floats, Ints

_DENSE = 2_000_000
"""Pairs of segments solved in one array; for straight families most pairs do cross, so
looking at all of them costs no more than the answer is long."""


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
        crossings for straight families, with n log n for curves.
    """
    segments = explode(points, starts)
    of_family = family[segments.line] if len(family) else np.empty(0, np.int64)
    groups = [segments.of(np.flatnonzero(of_family == f)) for f in np.unique(of_family)]
    found = [
        _between(groups[i], groups[j])
        for j in range(len(groups))
        for i in range(j)
        if _near(groups[i], groups[j])
    ]
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


def _near(one: Segments, other: Segments) -> bool:
    a, b = np.concatenate([one.a, one.b]), np.concatenate([other.a, other.b])
    apart = (a.min(0) > b.max(0)) | (b.min(0) > a.max(0))
    return not bool(apart.any())


def _between(one: Segments, other: Segments) -> tuple[Floats, Ints, Floats, Ints, Floats]:
    if len(one.a) * len(other.a) > 40 * _DENSE or _curved(one) or _curved(other):
        tree = shapely.STRtree(strokes(other.a, other.b))
        lines = strokes(one.a, one.b)
        i, j = tree.query(lines, predicate="intersects")
        return _solve(one, other, i, j)
    rows = max(1, _DENSE // max(1, len(other.a)))
    chunks = []
    for start in range(0, len(one.a), rows):
        i = np.arange(start, min(start + rows, len(one.a)))
        pair_i = np.repeat(i, len(other.a))
        pair_j = np.tile(np.arange(len(other.a)), len(i))
        chunks.append(_solve(one, other, pair_i, pair_j))
    points, first, first_along, second, second_along = (
        np.concatenate(column) for column in zip(*chunks, strict=True)
    )
    return points, first, first_along, second, second_along


def _curved(segments: Segments) -> bool:
    return len(segments.line) > 4 * len(np.unique(segments.line))


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
