"""Search for joining links where no proof closes the task: too large, or cut short.

Lines that touch nothing are put in order; else patched T-joins, several with ties shaken
loose, are improved by exchanges.
"""

from __future__ import annotations

from functools import partial

import numpy as np

from loftline.errors import Step
from loftline.runs.joining import Terminals, descend, join, total
from loftline.runs.order import Order, from_links, serpentine, to_links
from loftline.runs.parity import Near, near_pairs, needed_pairs
from loftline.runs.task import Task
from loftline.values import Bools, Ints

_STARTS = 4
_SHAKEN_MOST = 1500
_PASSES = 200
_KICKS = 100
_TRIES = 3
_MOST_ENDS = 3000
_KICKS_A_LINE = 3


class LineSearch:
    """The order of lines, where every piece is a single open line."""

    def __init__(self, task: Task, order: Order, ends: list[int]) -> None:
        self._task = task
        self._order = order
        self._ends = ends

    @classmethod
    def of(cls, task: Task, links: Ints, step: Step) -> LineSearch | None:
        """Begin with the better of a serpentine and the T-join patched; ``None``: no such lines."""
        odd = len(task.odd)
        if task.price is None or odd != 2 * task.pieces or odd > _MOST_ENDS:
            return None
        table = _table(task, task.odd, step)
        by_piece = np.argsort(table.component, kind="stable").reshape(-1, 2)
        other = np.empty(odd, np.int64)
        other[by_piece[:, 0]] = by_piece[:, 1]
        other[by_piece[:, 1]] = by_piece[:, 0]
        order = Order(table, other.tolist())
        place = np.full(task.n + 1, -1)
        place[task.odd] = np.arange(odd)
        found = [_by_line(task, order)]
        joined = join(place[links], table)
        if joined is not None:
            found.append(from_links(joined, order.other))
        still = np.random.default_rng(0)
        found = [order.search(ends, 0, still, 0) for ends in found]
        return cls(task, order, min(found, key=order.total))

    @property
    def links(self) -> Ints:
        """Links between nodes of the best order."""
        return self._task.named(to_links(self._ends, self._order), self._task.odd)

    def kick(self, rng: np.random.Generator, goal: int, step: Step, share: float = 1.0) -> None:
        """Search on by a share of the usual disturbances, until a proved bound is met."""
        kicks = int(share * max(_KICKS, _KICKS_A_LINE * self._task.pieces))
        tries = [self._ends]
        for k in range(_TRIES):
            pause = partial(step, "joining", k, _TRIES)
            tries.append(self._order.search(self._ends, kicks, rng, goal, pause))
        self._ends = min(tries, key=self._order.total)


def patched(task: Task, rng: np.random.Generator, step: Step) -> Ints | None:
    """Links of the best of several patched T-joins; ``None`` where nothing joins the pieces."""
    doors = _doors(task)
    terminals = np.concatenate([task.odd, doors])
    odd = len(task.odd)
    table = _table(task, terminals, step)
    near = table.near
    base = _of(near, (near.first < odd) & (near.second < odd))
    base = needed_pairs(task.graph, task.odd, base, task.limit, step)
    phantoms = np.column_stack([np.arange(odd, len(terminals))] * 2)
    best: Ints | None = None
    # a matching of many ends takes seconds: there one start must do
    for attempt in range(_STARTS if odd <= _SHAKEN_MOST else 1):
        step("joining", attempt, _STARTS)
        # equal links have many pairings; shake the ties loose
        shaken = base.cost * (1 + 0.02 * min(attempt, 1) * rng.random(len(base.cost)))
        cost = np.rint(shaken).astype(np.int64)
        links = task.match(Near(first=base.first, second=base.second, cost=cost), step)
        step("joining", attempt, _STARTS)
        joined = None if links is None else join(np.concatenate([links, phantoms]), table)
        if joined is None:
            continue
        step("joining", attempt, _STARTS)
        joined = descend(joined, table, _PASSES)
        if best is None or total(joined, table) < total(best, table):
            best = joined
    return None if best is None else task.named(best, terminals)


def _table(task: Task, terminals: Ints, step: Step) -> Terminals:
    near = near_pairs(task.graph, terminals, task.limit, step)
    prices = None if task.price is None else task.price[terminals]
    if prices is not None:
        near = _of(near, near.cost < prices[near.first] + prices[near.second])
    return Terminals(
        component=task.piece[terminals], components=task.pieces, near=near, ends=prices
    )


def _of(near: Near, kept: Bools) -> Near:
    return Near(first=near.first[kept], second=near.second[kept], cost=near.cost[kept])


def _by_line(task: Task, order: Order) -> list[int]:
    """Serpentine through the lines in the order of their required edges."""
    ends = {int(node): t for t, node in enumerate(task.odd.tolist())}
    lines: list[int] = []
    seen: set[int] = set()
    met = np.column_stack([task.u[task.required], task.v[task.required]]).ravel()
    for node in met.tolist():
        t = ends.get(node)
        if t is not None and t not in seen:
            seen |= {t, order.other[t]}
            lines.append(t)
    return serpentine(order, lines)


def _doors(task: Task) -> Ints:
    """Nodes where a piece without odd nodes may be entered: one phantom link each.

    Pieces with odd nodes get doors too when a closed tour is asked for, since there the
    shortest joint may lie anywhere.
    """
    even = task.degree > 0
    even[task.odd] = False
    reach = np.zeros(task.n, bool)
    optional = ~task.required
    reach[task.u[optional]] = True
    reach[task.v[optional]] = True
    has_odd = np.zeros(task.pieces, bool)
    has_odd[task.piece[task.odd]] = True
    if task.pieces == 1 and task.price is None:
        return np.empty(0, np.int64)
    if task.price is not None:
        even &= ~has_odd[task.piece]
    doors = np.flatnonzero(even & reach)
    # a piece that touches no way still needs a place to begin
    bare = np.setdiff1d(np.arange(task.pieces), task.piece[doors])
    bare = bare[~has_odd[bare]]
    first = [int(np.flatnonzero(task.piece == c)[0]) for c in bare.tolist()]
    return np.sort(np.concatenate([doors, np.array(first, np.int64)]))
