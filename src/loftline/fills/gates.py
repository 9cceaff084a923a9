"""Closed lines that lie beside each other, made into one by gates.

A gate is a short piece of corridor between two rings: both are opened there, and the two
ends of the one are led over to those of the other. Each gate turns two closed lines that do
not cross into one that does not cross itself, so a tree of gates makes one line of all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, STRtree

from loftline.fills.bends import FILLET, rounded
from loftline.fills.levels import Ring
from loftline.values import Area, Floats

_WIDTH = 0.8
_APART = 0.7
_REACHES = (1.3, 2.1)
"""Longest gates, in spacings: across to the next ring, else over the middle of a narrow place."""
_STRAIGHT = 0.88
_STATIONS = 240
_BENT = 4.0
_HAIR = 1e-3


@dataclass(slots=True)
class _Loop:
    """A ring with the gates found so far: each opens it from one distance to another."""

    line: LineString
    points: Floats
    along: Floats
    openings: list[tuple[float, float, int]] = field(default_factory=list)
    came: Floats | None = None
    before: Floats | None = None

    @property
    def length(self) -> float:
        return float(self.along[-1])

    def at(self, s: npt.ArrayLike) -> Floats:
        """Places so far along, ``(n, 2)``."""
        t = np.atleast_1d(np.mod(s, self.length))
        return np.column_stack([np.interp(t, self.along, self.points[:, k]) for k in (0, 1)])

    def piece(self, start: float, end: float) -> Floats:
        """The points from one distance forward to another, both included."""
        if end <= start:
            end += self.length
        turned = np.concatenate([self.along[:-1], self.along[:-1] + self.length])
        inner = turned[(turned > start + _HAIR) & (turned < end - _HAIR)]
        return self.at(np.concatenate([[start], inner, [end]]))


@dataclass(frozen=True, slots=True)
class _Gate:
    """Two loops, where each is opened, and which ends are led together.

    ``first`` holds the two distances on the first loop, lower one first; ``second`` those on
    the other that lie across from them.
    """

    loops: tuple[int, int]
    first: tuple[float, float]
    second: tuple[float, float]


def join_rings(rings: Sequence[Ring], spacing: float, ground: Area) -> list[Floats]:
    """One closed line of all rings that can be reached from each other by gates.

    Args:
        rings: outermost first; no two meet.
        spacing: mm between neighbours; gates are a little narrower.
        ground: where gates may lie.

    Returns:
        Closed lines, the first point repeated last. Corners of gates are rounded.
    """
    loops = [_loop(ring) for ring in rings]
    lines = np.array([loop.line for loop in loops], dtype=object)
    tree = STRtree(lines)
    shapely.prepare(ground)
    group = np.arange(len(loops))
    gates: list[_Gate] = []
    for reach in _REACHES:
        a, b = tree.query(lines, predicate="dwithin", distance=reach * spacing)
        pairs = sorted({(int(i), int(j)) for i, j in zip(a, b, strict=True) if i < j})
        for i, j in pairs:
            if group[i] == group[j]:
                continue
            gate = _find(loops, i, j, reach, spacing, tree, ground)
            if gate is not None:
                _open(loops, gate, len(gates))
                gates.append(gate)
                group[group == group[j]] = group[i]
    return _walk(loops, gates, spacing)


def _loop(ring: Ring) -> _Loop:
    step = np.hypot(*np.diff(ring.points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(step)])
    return _Loop(line=LineString(ring.points), points=ring.points, along=along)


def _find(
    loops: list[_Loop],
    i: int,
    j: int,
    reach: float,
    spacing: float,
    tree: STRtree,
    ground: Area,
) -> _Gate | None:
    """The best gate between two loops: across a straight stretch, beside the gates before."""
    # stations lie on the shorter of the two
    a, b = (i, j) if loops[i].length < loops[j].length else (j, i)
    one, other = loops[a], loops[b]
    half = min(_WIDTH * spacing, one.length / 4, other.length / 4) / 2
    count = int(np.clip(one.length / (0.2 * spacing), 24, _STATIONS))
    s = np.arange(count) * (one.length / count)
    if len(one.openings) or len(other.openings):
        s = np.unique(np.concatenate([s, _beside(one, half, spacing)]))
    begin, end = np.asarray(s - half, np.float64), np.asarray(s + half, np.float64)
    near, far = one.at(begin), one.at(end)
    across = np.column_stack(
        [shapely.line_locate_point(other.line, shapely.points(p)) for p in (near, far)]
    )
    near_there, far_there = other.at(across[:, 0]), other.at(across[:, 1])
    span = across[:, 1] - across[:, 0]
    span -= other.length * np.rint(span / other.length)
    spans = np.stack([np.hypot(*(near_there - near).T), np.hypot(*(far_there - far).T)])
    chords = np.hypot(*(far - near).T), np.hypot(*(far_there - near_there).T)
    good = (spans.max(axis=0) <= reach * spacing) & (spans.min(axis=0) >= 0.3 * spacing)
    good &= (chords[0] >= _STRAIGHT * 2 * half) & (chords[1] >= _STRAIGHT * np.abs(span))
    good &= (np.abs(span) >= 0.6 * half) & (np.abs(span) <= min(7 * half, other.length / 2))
    good &= _apart(one, begin, end, spacing)
    low = np.where(span > 0, across[:, 0], across[:, 1])
    good &= _apart(other, low, low + np.abs(span), spacing)
    wish = _wish(loops[i], loops[j])
    score = np.abs(spans.mean(axis=0) - spacing) / spacing
    score += 0.05 * np.hypot(*(one.at(s) - wish).T) / spacing
    # where the rings bend beside the gate its corners cannot be rounded well
    reached = FILLET * spacing
    score += _BENT * (1 - _straightness(one, begin - reached, end + reached))
    score += _BENT * (1 - _straightness(other, low - reached, low + np.abs(span) + reached))
    score += _BENT / 2 * np.abs(spans[0] - spans[1]) / spacing
    for k in np.flatnonzero(good)[np.argsort(score[good], kind="stable")].tolist():
        drawn = np.stack([[near[k], near_there[k]], [far[k], far_there[k]]])
        # a hair short at both ends, where they touch the two rings
        hair = _HAIR * (drawn[:, 1] - drawn[:, 0])
        drawn = np.stack([drawn[:, 0] + hair, drawn[:, 1] - hair], axis=1)
        links = shapely.linestrings(drawn)
        crossed = len(tree.query(links, predicate="intersects")[0]) > 0
        if not crossed and shapely.covers(ground, links).all():
            first = (float(begin[k]), float(end[k]))
            return _Gate((a, b), first, (float(across[k, 0]), float(across[k, 1])))
    return None


def _straightness(loop: _Loop, begin: Floats, end: Floats) -> Floats:
    """Chord by length of stretches of a loop: 1 where straight."""
    chord = np.hypot(*(loop.at(end) - loop.at(begin)).T)
    return np.asarray(chord / np.maximum(end - begin, _HAIR), np.float64)


def _beside(loop: _Loop, half: float, spacing: float) -> Floats:
    """Stations just beside the openings there are."""
    room = _room(loop, spacing) + half + 10 * _HAIR
    places = [place for low, high, _ in loop.openings for place in (low - room, high + room)]
    return np.mod(np.array(places, np.float64), loop.length)


def _room(loop: _Loop, spacing: float) -> float:
    return min(_APART * spacing, loop.length / 10)


def _apart(loop: _Loop, low: Floats, high: Floats, spacing: float) -> npt.NDArray[np.bool_]:
    """Whether openings would keep their distance from those there are."""
    clear = np.ones(len(low), bool)
    room = _room(loop, spacing)
    for start, end, _ in loop.openings:
        # forward from the end of the one to the start of the other, both ways round
        gap = np.mod(low - end, loop.length), np.mod(start - high, loop.length)
        clear &= (gap[0] >= room) & (gap[1] >= room)
        clear &= gap[0] + gap[1] <= loop.length
    return clear


def _wish(outer: _Loop, inner: _Loop) -> Floats:
    """Where a gate should lie: gates in a row zigzag between two places."""
    for place in (outer.before, outer.came, inner.before, inner.came):
        if place is not None:
            return place
    return np.asarray(outer.points.min(axis=0))


def _open(loops: list[_Loop], gate: _Gate, number: int) -> None:
    one, other = (loops[k] for k in gate.loops)
    one.openings.append((*gate.first, number))
    low, high = gate.second
    span = high - low
    span -= other.length * round(span / other.length)
    start = low if span > 0 else high
    other.openings.append((start, start + abs(span), number))
    place = one.at(sum(gate.first) / 2)[0]
    fresh, known = (one, other) if one.came is None else (other, one)
    if fresh.came is None:
        fresh.before = known.came
        fresh.came = place
    if known.came is None:
        known.came = place


def _walk(loops: list[_Loop], gates: list[_Gate], spacing: float) -> list[Floats]:
    """Follow rings and gates until every stretch is used."""
    follow: dict[tuple[int, int, bool], tuple[int, int, bool]] = {}
    openings = [sorted(loop.openings) for loop in loops]
    spot = {
        (k, number): position
        for k, mine in enumerate(openings)
        for position, (_, _, number) in enumerate(mine)
    }
    for number, gate in enumerate(gates):
        a, b = gate.loops
        span = gate.second[1] - gate.second[0]
        same = span - loops[b].length * round(span / loops[b].length) > 0
        for high in (False, True):
            there = high if same else not high
            follow[a, spot[a, number], high] = (b, spot[b, number], there)
            follow[b, spot[b, number], there] = (a, spot[a, number], high)
    lines = [loop.points for loop, mine in zip(loops, openings, strict=True) if not mine]
    used: set[tuple[int, int]] = set()
    for k, mine in enumerate(openings):
        for position in range(len(mine)):
            if (k, position) in used:
                continue
            pieces = []
            loop, at, from_high = k, position, True
            # a stretch is known by the opening before it
            while (loop, at if from_high else (at - 1) % len(openings[loop])) not in used:
                here = openings[loop]
                first = at if from_high else (at - 1) % len(here)
                last = (first + 1) % len(here)
                used.add((loop, first))
                piece = loops[loop].piece(*_stretch(here, first, last, loops[loop].length))
                pieces.append(piece if from_high else piece[::-1])
                end = (loop, last, False) if from_high else (loop, first, True)
                loop, at, from_high = follow[end]
            lines.append(rounded(pieces, spacing))
    return lines


def _stretch(
    here: list[tuple[float, float, int]], first: int, last: int, length: float
) -> tuple[float, float]:
    start = here[first][1]
    return start, start + float(np.mod(here[last][0] - start, length))
