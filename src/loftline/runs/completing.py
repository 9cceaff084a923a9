"""A walk through a smaller task made one through the whole: which steps, and what is sewn again.

The smaller task tells which stretches of rings are joined by one step, by two, by none. Of
the steps between two stretches one is chosen, so that little of the rings beside them need be
sewn over again: along rings that two single steps meet, one behind the other, by dynamic
programming (Viterbi, IEEE Transactions on Information Theory 13, 1967), the rest being as it
is; and so for each such chain in turn, until nothing is gained.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loftline.runs.between import Contracted
from loftline.runs.rounds import FAR
from loftline.runs.rural import Rural
from loftline.runs.stretched import Loop, Span, Stretched
from loftline.values import Ints

_PASSES = 4
"""So often all chains are looked at."""

_FREE = 0.5e3
"""Thousandths that are not worth a cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Completed:
    """A walk through a whole task.

    Attributes:
        walked: ``(m,)`` how often each edge is walked.
        cost: of that, in thousandths.
        passed: loops that the smaller task passed along for too little, with where and by how
            much.
    """

    walked: Ints
    cost: int
    passed: list[tuple[int, Loop, list[Span]]]


def complete(stretched: Stretched, parted: Contracted, walked: Ints) -> Completed:
    """Make a walk through the whole task.

    Args:
        stretched: the whole task and its loops.
        parted: the smaller task of :attr:`Stretched.name`.
        walked: through the smaller one.
    """
    rural = stretched.rural
    loop = stretched.loop
    real = parted.edge
    inner = (loop[rural.u[real]] == loop[rural.v[real]]) & (loop[rural.u[real]] >= 0)
    single = real[(walked % 2 == 1) & ~inner]
    chosen = _Choice(stretched, single).settled()
    out = np.zeros(len(rural.u), np.int64)
    np.add.at(out, chosen, 1)
    out[real[(walked == 2) & ~inner]] += 2
    odd = _odd(rural, chosen)
    paid = np.zeros(len(stretched.loops))
    np.add.at(paid, loop[rural.u[real[inner]]], (rural.cost[real] * walked)[inner])
    passed = []
    for k, each in enumerate(stretched.loops):
        cost, spans = joined(each, np.flatnonzero(odd[each.nodes]))
        for span in spans:
            out[each.edge[each.places(span)]] += 1
        if cost - paid[k] > _FREE:
            passed.append((int(cost - paid[k]), each, spans))
    return Completed(walked=out, cost=int(rural.cost @ out), passed=passed)


def joined(loop: Loop, odd: Ints) -> tuple[int, list[Span]]:
    """The cheapest way to even out places on a loop, an even number of them."""
    if not len(odd) or len(odd) % 2:
        return (FAR if len(odd) else 0), []
    after = np.roll(odd, -1)
    gap = loop.far[after] - loop.far[odd]
    gap[-1] += loop.far[-1]
    first, second = int(gap[::2].sum()), int(gap[1::2].sum())
    start = 0 if first <= second else 1
    spans = list(zip(odd[start::2].tolist(), after[start::2].tolist(), strict=True))
    return min(first, second), spans


def _odd(rural: Rural, edges: Ints) -> Ints:
    out = rural.odd.astype(np.int64)
    np.add.at(out, rural.u[edges], 1)
    np.add.at(out, rural.v[edges], 1)
    return out % 2


