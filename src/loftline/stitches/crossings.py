"""Stitches that step over crossings, so that the needle never enters twice in one place.

A line is sewn in stitches of nearly one length, and where it meets another the meeting place
should lie in the middle of a stitch: then the holes of the two lines are half a stitch from it,
each on its own line. Lengths may differ by 9.5 % for that, less than the tenth that is promised,
and are never longer than asked for.

Between crossings the stitches are even, so a plan is the stretching of each of these pieces. The
best one is found by dynamic programming (Bellman 1957; over the phase of the stitch at each
crossing, in sixteenths), for all lines at once. Where two lines miss their wish at the same
place, one of them is planned again, with its heart set on that place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftline.values import Bools, Floats, Ints

_PHASES = 16
_BAND = 1.095
"""Most stitches by least, on the same length."""

_OFF, _CENTRE = 10.0, 0.2
"""Prices of lying off the wish by more than is free, and by anything."""

_FEWEST = 3
"""A shorter span is left even: its stitches are fixed by its ends."""

_ROUNDING = 1e-5
_AGAIN = 3
_FAR = 0.3
"""Of a stitch: so far from its wish a line has missed it."""

_HEART, _EASE = 5.0, 0.05
"""How much more a place matters where others miss it too, and how much where none does."""

_SHORT = 20
"""A span of no more stitches may get one more for the sake of its crossings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Pieces of spans, from crossing to crossing, span by span.

    Attributes:
        need: ``(p,)`` stitches wished for on each piece, a real number.
        first: ``(s + 1,)`` offsets of the spans.
        count: ``(s,)`` stitches of each span when it is left even.
        most: ``(s,)`` most stitches that it can have.
        node: ``(p,)`` the crossing at the end of each piece; -1 at a span's end, a hole.
        matters: ``(p,)`` how much it matters.
        wanted: ``(p,)`` phase wanted there.
        free: ``(p,)`` how far off it may lie at no price.
    """

    need: Floats
    first: Ints
    count: Floats
    most: Floats
    node: Ints
    matters: Floats
    wanted: Floats
    free: Floats


def step_over(pieces: Pieces) -> Floats:
    """Stitches on each piece, so that crossings lie inside stitches.

    Returns:
        ``(p,)`` real numbers, whole in sum over each span.
    """
    size = np.diff(pieces.first)
    total = np.add.reduceat(pieces.need, pieces.first[:-1])
    with np.errstate(divide="ignore", invalid="ignore"):
        even = np.where(total > 0, pieces.count / total, 1.0)
    out: Floats = pieces.need * np.repeat(even, size)
    able = (size > 1) & (pieces.count >= _FEWEST) & (even >= 1.0 - _ROUNDING)
    if not able.any():
        return out
    _solve(pieces, np.flatnonzero(able), pieces.count, total, out)
    owner = np.repeat(np.arange(len(size)), size)
    for _ in range(_AGAIN):
        missed = _missed(pieces, out, owner)
        clashes = np.bincount(pieces.node[missed], minlength=int(pieces.node.max()) + 1)
        others = clashes[pieces.node] - missed
        bad = np.flatnonzero(missed & (others > 0))
        if not len(bad):
            break
        _, kept = np.unique(pieces.node[bad], return_index=True)
        chosen = np.unique(owner[np.delete(bad, kept)])
        chosen = chosen[able[chosen]]
        if not len(chosen):
            break
        eased = pieces.matters * np.where(others > 0, _HEART, _EASE)
        wishes = replace(pieces, matters=eased)
        cost = _solve(wishes, chosen, pieces.count, total, out)
        more = (pieces.count[chosen] <= _SHORT) & (pieces.count[chosen] < pieces.most[chosen])
        other = out.copy()
        longer = _solve(wishes, chosen[more], pieces.count + 1, total, other)
        better = np.isin(owner, chosen[more][longer < cost[more] / 2])
        out[better] = other[better]
    return out


def _missed(pieces: Pieces, steps: Floats, owner: Ints) -> Bools:
    """Crossings whose wish is missed by much, as things stand."""
    place = np.cumsum(steps)
    begin = pieces.first[:-1]
    place -= (place[begin] - steps[begin])[owner]
    off = np.abs((place - pieces.wanted + 0.5) % 1.0 - 0.5)
    return np.asarray((off > _FAR) & (pieces.matters > 0), np.bool_)


def _solve(pieces: Pieces, spans: Ints, count: Floats, total: Floats, out: Floats) -> Floats:
    """Plan some spans of about so many stitches into ``out``; what each of them costs."""
    if not len(spans):
        return np.empty(0)
    size = np.diff(pieces.first)[spans]
    # longest first: those with a piece of some number are then the first of them
    order = np.argsort(-size, kind="stable")
    spans = spans[order]
    even = count[spans] / total[spans]
    task = _Task(pieces, pieces.first[:-1][spans], size[order], even)
    cost = np.empty(len(spans))
    cost[order] = task.solve(out)
    return cost


class _Task:
    """The dynamic programme: the phase of each crossing beside that of even stitches."""

    def __init__(self, pieces: Pieces, first: Ints, size: Ints, even: Floats) -> None:
        self.pieces, self.first, self.size, self.even = pieces, first, size, even
        # no stitch longer than asked for; of a short span all are shorter, and vary both ways
        self.least = np.maximum(np.minimum(even, 1.0), even / np.sqrt(_BAND))
        self.most = self.least * _BAND
        steps = np.arange(int(size[0]))
        self.active = (len(size) - np.searchsorted(size[::-1], steps, side="right")).tolist()

    def solve(self, out: Floats) -> Floats:
        """Write the stitches of each piece; the price of every span."""
        start = np.full((_PHASES, len(self.first)), np.inf)
        start[0] = 0.0
        costs, tried = [start], []
        so_far = np.zeros(len(self.first))
        final = np.zeros(len(self.first))
        for t, n in enumerate(self.active):
            where = self.first[:n] + t
            so_far = so_far[:n] + self.pieces.need[where] * self.even[:n]
            ends = self.size[:n] == t + 1
            tried.append(self._shifts(where))
            costs.append(self._forward(costs[-1][:, :n], tried[-1], where, so_far, ends))
            final[:n][ends] = costs[-1][0, ends]
        phase = np.zeros(len(self.first), np.int64)
        for t in range(len(self.active) - 1, -1, -1):
            n = self.active[t]
            where = self.first[:n] + t
            shifts, price = tried[t]
            came = (phase[:n] - shifts[:, None]) % _PHASES
            best = np.argmin(costs[t][came, np.arange(n)] + price, axis=0)
            phase[:n] = came[best, np.arange(n)]
            out[where] = self.pieces.need[where] * self.even[:n] + shifts[best] / _PHASES
        return final

    def _shifts(self, where: Ints) -> tuple[Ints, Floats]:
        """Changes of phase that some piece allows, ``(k,)``, and their prices, ``(k, n)``."""
        n = len(where)
        long = self.pieces.need[where]
        low = np.ceil((self.least[:n] - self.even[:n]) * long * _PHASES - 1e-9)
        high = np.floor((self.most[:n] - self.even[:n]) * long * _PHASES + 1e-9)
        # a whole turn of the phase does nothing that a smaller one does not
        low, high = np.maximum(low, 1 - _PHASES // 2), np.minimum(high, _PHASES - 1)
        shifts = np.arange(int(low.min()), int(high.max()) + 1)
        change = shifts[:, None] / _PHASES
        with np.errstate(divide="ignore", invalid="ignore"):
            price = np.where(change == 0, 0.0, change * change / long)
        return shifts, np.where((shifts[:, None] >= low) & (shifts[:, None] <= high), price, np.inf)

    def _forward(
        self,
        cost: Floats,
        tried: tuple[Ints, Floats],
        where: Ints,
        so_far: Floats,
        ends: Bools,
    ) -> Floats:
        """Least price up to the end of the next piece, for every phase there."""
        shifts, price = tried
        twice = np.concatenate([cost, cost])
        found = np.full_like(cost, np.inf)
        for shift, extra in zip((shifts % _PHASES).tolist(), price, strict=True):
            at = _PHASES - shift
            np.minimum(found, twice[at : at + _PHASES] + extra, out=found)
        wanted, free = self.pieces.wanted[where], self.pieces.free[where]
        off = so_far - wanted + np.arange(_PHASES)[:, None] / _PHASES
        off = np.abs(off - np.rint(off))
        beyond = np.maximum(off - free, 0.0)
        found += self.pieces.matters[where] * (_OFF * beyond * beyond + _CENTRE * off * off)
        found[1:, ends] = np.inf
        return found
