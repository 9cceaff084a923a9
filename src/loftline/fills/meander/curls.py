"""Curls: small loops that a wandering line makes on its way, each crossing itself once.

A curl is one turn of a prolate trochoid, the path of a point beyond the rim of a rolling
wheel, drawn along the line: it leaves the line and comes back to it without a corner. Curls
stand at even distances between the marks of a line, each where there is room for it, on the
outer side of a bend, else left and right in turn. No curl comes near another strand, another
curl or the edge, and that is proved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely
from scipy.spatial import cKDTree
from shapely import LineString, MultiPoint

from loftline.fills.meander.depth import Depth
from loftline.fills.meander.hashing import chance, named
from loftline.fills.meander.loop import Curve, Loop, as_points, resample
from loftline.fills.meander.near import near_pairs
from loftline.fills.meander.pace import Pace
from loftline.fills.meander.rounding import curvature
from loftline.values import Area, Bools, Floats, Ints

RADIUS = 0.3
"""Half the height of a curl, in spacings."""
EVERY = 2.7
"""From one curl to the next, in spacings."""
WINDOW = 0.8
"""So far a curl may be moved along the line to where there is room, in spacings."""
STEP = 0.1
"""Between places where a curl may stand, in spacings."""
AWAY = 0.14
"""Between a curl and another strand or curl, in spacings, at least."""
FROM_EDGE = 0.06
OWN = 1.1
"""Nearer along the line than this (in spacings), it is no other strand."""
HOLLOW = 0.25
"""No curl stands on the inner side of a bend of more than this, in turns per spacing ..."""
ROUND = 1.0
"""... nor on a bend of more than this."""
SWING = 1.35
"""How far a curl swings along the line, in its radii."""
GOES_ON = 2.2
"""How far the line has come after a curl, in radii."""
CORNERS = 48
"""Sides a curl is drawn with."""
ROUNDS = 6
NEAREST = 20
"""Points looked at round a curl: more than its own strand has there."""


@dataclass(frozen=True, slots=True)
class _Slots:
    """Curls and where each may stand: ``(k, c)`` each.

    Attributes:
        along: index of the place on the line.
        side: 1 left, -1 right.
        middle: middle of the curl.
        cost: how unwelcome; infinite where there is no room.
    """

    along: Ints
    side: Ints
    middle: Loop
    cost: Floats


def with_curls(curve: Curve, depth: Depth, pace: Pace, seed: int, room: Area) -> Curve:
    """A curve with curls.

    Args:
        curve: a simple curve.
        depth: depths of its area.
        pace: wanted distance between neighbouring lines.
        seed: for the order in which curls are given their place.
        room: what the curve must stay in.

    Returns:
        The curve. It crosses itself once in each curl and nowhere else.
    """
    curve = _turning_left(curve)
    coarse = resample(curve, STEP, pace.at(curve.points))
    slots = _slots(coarse, depth, pace)
    chosen = _settle(slots, pace, seed)
    for _ in range(3):
        drawn, pieces = _drawn(coarse, curve, slots, chosen, pace)
        bad = _meeting(pieces, room)
        if not bad.any():
            return drawn if _crossings(drawn) == np.count_nonzero(chosen >= 0) else curve
        chosen = chosen.copy()
        chosen[np.flatnonzero(chosen >= 0)[bad]] = -1
    return curve


def _turning_left(curve: Curve) -> Curve:
    """A closed curve counter-clockwise.

    Which way round a line was walked hangs on chance far away; left and right must not.
    """
    points = curve.points
    area = float((points.conjugate() * np.roll(points, -1)).imag.sum())
    if not curve.closed or area >= 0:
        return curve
    return replace(curve, points=points[::-1], marks=len(points) - 1 - curve.marks[::-1])


def _slots(coarse: Curve, depth: Depth, pace: Pace) -> _Slots:
    """Even places for curls between the marks of a curve, and all they may be moved to."""
    count = len(coarse)
    at, number = _even_places(coarse)
    reach = round(WINDOW / STEP)
    shift = np.tile(np.arange(-reach, reach + 1), 2)
    side = np.broadcast_to(np.repeat([1, -1], 2 * reach + 1), (len(at), len(shift)))
    along = at[:, None] + shift
    if coarse.closed:
        along %= count
        outside = np.zeros(along.shape, bool)
    else:
        end = round(OWN / STEP)
        outside = (along < end) | (along >= count - end)
        along = np.clip(along, 0, count - 1)
    normal, bend = _shape(coarse)
    spacing = pace.at(coarse.points)
    middle = coarse.points[along] + side * (RADIUS * spacing * normal)[along]
    inner = (bend * spacing)[along] * side
    free = (inner < HOLLOW) & (inner > -ROUND) & ~outside
    free &= _has_room(coarse, depth, along, middle, spacing)
    in_turn = side == np.where(number % 2, 1, -1)[:, None]
    outer = np.where(np.abs(inner) > HOLLOW, inner < 0, in_turn)
    cost = np.abs(shift) * STEP / WINDOW + np.where(outer, 0.0, 0.7)
    return _Slots(along, side, middle, np.where(free, cost, np.inf))


def _even_places(coarse: Curve) -> tuple[Ints, Ints]:
    """Indices of even places between the marks of a curve, and the number of each there."""
    bounds = np.append(np.unique(np.append(coarse.marks, 0)), len(coarse))
    stretch = np.diff(bounds)
    many = np.rint(stretch * STEP / EVERY).astype(np.int64)
    number = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many)
    share = (number + 0.5) / np.repeat(many, many)
    return (np.repeat(bounds[:-1], many) + share * np.repeat(stretch, many)).astype(
        np.int64
    ), number


def _shape(coarse: Curve) -> tuple[Loop, Floats]:
    """Unit vector to the left of each point, and how much the curve bends to the left there."""
    wide = coarse.padded(3)
    normal = 1j * (wide[6:] - wide[:-6])
    normal /= np.abs(normal)
    inward = ((wide[4:-2] + wide[2:-4] - 2 * coarse.points) * normal.conjugate()).real
    return normal, curvature(coarse) * np.sign(inward)


def _has_room(coarse: Curve, depth: Depth, along: Ints, middle: Loop, spacing: Floats) -> Bools:
    """Whether no other strand and no edge is near a curl."""
    room = RADIUS * spacing[along]
    free = depth.at(middle.ravel())[0].reshape(middle.shape) > room + FROM_EDGE * spacing[along]
    reach = (RADIUS + AWAY) * float(spacing.max())
    tree = cKDTree(as_points(coarse.points))
    far, near = tree.query(as_points(middle.ravel()), k=NEAREST, distance_upper_bound=reach)
    far, near = (np.reshape(found, (*along.shape, NEAREST)) for found in (far, near))
    apart = np.abs(near - along[:, :, None])
    if coarse.closed:
        apart = np.minimum(apart, len(coarse) - apart)
    limit = ((RADIUS + AWAY) * spacing[along])[:, :, None]
    strands = (near < len(coarse)) & (apart > OWN / STEP) & (far < limit)
    crowded: Bools = strands.any(axis=2)
    return np.asarray(free & ~crowded)


def _settle(slots: _Slots, pace: Pace, seed: int) -> Ints:
    """Which place each curl takes, or -1: in rounds, chance deciding between two that meet."""
    count = len(slots.cost)
    chosen = np.full(count, -1)
    if not count:
        return chosen
    cost = slots.cost.copy()
    cell = np.round(as_points(slots.middle[:, 0]) / (0.5 * pace.finest)).astype(np.int64)
    turn = chance(named(seed, cell[:, 0], cell[:, 1]), 9)
    for _ in range(ROUNDS):
        wish = np.where(np.isfinite(cost.min(axis=1)), cost.argmin(axis=1), -1)
        wish = np.where(chosen >= 0, chosen, wish)
        live = np.flatnonzero(wish >= 0)
        middle = slots.middle[live, wish[live]]
        first, second = near_pairs(middle, (2 * RADIUS + AWAY) * pace.at(middle))
        rank = np.where(chosen[live] >= 0, -1.0, turn[live])
        loser = np.where(rank[first] > rank[second], first, second)
        lost = np.zeros(len(live), bool)
        lost[loser] = True
        if not (chosen[live][~lost] < 0).any():
            break
        chosen[live[~lost]] = wish[live[~lost]]
        taken = cKDTree(as_points(slots.middle[live[~lost], wish[live[~lost]]]))
        open_ = np.flatnonzero(chosen < 0)
        rest = slots.middle[open_]
        away = np.reshape(taken.query(as_points(rest.ravel()))[0], rest.shape)
        blocked = away < (2 * RADIUS + AWAY) * pace.at(rest)
        cost[open_] = np.where(blocked, np.inf, cost[open_])
    return chosen


def _drawn(
    coarse: Curve, curve: Curve, slots: _Slots, chosen: Ints, pace: Pace
) -> tuple[Curve, list[Loop]]:
    """The curve with its curls, and its pieces: curls and what lies between them in turn."""
    placed = np.flatnonzero(chosen >= 0)
    if not len(placed):
        return curve, [curve.points]
    points = np.append(curve.points, curve.points[0]) if curve.closed else curve.points
    along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(points)))])
    wide = curve.padded(2)
    ahead = (wide[4:] - wide[:-4]) / np.abs(wide[4:] - wide[:-4])
    normal = 1j * (np.append(ahead, ahead[0]) if curve.closed else ahead)
    index, side = slots.along[placed, chosen[placed]], slots.side[placed, chosen[placed]]
    seat = coarse.points[index]
    centre = along[cKDTree(as_points(curve.points)).query(as_points(seat))[1]]
    order = np.argsort(centre)
    centre, side = centre[order], side[order]
    radius = RADIUS * pace.at(seat[order])
    turn = np.linspace(0.0, 1.0, CORNERS + 1)
    sway = GOES_ON * (turn - 0.5) + SWING * np.sin(2 * np.pi * turn)
    where = centre[:, None] + radius[:, None] * sway
    where = where % along[-1] if curve.closed else where
    flat = where.ravel()
    base = np.interp(flat, along, points.real) + 1j * np.interp(flat, along, points.imag)
    out = np.interp(flat, along, normal.real) + 1j * np.interp(flat, along, normal.imag)
    height = (radius * side)[:, None] * (1 - np.cos(2 * np.pi * turn))
    curls = base.reshape(where.shape) + height * out.reshape(where.shape)
    pieces: list[Loop] = []
    start, end = centre - GOES_ON * radius / 2, centre + GOES_ON * radius / 2
    for i, curl in enumerate(curls):
        low, high = (end[i - 1], start[i]) if i else (-1.0, start[0])
        if curve.closed and not i:
            # the last curl or the first may stand where the closed line begins
            low, high = end[-1] % along[-1], high % along[-1]
        pieces += [_between(points, along, low, high), curl]
    if not curve.closed:
        pieces.append(points[along > end[-1]])
    drawn = Curve(points=np.concatenate(pieces), marks=np.empty(0, np.int64), closed=curve.closed)
    return drawn, pieces


def _between(points: Loop, along: Floats, low: float, high: float) -> Loop:
    """Points of a line strictly between two places on it, past the end of a closed one too."""
    hair = 1e-6
    if low <= high:
        return points[(along > low + hair) & (along < high - hair)]
    # the first point of a closed line is stored a second time at its end
    return np.concatenate([points[:-1][along[:-1] > low + hair], points[along < high - hair]])


def _meeting(pieces: list[Loop], room: Area) -> Bools:
    """Which curls do not cross themselves just once, or meet anything else, or leave the room."""
    curls = pieces[1::2]
    if not curls:
        return np.zeros(0, bool)
    strokes = np.array([LineString(as_points(curl)) for curl in curls], dtype=object)
    bad = ~shapely.covers(room, strokes) | ~_crosses_once(strokes)
    one, other = shapely.STRtree(strokes).query(strokes, predicate="intersects")
    bad[one[one != other]] = True
    # a piece between curls meets the curls at its own ends there, and no curl anywhere else
    between = [LineString(as_points(rest)) for rest in _rests(pieces) if len(rest) > 1]
    lines = np.array(between, dtype=object)
    curl, near = shapely.STRtree(lines).query(strokes, predicate="intersects")
    met = shapely.intersection(strokes[curl], lines[near])
    ends = np.array([MultiPoint(as_points(curls[i][[0, -1]])) for i in curl], dtype=object)
    stray = shapely.difference(met, shapely.buffer(ends, 1e-6))
    bad[curl[~shapely.is_empty(stray)]] = True
    return np.asarray(bad)


def _rests(pieces: list[Loop]) -> Iterator[Loop]:
    """What lies between curls, from the end of the one to the start of the next."""
    closed = len(pieces) % 2 == 0
    for i in range(0, len(pieces), 2):
        before = pieces[i - 1][-1:] if i or closed else pieces[i][:0]
        after = pieces[i + 1][:1] if i + 1 < len(pieces) else pieces[i][:0]
        yield np.concatenate([before, pieces[i], after])


def _crossings(curve: Curve) -> int:
    """How often a curve crosses itself: cut there, it has two pieces more for each."""
    return (int(shapely.get_num_geometries(shapely.node(curve.line()))) - 1) // 2


def _crosses_once(strokes: npt.NDArray[np.object_]) -> Bools:
    """Whether each open stroke crosses itself in one place: cut there, it has three pieces."""
    return np.asarray(shapely.get_num_geometries(shapely.node(strokes)) == 3)