class _Choice:
    """Which step stands for each single one of the smaller task."""

    def __init__(self, stretched: Stretched, single: Ints) -> None:
        self._stretched = stretched
        self._rural = rural = stretched.rural
        self._chosen = single.copy()
        name = stretched.name
        low, high = np.sort([name[rural.u], name[rural.v]], axis=0)
        key = low * (int(name.max()) + 1) + high
        order = np.argsort(key, kind="stable")
        begin = np.searchsorted(key[order], key[single])
        end = np.searchsorted(key[order], key[single], side="right")
        self._open = [order[a:b] for a, b in zip(begin.tolist(), end.tolist(), strict=True)]
        self._odd = _odd(rural, single)
        # the single steps that meet each loop
        self._met: dict[int, list[int]] = {}
        for k, edge in enumerate(single.tolist()):
            for where in (rural.u[edge], rural.v[edge]):
                if stretched.loop[where] >= 0:
                    self._met.setdefault(int(stretched.loop[where]), []).append(k)

    def settled(self) -> Ints:
        """The chosen edges, once no chain gains by another choice."""
        chains = list(self._chains())
        for _ in range(_PASSES):
            before = self._chosen.copy()
            for links, loops in chains:
                self._choose(links, loops)
            if (before == self._chosen).all():
                break
        return self._chosen

    def _chains(self) -> Iterator[tuple[list[int], list[int]]]:
        """Links one behind the other, and the loops before, between and behind them.

        Between two links lies a loop that they alone meet.
        """
        done: set[int] = set()
        for k in range(len(self._chosen)):
            if k in done:
                continue
            ends = self._loops(k)
            one, first = self._along(k, ends[0], {k})
            other, last = self._along(k, ends[1], {k, *one})
            links = [*reversed(one), k, *other]
            done.update(links)
            yield links, [*reversed(first), *last]

    def _loops(self, link: int) -> tuple[int, int]:
        edge = self._chosen[link]
        loop = self._stretched.loop
        return int(loop[self._rural.u[edge]]), int(loop[self._rural.v[edge]])

    def _along(self, link: int, loop: int, seen: set[int]) -> tuple[list[int], list[int]]:
        """Links and loops on from one, as far as a chain goes."""
        links, loops = [], [loop]
        while loop >= 0 and len(self._met[loop]) == 2:
            link = next((k for k in self._met[loop] if k != link), link)
            if link in seen:
                break
            seen.add(link)
            a, b = self._loops(link)
            loop = b if a == loop else a
            links.append(link)
            loops.append(loop)
        return links, loops

    def _choose(self, links: list[int], loops: list[int]) -> None:
        """The best choice along one chain, all others as they are."""
        rural = self._rural
        for link in links:
            self._toggle(int(self._chosen[link]))
        best: list[Ints] = []
        cost, before = np.zeros(0), np.zeros(0, np.int64)
        for k, link in enumerate(links):
            edges = self._open[link]
            here, there = self._places(edges, loops[k]), self._places(edges, loops[k + 1])
            own = rural.cost[edges].astype(float)
            if k:
                step = cost[:, None] + self._apart(loops[k], before, here)
                best.append(step.argmin(axis=0))
                cost = step.min(axis=0) + own
            else:
                cost = own + self._alone(loops[0], here)
            before = there
        cost = cost + self._alone(loops[-1], before)
        at = int(cost.argmin())
        for k in reversed(range(len(links))):
            self._chosen[links[k]] = self._open[links[k]][at]
            if k:
                at = int(best[k - 1][at])
        for link in links:
            self._toggle(int(self._chosen[link]))

    def _toggle(self, edge: int) -> None:
        self._odd[self._rural.u[edge]] ^= 1
        self._odd[self._rural.v[edge]] ^= 1

    def _places(self, edges: Ints, loop: int) -> Ints:
        """Where on a loop each edge ends; -1 where it does not."""
        out = np.full(len(edges), -1)
        if loop >= 0:
            for end in (self._rural.v[edges], self._rural.u[edges]):
                on = self._stretched.loop[end] == loop
                out[on] = self._stretched.place[end[on]]
        return out

    def _apart(self, loop: int, one: Ints, other: Ints) -> Ints:
        """Cost from places to places round a loop, the cheaper way."""
        far = self._stretched.loops[loop].far
        gap = np.abs(far[one][:, None] - far[other][None, :])
        return np.asarray(np.minimum(gap, far[-1] - gap))

    def _alone(self, loop: int, places: Ints) -> Ints:
        """Cost of evening out a loop with one more odd place."""
        out = np.zeros(len(places), np.int64)
        if loop < 0:
            return out
        each = self._stretched.loops[loop]
        odd = self._odd[each.nodes]
        known: dict[int, int] = {}
        for i, place in enumerate(places.tolist()):
            if place not in known:
                odd[place] ^= 1
                known[place] = joined(each, np.flatnonzero(odd))[0]
                odd[place] ^= 1
            out[i] = known[place]
        return out
