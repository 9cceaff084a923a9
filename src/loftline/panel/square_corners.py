"""The square corner that an outline has, or had before it was rounded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from loftline.units import SAME_PLACE_MM
from loftline.values import Floats

TOWARDS: dict[str, tuple[int, int]] = {
    "lower left": (-1, -1),
    "lower right": (1, -1),
    "upper left": (-1, 1),
    "upper right": (1, 1),
}

_SHARP = np.radians(15)
"""A turn by more is a corner, by less a chord of an arc."""

_MOST_TURN = np.radians(95)
"""An arc that turns on past this has no straight edge beside it."""

_LONGER = 1.5
"""An edge so many times as long as the chords of an arc is no chord of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareCorner:
    """Where two edges meet, or would meet without the curve between them.

    Attributes:
        at: ``(2,)`` the corner.
        along: unit vectors along both edges, away from the corner.
        reach: how far the edges go, mm from the corner.
        middle: unit vector between both edges, into the panel: at a right angle the 45
            degree line.
        curve: distance along ``middle`` from the corner to the outline; 0 in a sharp corner.
    """

    at: Floats
    along: tuple[Floats, Floats]
    reach: tuple[float, float]
    middle: Floats
    curve: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """A straight edge beside a corner: a place on it, its direction, its far end."""

    start: Floats
    along: Floats
    end: Floats


def find_corner(outline: Polygon, name: str) -> SquareCorner | None:
    """The outline's corner farthest to one side of the panel.

    Args:
        outline: sharp corners, or corners rounded by arcs.
        name: a key of :data:`TOWARDS`.

    Returns:
        The corner, ``None`` where the outline is round all over.
    """
    ring = shapely.get_coordinates(orient(outline).exterior)[:-1]
    ring = ring[np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) > SAME_PLACE_MM]
    tip = int(np.argmax(ring @ np.array(TOWARDS[name])))
    forward = np.roll(ring, -tip, axis=0)
    backward = np.roll(forward[::-1], 1, axis=0)
    sharp = abs(_turn(backward[1], ring[tip], forward[1])) > _SHARP
    sides = [
        _straight(walk, 0) if sharp else _beside_arc(walk) or _of_box(outline, name, first=first)
        for walk, first in ((forward, True), (backward, False))
    ]
    at = ring[tip] if sharp else _meet(*sides)
    if at is None:
        return None
    one, two = (side.along for side in sides)
    middle = one + two
    if np.hypot(*middle) < 1e-3:
        return None
    middle /= np.hypot(*middle)
    x0, y0, x1, y1 = outline.bounds
    far = at + middle * np.hypot(x1 - x0, y1 - y0)
    inside = shapely.get_coordinates(shapely.intersection(LineString([at, far]), outline))
    if not len(inside):
        return None
    return SquareCorner(
        at=at,
        along=(one, two),
        reach=(
            float((sides[0].end - at) @ one),
            float((sides[1].end - at) @ two),
        ),
        middle=middle,
        curve=float(np.hypot(*(inside - at).T).min()),
    )


def _turn(before: Floats, at: Floats, after: Floats) -> float:
    a, b = at - before, after - at
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))


def _straight(walk: Floats, first: int) -> _Side:
    """The edge that starts at a place of the walk, over places that lie on it."""
    start, last = walk[first], first + 1
    while last + 1 < len(walk) and abs(_turn(walk[last - 1], walk[last], walk[last + 1])) < 1e-6:
        last += 1
    end = walk[min(last, len(walk) - 1)]
    return _Side(start=start, along=(end - start) / np.hypot(*(end - start)), end=end)


def _beside_arc(walk: Floats) -> _Side | None:
    """The straight edge at the end of an arc that the walk starts in."""
    chord = float(np.hypot(*(walk[1] - walk[0])))
    turned, step = 0.0, 0.0
    for i in range(1, len(walk) - 1):
        bend = _turn(walk[i - 1], walk[i], walk[i + 1])
        if abs(bend) > _SHARP:  # no straight edge: the arc's own direction where it ends
            along = _rotated(walk[i] - walk[i - 1], step / 2)
            return _Side(start=walk[i], along=along / np.hypot(*along), end=walk[i])
        if np.hypot(*(walk[i + 1] - walk[i])) > _LONGER * chord:
            return _straight(walk, i)
        step = bend
        turned += abs(bend)
        if turned > _MOST_TURN:
            break
    return None


def _rotated(vector: Floats, angle: float) -> Floats:
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.array([cosine * vector[0] - sine * vector[1], sine * vector[0] + cosine * vector[1]])


def _of_box(outline: Polygon, name: str, *, first: bool) -> _Side:
    """A side of the bounding box, where the whole side of the panel is one arc."""
    x0, y0, x1, y1 = outline.bounds
    right, up = TOWARDS[name]
    corner = np.array([x1 if right > 0 else x0, y1 if up > 0 else y0])
    # counter-clockwise from a corner: along the bottom, up the right, along the top, down
    level = (right * up > 0) == first
    along = np.array([-right, 0.0]) if level else np.array([0.0, -up])
    half = (x1 - x0 if level else y1 - y0) / 2
    return _Side(start=corner, along=along, end=corner + half * along)


def _meet(one: _Side, two: _Side) -> Floats | None:
    """Where the lines of two edges cross."""
    across = one.along[0] * two.along[1] - one.along[1] * two.along[0]
    if abs(across) < 1e-3:
        return None
    gap = two.start - one.start
    share = (gap[0] * two.along[1] - gap[1] * two.along[0]) / across
    point: Floats = one.start + share * one.along
    return point
