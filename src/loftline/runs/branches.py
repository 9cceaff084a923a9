"""Branch and cut: where the relaxation ends between two walks, each is looked into.

One edge walked in part is either walked less or more; each half is relaxed again, with all
cuts found so far and new ones, the most promising first. What is left open bounds what a
walk can cost, so that the search may end at any step with an honest gap (Land & Doig,
Econometrica 28, 1960; with cuts Padberg & Rinaldi, SIAM Review 33, 1991).
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable

import numpy as np

from loftline.runs.relaxation import Relaxation
from loftline.values import Floats, Ints

_CANDIDATES = 8
"""Edges that are tried before one is chosen to branch on."""

_IN_VAIN = 2
"""None more are tried after so many that are no better."""

_CUT_ROUNDS = 12
_WHOLE = 1e-6


def branch(
    relaxation: Relaxation,
    target: Callable[[], float],
    take: Callable[[Ints | None], None],
    round_off: Callable[[Floats], None],
    rounds: int,
    step: Callable[[int, int], None],
) -> float:
    """Search all walks of the relaxation's range.

    Args:
        relaxation: tightened as far as it goes.
        target: what a walk may cost at most to be of use, in thousandths.
        take: is given each walk found.
        round_off: is given some relaxed walks, to make walks of.
        rounds: how many programmes may be solved.
        step: progress callback ``(done, total)``.

    Returns:
        A proved bound: no walk that is of use costs less.
    """
    tree = _Tree(relaxation, target, rounds, step)
    low, high = relaxation.low.copy(), relaxation.high.copy()
    waiting: list[tuple[float, int, Ints, Ints]] = [(relaxation.bound, 0, low, high)]
    count = 0
    while waiting and not tree.spent:
        bound, _, low, high = heapq.heappop(waiting)
        if bound >= target():
            return bound
        # the first range is tightened already
        first = count == 0 and relaxation.settled
        found = bound if first else tree.look_into(low, high, bound)
        if relaxation.answer is not None:
            take(relaxation.answer)
        if found >= target() or relaxation.answer is not None:
            continue
        if count % 8 == 0 and not first:
            round_off(relaxation.walked)
        halves = tree.parted(low, high, found)
        if not halves:
            # whole but no walk, and no cut tells why: it stays open
            return min([found, *(w[0] for w in waiting)])
        for half in halves:
            count += 1
            if half[0] < target():
                heapq.heappush(waiting, (half[0], count, half[1], half[2]))
    return min([target(), *(w[0] for w in waiting)])


class _Tree:
    def __init__(
        self,
        relaxation: Relaxation,
        target: Callable[[], float],
        rounds: int,
        step: Callable[[int, int], None],
    ) -> None:
        self.relaxation = relaxation
        self.target = target
        self.rounds = rounds
        self.done = 0
        self.step = step

    @property
    def spent(self) -> bool:
        return self.done >= self.rounds

    def look_into(self, low: Ints, high: Ints, bound: float) -> float:
        """Relax one range with cuts; its bound."""
        relaxation = self.relaxation
        relaxation.within(low, high)
        last = bound
        for k in range(_CUT_ROUNDS):
            self.done += 1
            self.step(min(self.done, self.rounds), self.rounds)
            relaxation.tighten(self.target())
            bound = max(bound, relaxation.bound)
            if relaxation.settled or self.spent:
                break
            # cuts that gain little are left to the halves
            if k >= 3 and bound - last < 0.05 * (self.target() - bound):
                break
            last = bound
        return bound

    def parted(self, low: Ints, high: Ints, bound: float) -> list[tuple[float, Ints, Ints]]:
        """The two halves of a range, by the edge that lifts the lower of them most."""
        relaxation = self.relaxation
        x = relaxation.x.copy()
        off = np.abs(x - np.rint(x))
        part = np.flatnonzero(off > _WHOLE)
        if not len(part):
            return []
        merit = off[part] * np.sqrt(relaxation.cost[part] + 1.0)
        part = part[np.argsort(-merit, kind="stable")][:_CANDIDATES]
        best: tuple[float, list[tuple[float, Ints, Ints]]] = (-1.0, [])
        worse = 0
        for e in part.tolist():
            halves = []
            for lower in (True, False):
                new_low, new_high = low.copy(), high.copy()
                if lower:
                    new_high[e] = 0
                else:
                    new_low[e] = 1
                relaxation.within(new_low, new_high)
                self.done += 1
                self.step(min(self.done, self.rounds), self.rounds)
                there = relaxation.bound if relaxation.solve() else math.inf
                halves.append((max(bound, there), new_low, new_high))
            gains = [min(half[0], self.target()) - bound for half in halves]
            score = max(gains[0], 1.0) * max(gains[1], 1.0)
            worse += 1
            if score > best[0]:
                best, worse = (score, halves), 0
            if worse >= _IN_VAIN or min(gains) >= self.target() - bound:
                break
        return best[1]
