"""The sew-through: the sewing order cut into lines, each with what is done at its start."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from loftline.swings import REACH_MM, ROUNDING_MM, TURN
from loftline.values import Floats, Ints, Kind, Plan, Sewn

MOST_LEGS: Final = 5000
"""More lines than that nobody walks through."""

SIDES: Final = (
    *("right", "upper right", "upper", "upper left"),
    *("left", "lower left", "lower", "lower right"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """What is sewn in one go, from one swing of the panel or change of kind to the next.

    Attributes:
        first, last: needle points, both included; it begins where the one before it ends.
        run: from 0.
        kind: of its stitches.
        length: mm.
        left: which edge or corner of the flat panel lies at the left of the needle as the maker
            sits, when the panel is turned so that the line comes towards her.
        so_far: share of all that is sewn up to its end.
    """

    first: int
    last: int
    run: int
    kind: Kind
    length: float
    left: str
    so_far: float

    @property
    def stitches(self) -> int:
        """How many."""
        return self.last - self.first


def make_legs(plan: Plan) -> tuple[Leg, ...]:
    """The lines of a plan in sewing order; ties belong to the line they lock. O(n)."""
    sewn = plan.sewn
    # lying outer fabric down, the side that is told lies at her other hand
    over = plan.project.quilting.sewn_from == "back"
    if len(sewn) < 2:
        return ()
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    step = np.diff(xy, axis=0)
    length = np.hypot(*step.T)
    length[sewn.run[1:] != sewn.run[:-1]] = 0.0
    along = np.append(0.0, np.cumsum(length))
    total = max(float(along[-1]), 1e-9)
    return tuple(
        Leg(
            first=a,
            last=b,
            run=int(sewn.run[b]),
            kind=Kind(int(kinds[b])),
            length=float(along[b] - along[a]),
            left=_left(-xy if over else xy, a, b),
            so_far=float(along[b]) / total,
        )
        for kinds in (_kinds(sewn),)
        for a, b in _spans(sewn, kinds, xy)
    )


def _kinds(sewn: Sewn) -> Ints:
    """Kinds with every tie counted to the line beside it in its run."""
    kinds = sewn.kind.copy()
    tie = kinds == Kind.TIE
    at = np.arange(len(kinds))
    before = np.maximum.accumulate(np.where(tie, -1, at))
    after = np.minimum.accumulate(np.where(tie, len(kinds), at)[::-1])[::-1]
    same_before = (before >= 0) & (sewn.run[np.maximum(before, 0)] == sewn.run)
    inside = np.minimum(after, len(kinds) - 1)
    same_after = (after < len(kinds)) & (sewn.run[inside] == sewn.run)
    kinds[tie & same_after] = kinds[inside][tie & same_after]
    at_end = tie & ~same_after & same_before
    kinds[at_end] = kinds[np.maximum(before, 0)][at_end]
    return kinds


def _spans(sewn: Sewn, kinds: Ints, xy: Floats) -> Iterator[tuple[int, int]]:
    """First and last needle point of each leg."""
    fresh = np.diff(sewn.run, prepend=-1) != 0
    changed = np.append(False, kinds[1:] != kinds[:-1]) & ~fresh
    breaks = np.flatnonzero(changed) - 1
    corners = _corners(sewn, xy)
    starts = np.unique(np.concatenate([np.flatnonzero(fresh), breaks, corners]))
    starts = starts[:MOST_LEGS]
    runs = sewn.run
    for i, a in enumerate(starts.tolist()):
        b = int(starts[i + 1]) if i + 1 < len(starts) else len(sewn) - 1
        if runs[b] != runs[a]:
            b -= 1
        if b > a:
            yield a, b


def _corners(sewn: Sewn, xy: Floats) -> Ints:
    """Needle points at which a straight line meets the next at a sharp angle, ties left out."""
    n = len(sewn)
    if n < 3:
        return np.empty(0, np.int64)
    same = (sewn.run[:-2] == sewn.run[2:]) & (sewn.kind[1:-1] != Kind.TIE)
    same &= sewn.kind[2:] != Kind.TIE
    before, after = xy[1:-1] - xy[:-2], xy[2:] - xy[1:-1]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = (before * after).sum(axis=1)
    sharp = same & (np.abs(np.degrees(np.arctan2(cross, dot))) >= TURN)
    found: Ints = np.flatnonzero(sharp) + 1
    # corners nearer than a swing's reach are one
    apart = np.hypot(*np.diff(xy[found], axis=0, prepend=np.inf).T) > REACH_MM + ROUNDING_MM
    chosen: Ints = found[apart]
    return chosen


def _left(xy: Floats, a: int, b: int) -> str:
    """The side of the flat panel at the maker's left while a leg begins."""
    ahead = min(b, a + 8)
    dx, dy = (xy[ahead] - xy[a]).tolist()
    if dx == 0 and dy == 0:
        dx, dy = (xy[b] - xy[a]).tolist()
    # the line comes towards her, so her left lies to the right of the way of sewing
    return SIDES[round(math.degrees(math.atan2(-dx, dy)) / 45) % 8]
