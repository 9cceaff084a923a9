"""Needle points past a border, moved aside of the holes that an earlier hooping left there.

An overlap is sewn over a line whose holes are known only once the earlier hooping is stitched:
it may have ended in a tie, in shorter stitches, or come back over its own line between its
first holes. So what is sewn there again is moved along itself, until no hole meets another.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree

from loftline.hooping.sharing import Share
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Area, Bools, Floats, Ints, Kind, Sewn

APART_MM: Final = 0.5
"""Which tells two holes apart."""

_SHIFTS: Final = (0.4, 0.6, 0.8, 1.0, 1.2)
_STRAIGHT: Final = math.cos(math.radians(20))
_OFF_MM: Final = 0.1
_ON_LINE_MM: Final = 0.25
_SHORTEST_MM: Final = 0.8
_SEEN_MM: Final = 2.5


def aside_of_holes(
    share: Share, sewn: Sewn, there: Floats, kept: Area | None, longest: float
) -> Sewn:
    """Needle points of one hooping, none of an overlap in a hole that is there if it can be.

    A point moves along the stitches that meet at it, no farther than 1.2 mm, and only where
    they go about straight on or straight back, so that the line stays where it is to 0.1 mm.

    Args:
        share: what is sewn again past its borders.
        sewn: its needle points, those sewn again counted so.
        there: ``(k, 2)`` holes of lines that earlier hoopings leave, mm.
        kept: where nothing is moved, by keep-outs and darts.
        longest: step that no stitch may exceed, mm.

    Returns:
        The same points in the same order; most are where they were.
    """
    if not len(share.again) or not len(there) or len(sewn) < 3:
        return sewn
    points: Floats = np.asarray(np.column_stack([sewn.x, sewn.y]) * NEEDLE_GRID_MM, np.float64)
    chosen = _movable(share, sewn, points, kept)
    there = _beside(there, share.again)
    if not len(there):
        return sewn
    holes = cKDTree(there)
    chosen = chosen[holes.query(points[chosen])[0] < APART_MM]
    if not len(chosen):
        return sewn
    others = holes.query_ball_point(points[chosen], _SEEN_MM)
    own = cKDTree(points).query_ball_point(points[chosen], _SEEN_MM)
    for i, old, mine in zip(chosen.tolist(), others, own, strict=True):
        beside = [j for j in mine if j != i and sewn.kind[j] != Kind.TIE]
        near = np.concatenate([there[old], points[beside]])
        points[i] = _moved(points[i - 1], points[i], points[i + 1], near, longest)
    tenths = np.rint(points / NEEDLE_GRID_MM).astype(np.int64)
    return replace(sewn, x=tenths[:, 0], y=tenths[:, 1])


def _movable(share: Share, sewn: Sewn, points: Floats, kept: Area | None) -> Ints:
    """Points between two stitches in about one line, the first of them sewn again."""
    step = np.diff(points, axis=0)
    long = np.maximum(np.hypot(*step.T), 1e-9)
    ahead = (step[1:] * step[:-1]).sum(axis=1) / (long[1:] * long[:-1])
    fits: Bools = np.zeros(len(points), bool)
    fits[1:-1] = (
        (np.abs(ahead) >= _STRAIGHT)
        & (sewn.run[2:] == sewn.run[:-2])
        & (sewn.kind[1:-1] == Kind.DOUBLE)
        & np.isin(sewn.kind[2:], (Kind.DOUBLE, Kind.LINE))
    )
    found = np.flatnonzero(fits)
    drawn = shapely.union_all(shapely.linestrings(share.again))
    shapely.prepare(drawn)
    at = shapely.points(points[found])
    free = shapely.dwithin(drawn, at, _ON_LINE_MM)
    if kept is not None:
        free &= ~shapely.intersects(kept, at)
    out: Ints = found[free]
    return out


def _beside(there: Floats, again: Floats) -> Floats:
    """Those of some holes that lie about an overlap."""
    ends = again.reshape(-1, 2)
    low, high = ends.min(axis=0) - 2 * _SEEN_MM, ends.max(axis=0) + 2 * _SEEN_MM
    out: Floats = there[((there >= low) & (there <= high)).all(axis=1)]
    return out


def _moved(before: Floats, at: Floats, after: Floats, near: Floats, longest: float) -> Floats:
    """The nearest place along two stitches that is clear of all holes, else the clearest."""
    best, room = at, _clear(at, near)
    ways = [(end - at) / max(float(np.hypot(*(end - at))), 1e-9) for end in (before, after)]
    bend = abs(float(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0]))
    for shift in _SHIFTS:
        if shift * bend > _OFF_MM:  # the corner cut off would show
            break
        for way in ways:
            place = np.rint((at + shift * way) / NEEDLE_GRID_MM) * NEEDLE_GRID_MM
            long = [float(np.hypot(*(end - place))) for end in (before, after)]
            if min(long) < _SHORTEST_MM or max(long) > longest:
                continue
            clear = _clear(place, near)
            if clear > room + NEEDLE_GRID_MM:
                best, room = place, clear
        if room >= APART_MM:
            break
    return best


def _clear(at: Floats, near: Floats) -> float:
    return float(np.hypot(*(near - at).T).min())
