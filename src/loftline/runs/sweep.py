"""The least walk by a sweep from one end of a network to the other: exact where it is narrow.

Edges are taken one after another, walked not at all, once or twice. All that matters later
of what was chosen is the *state* at the front: which of its nodes are odd so far, and which
of its pieces hang together. Of walks with the same state the cheapest is kept (dynamic
programming along a path of separators; for connected choices of edges see Sekine, Imai &
Tani, Computing the Tutte polynomial of a graph of moderate size, ISAAC 1995; for tours Cook &
Seymour, Tour merging via branch-decomposition, INFORMS Journal on Computing 15, 2003).

What a state can still come to is bounded by the least T-join of the rest, found by the same
sweep backwards without the pieces; at the edges' costs, or at what is left of these by the
prices of cuts (a Lagrangian bound, as Held & Karp's of 1-trees, Operations Research 18,
1970). States that cannot be better than a walk that is known are dropped. A first sweep keeps
the most promising few, and finds a good walk by that; with it as what is known, wider sweeps
have little left to keep. The bound is the least that the states given up could have come to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftline.errors import Step
from loftline.runs.fronts import Front, Stage
from loftline.runs.rural import Rural
from loftline.values import Floats, Ints

FAR = float(1 << 52)
"""Cost of what cannot be."""

_BARE = 15
"""Label of a spot that no piece and no walk has touched."""

_FIRST, _WIDER = 250, 64
"""States that the first sweep keeps, and how many times more each one after it."""

ENOUGH = 1000
"""States to look at for each edge: channels seldom need a third of them."""

_OFTEN = 4000
"""States between two progress steps."""


_BITS = 63

_SURE = 0.1
"""Thousandths; costs are whole, and sums of prices far more exact than this."""

Labels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """What a sweep found.

    Attributes:
        walked: ``(m,)`` the best walk found; ``None`` where none is better than was known.
        bound: no walk costs less, in thousandths; the cost of the best one where it is proved.
        states: how many were looked at.
    """

    walked: Ints | None
    bound: int
    states: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """No walk costs less than ``base`` and what its edges come to.

    Attributes:
        once: ``(m,)`` thousandths for the first time an edge is walked; may be below 0.
        again: ``(m,)`` for the second.
        base: thousandths.
    """

    once: Floats
    again: Floats
    base: float


def sweep(
    rural: Rural,
    front: Front,
    known: int,
    *,
    prices: Prices | None = None,
    work: int,
    step: Step,
) -> Swept:
    """Find the least walk, or a good one and what it costs at least.

    Args:
        rural: the task.
        front: a narrow order of its edges.
        known: cost of the best walk known, in thousandths.
        prices: bound what a state can come to; the edges' costs if not given.
        work: how many states may be looked at; a million takes about a fifth of a second.
        step: progress callback.
    """
    if prices is None:
        plain = rural.cost.astype(float)
        prices = Prices(once=plain, again=plain, base=0.0)
    rest = _rest(rural, front, prices, step)
    left = work
    best = None
    bound, most = 0, _FIRST
    while True:
        states = _States(rural, front, prices, known, most)
        left -= _go_over(states, front, rest, left, step)
        walked, cost = states.walked()
        best = best if walked is None else walked
        known = cost
        bound = max(bound, min(known, states.given_up))
        most *= _WIDER
        if bound >= known or left <= 0:
            return Swept(walked=best, bound=bound, states=work - left)


def _go_over(states: _States, front: Front, rest: list[Floats], left: int, step: Step) -> int:
    """Sweep once, unless that takes more than is left; how many states were looked at."""
    count, seen, told = len(front.stages), 0, 0
    for k, stage in enumerate(front.stages):
        if seen >= told:
            step("joining", k, count)
            told = seen + _OFTEN
        seen += states.go_over(stage, rest[k + 1])
        if seen > left:
            states.give_up()
            break
    return seen


def _rest(rural: Rural, front: Front, prices: Prices, step: Step) -> list[Floats]:
    """Least price of evening out what is odd, from before each edge to the end."""
    once = prices.once.tolist()
    twice = np.where(rural.most == 2, np.minimum(prices.once + prices.again, 0.0), 0.0).tolist()
    here = np.full(1, prices.base)
    tables = [here]
    for k in reversed(range(len(front.stages))):
        if k % _OFTEN == 0:
            step("joining", 0, len(front.stages))
        stage = front.stages[k]
        before = front.stages[k - 1].open if k else 0
        # bits are the lowest that are free, so that tables are mostly short
        parity = np.arange(1 << (before | stage.bits | stage.open).bit_length())
        here = np.concatenate([here, np.full(len(parity) - len(here), FAR)])
        if stage.done:
            here = np.where(parity & stage.done, FAR, here)
        odd = here[parity ^ stage.bits] + once[stage.edge]
        here = np.minimum(here + twice[stage.edge], odd)
        here = here[parity[: 1 << before.bit_length()] | stage.opened]
        tables.append(here)
    return tables[::-1]


class _States:
    """All states at the front, each with the cheapest way to it.

    A label is the lowest place among those that hang together, so that equal states look
    equal.
    """

    def __init__(self, rural: Rural, front: Front, prices: Prices, known: int, most: int) -> None:
        self._rural = rural
        self._front = front
        self._known = known
        self._most = most
        self._cost_of = rural.cost.tolist()
        zero = np.zeros(len(rural.u))
        self._price_of = np.column_stack([zero, prices.once, prices.once + prices.again])
        self._twice = (rural.most == 2).tolist()
        self._parity = np.zeros(1, np.int64)
        self._label: Labels = np.full((front.spots, 1), _BARE, np.uint8)
        self._label[0] = 0
        self._cost = np.zeros(1, np.int64)
        self._price = np.zeros(1)
        self._least = np.zeros(1)
        self._weight = 1 << (4 * np.arange(front.spots))
        # most states fit into one number, which sorts quicker than two
        self._shift = front.nodes if front.nodes + 4 * front.spots < _BITS else 0
        self._chosen: list[tuple[NDArray[np.int32], NDArray[np.int8]]] = []
        self.given_up = known

    def go_over(self, stage: Stage, rest: Floats) -> int:
        """Choose how often an edge is walked; how many states there were to look at."""
        label = self._label
        for place, piece in stage.begun:
            label[place] = place if piece else _BARE
        before = self._parity | stage.opened
        one, other = label[stage.places[0]], label[stage.places[1]]
        even = before & stage.done == 0
        odd = (before ^ stage.bits) & stage.done == 0
        sources = [np.flatnonzero(even), np.flatnonzero(odd)]
        if self._twice[stage.edge]:
            # what hangs together already gains nothing by it
            sources.append(np.flatnonzero(even & ((one != other) | (one == _BARE))))
        source = np.concatenate(sources)
        times = np.repeat(np.arange(len(sources)), [len(part) for part in sources])
        parity = before[source] ^ np.where(times == 1, stage.bits, 0)
        cost = self._cost[source] + self._cost_of[stage.edge] * times
        price = self._price[source] + self._price_of[stage.edge][times]
        least = price + rest[parity]
        looked_at = len(source)
        good = least < self._known - _SURE
        if not good.all():
            source, times, parity = source[good], times[good], parity[good]
            cost, price, least = cost[good], price[good], least[good]
        label = label[:, source]
        _merge(label, stage.places, times > 0)
        kept = _end(label, stage.ended)
        if kept is not None:
            source, times, parity = source[kept], times[kept], parity[kept]
            cost, price, least, label = cost[kept], price[kept], least[kept], label[:, kept]
        if stage.done or stage.ended:
            # what was told apart by them may be alike now
            key = self._weight @ label
            if self._shift:
                key = (key << self._shift) + parity
                order = np.lexsort((cost, key))
                fresh = np.diff(key[order]) != 0
            else:
                order = np.lexsort((cost, parity, key))
                fresh = (np.diff(key[order]) != 0) | (np.diff(parity[order]) != 0)
            order = order[np.append(True, fresh)[: len(order)]]
        else:
            order = np.arange(len(source))
        if len(order) > self._most:
            ranked = order[np.argsort(least[order], kind="stable")]
            self.given_up = min(self.given_up, _whole(least[ranked[self._most]]))
            order = np.sort(ranked[: self._most])
        self._label = label[:, order]
        self._parity, self._cost = parity[order], cost[order]
        self._price, self._least = price[order], least[order]
        self._chosen.append((source[order].astype(np.int32), times[order].astype(np.int8)))
        return looked_at

    def give_up(self) -> None:
        """Go no further."""
        if len(self._least):
            self.given_up = min(self.given_up, _whole(self._least.min()))
        self._cost = self._cost[:0]

    def walked(self) -> tuple[Ints | None, int]:
        """The best walk, if it is better than what was known, and its cost or the known one."""
        if not len(self._cost):
            return None, self._known
        state = int(self._cost.argmin())
        cost = int(self._cost[state])
        walked = np.zeros(len(self._rural.u), np.int64)
        for stage, (source, times) in zip(
            reversed(self._front.stages), reversed(self._chosen), strict=True
        ):
            walked[stage.edge] = times[state]
            state = int(source[state])
        return walked, cost


def _whole(least: float) -> int:
    return max(0, math.ceil(least - _SURE))


def _merge(label: Labels, places: tuple[int, int], on: NDArray[np.bool_]) -> None:
    """Let the spots at two places hang together where an edge between them is walked."""
    for place in places:
        row = label[place]
        row[on & (row == _BARE)] = place
    one, other = label[places[0]], label[places[1]]
    apart = np.flatnonzero(on & (one != other))
    if len(apart):
        low, high = np.minimum(one, other)[apart], np.maximum(one, other)[apart]
        part = label[:, apart]
        label[:, apart] = np.where(part == high, low, part)


def _end(label: Labels, ended: tuple[int, ...]) -> NDArray[np.bool_] | None:
    """Take spots out of the front; the states that leave nothing behind them."""
    kept: NDArray[np.bool_] | None = None
    for place in ended:
        row = label[place]
        same = label == row
        same[place] = False
        held = same.any(axis=0)
        renamed = np.flatnonzero(held & (row == place))
        fine = held | (row == _BARE)
        if len(renamed):
            part = label[:, renamed]
            label[:, renamed] = np.where(part == place, same[:, renamed].argmax(axis=0), part)
        label[place] = _BARE
        kept = fine if kept is None else kept & fine
    return kept
