"""One network while it is being planned: its graph, its pieces, the least T-join."""

from __future__ import annotations

import numpy as np

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.leaving import Leaving
from loftline.runs.parity import (
    HUB,
    MICRO,
    Graph,
    Near,
    make_graph,
    match_closed,
    match_with_hub,
    near_pairs,
    needed_near_pairs,
    trace,
)
from loftline.runs.rural import Rural, make_rural
from loftline.values import Bools, Floats, Ints

_NO_LIMIT = 1e15

_NEAR_LIMIT = 240_000.0
"""Thousandths: where ends of runs are very dear, the first limit of what counts as near."""


class Task:
    """A network with what its plan must fulfil; costs in whole thousandths.

    Attributes:
        n: number of nodes; numbers without gaps.
        u, v, cost, required: the edges.
        ends: ``(n,)`` what a run's end costs at each node; ``None`` asks for a closed tour.
        price: ``(n,)`` the same where travel to a cheaper place is allowed.
        piece: ``(n,)`` piece of required edges each node lies in, -1 for none.
        pieces: how many there are.
        odd: nodes of odd degree.
    """

    def __init__(
        self,
        u: Ints,
        v: Ints,
        cost: Floats,
        required: Bools,
        end_cost: Floats | None,
        once: Bools | None,
    ) -> None:
        # nodes named by the edges only, so that their numbers may have gaps
        names, ends = np.unique(np.concatenate([u, v]), return_inverse=True)
        self.n = len(names)
        self.u, self.v = ends[: len(u)], ends[len(u) :]
        self.cost = np.rint(cost * MICRO).astype(np.int64)
        self.required = required
        self.may = np.ones(len(u), bool) if once is None else ~np.asarray(once, bool)
        self.graph: Graph = make_graph(self.n, self.u, self.v, self.cost, once)
        needed = np.flatnonzero(required)
        degree = np.bincount(np.concatenate([self.u[needed], self.v[needed]]), minlength=self.n)
        label = components(self.n, self.u[needed], self.v[needed])
        self.piece = np.full(self.n, -1)
        used, inverse = np.unique(label[degree > 0], return_inverse=True)
        self.piece[degree > 0] = inverse
        self.pieces = len(used)
        self.degree = degree
        self.odd = np.flatnonzero(degree % 2 == 1)
        self.end_cost = None if end_cost is None else end_cost[names]
        self.ends: Ints | None = None
        self.price: Ints | None = None
        self.limit = _NO_LIMIT
        self._leaving: Leaving | None = None
        self._rural: Rural | None = None
        if self.end_cost is not None:
            self.ends = np.rint(self.end_cost * MICRO).astype(np.int64)
            self._leaving = Leaving.of(self.graph, self.ends)
            self.price = self._leaving.price
            self.limit = 2.0 * float(self.price.max())

    def least_runs(self) -> int:
        """The least number of runs there can be: one for each part that no way leads out of."""
        use = self.may | self.required
        label = components(self.n, self.u[use], self.v[use])
        return len(np.unique(label[self.piece >= 0]))

    def least_links(self, step: Step, nearest: int | None) -> tuple[Ints | None, int]:
        """The least T-join as links between nodes (``HUB``: a run's end), and its cost.

        The links are ``None`` when there is none. With ``nearest`` the cost proves nothing
        and is that of the runs alone.
        """
        limit = self.limit if nearest is None else min(self.limit, _NEAR_LIMIT)
        near, links = self._matched(limit, nearest, step)
        # where ends are very dear, far pairs are looked at only while there are too many ends
        while limit < self.limit and self._ends_of(links) > 2 * self.least_runs():
            limit = min(self.limit, 4 * limit)
            near, links = self._matched(limit, nearest, step)
        if links is None:
            return None, 0
        least = 0
        if self.price is not None:
            least = self._closed_run() * self.least_runs()
        if nearest is None:
            least = max(least, self.links_cost(links, near))
        return self.named(links, self.odd), least

    def _closed_run(self) -> int:
        """What the ends of a closed run cost at least."""
        if self.price is None:
            return 0
        return 2 * int(self.price[self.piece >= 0].min())

    def _matched(self, limit: float, nearest: int | None, step: Step) -> tuple[Near, Ints | None]:
        if nearest is not None and limit > _NEAR_LIMIT:
            near = _nearest(near_pairs(self.graph, self.odd, limit, step), nearest)
        else:
            near = needed_near_pairs(self.graph, self.odd, limit, step)
        return near, self.match(near, step)

    def _ends_of(self, links: Ints | None) -> int:
        return len(self.odd) if links is None else int((links == HUB).sum())

    def match(self, near: Near, step: Step) -> Ints | None:
        """Links of least cost between the odd nodes, given as their places in ``odd``.

        At least one run: where all odd nodes are linked it is a closed one, which pays only
        where ends elsewhere are much cheaper.
        """
        count = len(self.odd)
        if self.price is None:
            pairs = match_closed(count, near, step)
            return None if pairs is None else np.array(pairs, np.int64).reshape(-1, 2)
        price = self.price[self.odd]
        links = np.array(match_with_hub(count, near, price, step), np.int64).reshape(-1, 2)
        if not count or 2 * int(price.min()) <= self._closed_run():
            return links
        # two more ends that cost nothing leave the others free to be linked all
        free = match_with_hub(count + 2, near, np.append(price, [0, 0]), step)
        linked = np.array([p for p in free if max(p) < count], np.int64).reshape(-1, 2)
        cheaper = self.links_cost(linked, near) < self.links_cost(links, near)
        return linked if cheaper else links

    def links_cost(self, links: Ints, near: Near) -> int:
        """Cost of links among the odd nodes, each near or a run's end; one run at least."""
        size = len(self.odd) + 1
        key = near.first * size + near.second
        order = np.argsort(key)
        paired = links[(links != HUB).all(axis=1)]
        asked = paired.min(axis=1) * size + paired.max(axis=1)
        total = int(near.cost[order[np.searchsorted(key[order], asked)]].sum()) if len(asked) else 0
        single = links[(links == HUB).any(axis=1)].max(axis=1)
        if self.price is not None:
            ends = int(self.price[self.odd[single]].sum())
            total += ends if len(single) else self._closed_run()
        return total

    def named(self, links: Ints, terminals: Ints) -> Ints:
        """Links between nodes, from links between terminals."""
        return np.where(links == HUB, HUB, terminals[links])

    def deadhead(self, links: Ints, step: Step) -> Ints:
        """Edges walked besides the required ones, with repeats."""
        real = links[(links != HUB).all(axis=1) & (links[:, 0] != links[:, 1])]
        pairs = [(int(a), int(b)) for a, b in real.tolist()]
        paths = trace(self.graph, pairs, self.limit, step)
        ends = links[(links == HUB).any(axis=1) & (links != HUB).any(axis=1)].max(axis=1)
        if self._leaving is not None:
            paths += [self._leaving.way(self.graph, t) for t in ends.tolist()]
        edges = np.concatenate([np.empty(0, np.int64), *paths])
        edge, count = np.unique(edges, return_counts=True)
        # three times over is once, parities kept
        return np.repeat(edge, np.where(count > 2, 2 - count % 2, count))

    def paid(self, extra: Ints) -> int | None:
        """Cost of walks with these edges besides the required; ``None`` where that is no tour.

        Parts that hang together by neither are runs of their own, closed ones if no node of
        theirs is odd.
        """
        u = np.concatenate([self.u[self.required], self.u[extra]])
        v = np.concatenate([self.v[self.required], self.v[extra]])
        degree = np.bincount(np.concatenate([u, v]), minlength=self.n)
        odd = degree % 2 == 1
        label = components(self.n, u, v)
        names, part = np.unique(label[degree > 0], return_inverse=True)
        total = int(self.cost[extra].sum())
        if self.ends is None:
            return None if odd.any() or len(names) > 1 else total
        has_odd = np.zeros(len(names), bool)
        has_odd[part[odd[degree > 0]]] = True
        cheapest = np.full(len(names), np.iinfo(np.int64).max)
        np.minimum.at(cheapest, part, self.ends[degree > 0])
        return total + int(self.ends[odd].sum()) + 2 * int(cheapest[~has_odd].sum())

    def size(self) -> int:
        """Edges of :meth:`rural` at most."""
        return len(self.graph.edge) + (0 if self.ends is None else self.n)

    def rural(self) -> Rural:
        """The smallest form of the task, made once."""
        if self._rural is not None:
            return self._rural
        use = np.flatnonzero(self.may)
        odd = np.zeros(self.n, bool)
        odd[self.odd] = True
        self._rural = make_rural(
            self.u[use], self.v[use], self.cost[use], odd, self.piece, self.ends, origin=use
        )
        return self._rural

    def walk(self, rural: Rural, extra: Ints) -> Ints | None:
        """Edges besides the required ones as a walk of the smallest form, run ends too.

        ``None`` where it leaves out one of the edges.
        """
        walked = np.zeros(len(rural.u), np.int64)
        place = np.full(len(self.u), -1)
        own = np.flatnonzero(rural.origin >= 0)
        place[rural.origin[own]] = own
        if (place[extra] < 0).any():
            return None
        np.add.at(walked, place[extra], 1)
        if self.ends is None:
            return walked
        hub = np.full(self.n, -1)
        ended = np.flatnonzero(rural.origin < 0)
        hub[rural.u[ended]] = ended
        u = np.concatenate([self.u[self.required], self.u[extra]])
        v = np.concatenate([self.v[self.required], self.v[extra]])
        odd = np.bincount(np.concatenate([u, v]), minlength=self.n) % 2 == 1
        label = components(self.n, u, v)
        closed = np.setdiff1d(label[self.piece >= 0], label[odd])
        at = [np.flatnonzero(odd)]
        for part in closed.tolist():
            nodes = np.flatnonzero(label == part)
            at.append(np.repeat(nodes[self.ends[nodes].argmin()], 2))
        ends = np.concatenate(at)
        if (hub[ends] < 0).any():
            return None
        np.add.at(walked, hub[ends], 1)
        return walked


def _nearest(near: Near, count: int) -> Near:
    """The pairs that are among the nearest of either end."""
    kept = np.zeros(len(near.first), bool)
    for end in (near.first, near.second):
        order = np.lexsort((near.cost, end))
        fresh = np.append(True, np.diff(end[order]) > 0)
        begin = np.flatnonzero(fresh)
        rank = np.arange(len(order)) - np.repeat(begin, np.diff(np.append(begin, len(order))))
        kept[order[rank < count]] = True
    return Near(first=near.first[kept], second=near.second[kept], cost=near.cost[kept])
