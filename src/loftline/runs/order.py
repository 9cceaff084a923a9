"""The order of lines that touch nothing but ways: a travelling salesman over line ends.

Each line is a city with two ends; a thread cut is a way round for any two ends. Search by
reversals (2-opt) and by moving up to three lines elsewhere (or-opt), from several starts,
with small seeded kicks (iterated local search).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

import numpy as np

from loftline.runs.joining import Terminals
from loftline.runs.parity import HUB
from loftline.values import Ints

_NEIGHBOURS = 6
_LONGEST_MOVE = 3
_WINDOW = 30
_SLACK = 0.3
_KICKS_A_STEP = 200


class Order:
    """A sequence of lines with directions, as the list of their ends in sewing order."""

    def __init__(self, terminals: Terminals, other: list[int]) -> None:
        if terminals.ends is None:
            raise ValueError("the order of lines needs a price for a thread cut")
        self.other = other
        count = len(terminals.component)
        # the last row and column are the hub's, which is what index -1 finds
        self.ends = np.append(terminals.ends, 0)
        self.cost: list[list[int]] = (self.ends[:, None] + self.ends).tolist()
        self.cut = 2 * int(np.median(terminals.ends))
        self.near: list[list[int]] = [[] for _ in range(count)]
        near = terminals.near
        for a, b, c in zip(
            near.first.tolist(), near.second.tolist(), near.cost.tolist(), strict=True
        ):
            self.cost[a][b] = self.cost[b][a] = c
            self.near[a].append(b)
            self.near[b].append(a)
        for row, close in zip(self.cost, self.near, strict=False):
            close.sort(key=lambda t, row=row: (row[t], t))  # type: ignore[misc]
            del close[_NEIGHBOURS:]

    def total(self, ends: list[int]) -> int:
        """Cost of all links of a sequence, the first and last run ends counted."""
        inner = sum(self.cost[a][b] for a, b in zip(ends[1:-1:2], ends[2::2], strict=True))
        return inner + self.cost[HUB][ends[0]] + self.cost[HUB][ends[-1]]

    def search(
        self,
        ends: list[int],
        kicks: int,
        rng: np.random.Generator,
        goal: int,
        pause: Callable[[], None] | None = None,
    ) -> list[int]:
        """Iterated local search from a sequence; never worse than where it began.

        Args:
            ends: where to begin.
            kicks: how many disturbances are tried.
            rng: for the disturbances.
            goal: a proved bound; the search ends when it is met.
            pause: called now and then; it may raise to stop the work.
        """
        here = _Sequence(self, ends)
        here.improve(list(ends))
        cost = least = self.total(here.ends)
        best = here.ends
        lines = len(ends) // 2
        size = min(lines, _WINDOW)
        kicks = kicks if lines > 3 else 0
        for kick in range(kicks):
            if least <= goal:
                break
            if pause is not None and kick % _KICKS_A_STEP == 0:
                pause()
            # at first a little worse is taken too, so that the search leaves its first valley
            slack = int(_SLACK * self.cut * (1 - kick / kicks))
            start = int(rng.integers(0, lines - size + 1))
            cuts = np.sort(rng.choice(size + 1, 3, replace=False)) + start
            trial = _Sequence(self, here.ends)
            change = trial.swap(*(2 * cuts).tolist()) - trial.improve(trial.loose)
            if cost + change <= least + slack:
                here, cost = trial, cost + change
            if cost < least:
                best, least = here.ends, cost
        return best


class _Sequence:
    """A sequence under improvement, with the position of each end.

    Each end has one link: to the end before it when its position is even, to the one after
    it when odd, to the hub at the very first and last.
    """

    def __init__(self, order: Order, ends: list[int]) -> None:
        self.order = order
        self.ends = list(ends)
        self.position = [0] * len(ends)
        for i, t in enumerate(ends):
            self.position[t] = i
        self.loose: list[int] = []

    def _put(self, low: int, stretch: list[int]) -> None:
        self.ends[low : low + len(stretch)] = stretch
        for k, t in enumerate(stretch, low):
            self.position[t] = k

    def _at(self, i: int) -> int:
        return self.ends[i] if 0 <= i < len(self.ends) else HUB

    def swap(self, i: int, j: int, k: int) -> int:
        """Swap the stretches [i, j) and [j, k); the added cost."""
        ends, cost = self.ends, self.order.cost
        before, after = self._at(i - 1), self._at(k)
        a, b, c, d = ends[i], ends[j - 1], ends[j], ends[k - 1]
        old = cost[before][a] + cost[b][c] + cost[d][after]
        self._put(i, ends[j:k] + ends[i:j])
        self.loose = [t for t in (before, a, b, c, d, after) if t != HUB]
        return cost[before][c] + cost[d][a] + cost[b][after] - old

    def improve(self, waiting: list[int]) -> int:
        """Reversals and moves around the waiting ends until none helps; the gain."""
        total = 0
        queue = deque(waiting)
        queued = set(waiting)
        while queue:
            t = queue.popleft()
            queued.discard(t)
            gain, touched = self._better(t)
            if gain:
                total += gain
                for x in (t, *touched):
                    if x != HUB and x not in queued:
                        queued.add(x)
                        queue.append(x)
        return total

    def _better(self, t: int) -> tuple[int, tuple[int, ...]]:  # noqa: C901 - the hot loop
        """Apply the first improving change that gives ``t`` a nearer link."""
        ends, position, cost = self.ends, self.position, self.order.cost
        row = cost[t]
        i = position[t]
        count = len(ends)
        p = self._at(i + 1 if i % 2 else i - 1)
        have = row[p]
        stretches: list[tuple[int, int, int, int, int]] | None = None
        for c in self.order.near[t]:
            gain = have - row[c]
            if gain <= 0:
                break
            if c == p:
                continue
            j = position[c]
            k = j + 1 if j % 2 else j - 1
            q = ends[k] if 0 <= k < count else HUB
            kept = gain + cost[c][q]
            if i % 2 == j % 2:
                more = kept - cost[p][q]
                if more > 0:
                    low, high = (i + 1, j) if i < j else (j + 1, i)
                    if i % 2 == 0:
                        low, high = low - 1, high - 1
                    self._put(low, ends[low : high + 1][::-1])
                    return more, (p, c, q)
            if stretches is None:
                stretches = self._stretches(i, p)
            for low, high, s, beyond, freed in stretches:
                if low <= j <= high:
                    break
                more = kept + freed - cost[s][q]
                if more > 0 and q != s:
                    self._shift(low, high, c, t)
                    return more, (p, s, beyond, c, q)
        return 0, ()

    def _stretches(self, i: int, p: int) -> list[tuple[int, int, int, int, int]]:
        """Stretches of one to three lines that begin at position ``i``, away from its link.

        Each with its bounds, its far end, what lies beyond, and what closing the gap saves.
        """
        cost = self.order.cost
        way = 1 if i % 2 == 0 else -1
        found = []
        for size in range(1, _LONGEST_MOVE + 1):
            far = i + way * (2 * size - 1)
            if not 0 <= far < len(self.ends):
                break
            s, beyond = self.ends[far], self._at(far + way)
            if p == beyond == HUB:
                continue
            saved = cost[s][beyond] - cost[p][beyond]
            found.append((min(i, far), max(i, far), s, beyond, saved))
        return found

    def _shift(self, low: int, high: int, c: int, head: int) -> None:
        piece = self.ends[low : high + 1]
        j = self.position[c]
        if j > high:
            between = self.ends[high + 1 : j + 1 if j % 2 else j]
            after_c = bool(j % 2)
            stretch = piece if (piece[0] == head) == after_c else piece[::-1]
            self._put(low, between + stretch)
        else:
            start = j + 1 if j % 2 else j
            between = self.ends[start:low]
            after_c = bool(j % 2)
            stretch = piece if (piece[0] == head) == after_c else piece[::-1]
            self._put(start, stretch + between)


def serpentine(order: Order, lines: list[int]) -> list[int]:
    """Lines in the order given, each entered at the end nearer to the last one's exit."""
    ends: list[int] = []
    for t in lines:
        u, v = t, order.other[t]
        if ends and order.cost[ends[-1]][v] < order.cost[ends[-1]][u]:
            u, v = v, u
        ends += [u, v]
    return ends


def from_links(links: Ints, other: list[int]) -> list[int]:
    """The sequence that connected links describe."""
    following: dict[int, int] = {}
    starts: list[int] = []
    for a, b in links.tolist():
        if b == HUB:
            starts.append(a)
        elif a == HUB:
            starts.append(b)
        else:
            following[a] = b
            following[b] = a
    ends: list[int] = []
    seen: set[int] = set()
    for start in sorted(starts):
        t = start
        while t not in seen:
            seen |= {t, other[t]}
            ends += [t, other[t]]
            if other[t] not in following:
                break
            t = following[other[t]]
    return ends


def to_links(ends: list[int], order: Order) -> Ints:
    """Links of a sequence; a gap as dear as a thread cut becomes two run ends."""
    links = [(HUB, ends[0])]
    for a, b in zip(ends[1:-1:2], ends[2::2], strict=True):
        if order.cost[a][b] >= order.ends[a] + order.ends[b]:
            links += [(a, HUB), (HUB, b)]
        else:
            links.append((a, b))
    links.append((ends[-1], HUB))
    return np.array(links, np.int64)
