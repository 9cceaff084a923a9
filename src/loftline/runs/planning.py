"""Plan a network: links, joining, trails, and what can be proved of the cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from loftline.errors import Step, does_nothing
from loftline.runs.joining import Terminals, descend, join, total
from loftline.runs.order import Order, from_links, serpentine, to_links
from loftline.runs.parity import (
    HUB,
    MICRO,
    Graph,
    Near,
    make_graph,
    match_closed,
    match_with_hub,
    near_pairs,
    trace,
)
from loftline.runs.trails import make_trails
from loftline.values import Bools, Floats, Ints

_STARTS = 4
_SHAKEN_MOST = 1500
_PASSES = 200
_KICKS = 100
_TRIES = 3
_MOST_ENDS = 3000
_KICKS_A_LINE = 3
_NO_LIMIT = 1e15


@dataclass(frozen=True, slots=True, kw_only=True)
class Walks:
    """An answer of :func:`plan_network`.

    Attributes:
        walks: edge indices of each run in sewing order.
        directions: for each walk, whether each edge is walked from u to v.
        cost: all walks with required edges and cuts counted in.
        least_cost: a proved lower bound of ``cost``.
        optimal: true only where the two are proved equal.
    """

    walks: list[list[int]]
    directions: list[list[bool]]
    cost: float
    least_cost: float
    optimal: bool


def plan_network(
    u: Ints,
    v: Ints,
    cost: Floats,
    required: Bools,
    cut_cost: float | None = None,
    *,
    heading: Floats | None = None,
    nearest: int | None = None,
    seed: int = 0,
    step: Step = does_nothing,
) -> Walks:
    """Sew every required edge with as little else as can be.

    The Chinese or rural postman problem: without ``cut_cost`` one closed tour, with it any
    number of open runs, each at that price.

    Args:
        u: ``(m,)`` one end of each edge, node numbers from 0.
        v: ``(m,)`` the other end.
        cost: ``(m,)`` cost of walking each edge, at least 0.
        required: ``(m,)`` edges that must be walked at least once.
        cut_cost: price of a run; ``None`` asks for one closed tour.
        heading: ``(2 m,)`` direction in radians in which each edge leaves u and v; trails go
            straight on where there is a choice.
        nearest: link each line end only to so many of its nearest; quicker where a cut is very
            dear, and no more is then proved than that one run is needed.
        seed: for ties among equal links.
        step: progress callback.

    Returns:
        The walks. ``least_cost`` is the least T-join bound.

    Raises:
        ValueError: when arrays do not fit, a cost is negative or not finite, nothing is
            required, or a closed tour is asked for where the required edges cannot be joined.

    The bridges of Koenigsberg (Euler 1736): seven bridges, two walked twice.

    >>> ends = np.array([(0, 1), (0, 1), (0, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    >>> plan_network(ends[:, 0], ends[:, 1], np.ones(7), np.ones(7, bool)).cost
    9.0
    """
    u, v, cost, required = _checked(u, v, cost, required)
    if cut_cost is not None and not (np.isfinite(cut_cost) and cut_cost > 0):
        raise ValueError(f"cut_cost is {cut_cost}; it must be more than 0")
    task = _Task(u, v, cost, required, cut_cost)
    step("runs", 0, 3)
    links, bound = task.links(seed, step, nearest)
    if links is None:
        raise ValueError("the required edges cannot be joined by one closed tour")
    step("runs", 1, 3)
    extra = task.deadhead(links)
    copies = np.concatenate([np.flatnonzero(required), extra])
    turned = np.zeros(2 * len(u)) if heading is None else np.asarray(heading, float)
    halves = np.column_stack([2 * copies, 2 * copies + 1]).ravel()
    trails = make_trails(u[copies], v[copies], turned[halves])
    step("runs", 2, 3)
    needed = float(cost[required].sum())
    paid = float(cost[extra].sum()) + (cut_cost or 0.0) * len(trails)
    least = min(bound / MICRO, paid)
    # what is proved equal is told as equal: the two differ by rounding to thousandths alone
    optimal = bool(paid - least <= 0.001 * (len(extra) + len(trails) + 1))
    return Walks(
        walks=[copies[edges].tolist() for edges, _ in trails],
        directions=[forward.tolist() for _, forward in trails],
        cost=needed + paid,
        least_cost=needed + (paid if optimal else least),
        optimal=optimal,
    )


def _checked(u: Ints, v: Ints, cost: Floats, required: Bools) -> tuple[Ints, Ints, Floats, Bools]:
    u, v = np.asarray(u, np.int64), np.asarray(v, np.int64)
    cost, required = np.asarray(cost, float), np.asarray(required, bool)
    if not (u.shape == v.shape == cost.shape == required.shape and u.ndim == 1):
        raise ValueError("u, v, cost and required must be arrays of one length")
    if not required.any():
        raise ValueError("no edge is required")
    if not np.isfinite(cost).all() or (cost < 0).any():
        raise ValueError("costs must be finite and at least 0")
    if min(u.min(), v.min()) < 0:
        raise ValueError("nodes are numbered from 0")
    return u, v, cost, required


class _Task:
    """One network with its graph and components, while it is being planned."""

    def __init__(
        self, u: Ints, v: Ints, cost: Floats, required: Bools, cut_cost: float | None
    ) -> None:
        # nodes named by the edges only, so that their numbers may have gaps
        names, ends = np.unique(np.concatenate([u, v]), return_inverse=True)
        self.n = len(names)
        self.u, self.v = ends[: len(u)], ends[len(u) :]
        self.cost = np.rint(cost * MICRO).astype(np.int64)
        self.required = required
        self.cut = None if cut_cost is None else round(cut_cost * MICRO)
        self.limit = _NO_LIMIT if self.cut is None else float(self.cut)
        self.graph: Graph = make_graph(self.n, self.u, self.v, self.cost)
        needed = np.flatnonzero(required)
        self.degree = np.bincount(
            np.concatenate([self.u[needed], self.v[needed]]), minlength=self.n
        )
        graph = coo_matrix(
            (np.ones(len(needed)), (self.u[needed], self.v[needed])), shape=(self.n, self.n)
        )
        _, label = connected_components(graph, directed=False)
        used = np.unique(label[self.degree > 0])
        self.component = np.full(self.n, -1)
        touched = self.degree > 0
        self.component[touched] = np.searchsorted(used, label[touched])
        self.components = len(used)
        self.odd = np.flatnonzero(self.degree % 2 == 1)

    def links(self, seed: int, step: Step, nearest: int | None) -> tuple[Ints | None, float]:
        """Links between nodes (``HUB`` where a run ends) and the T-join bound."""
        doors = self._doors()
        terminals = np.concatenate([self.odd, doors])
        near = near_pairs(self.graph, terminals, self.limit)
        near = _sorted(near if nearest is None else _nearest(near, nearest))
        table = Terminals(
            component=self.component[terminals],
            components=self.components,
            near=near,
            cut=self.cut,
        )
        odd = len(self.odd)
        among_odd = (near.first < odd) & (near.second < odd)
        base = Near(
            first=near.first[among_odd],
            second=near.second[among_odd],
            cost=near.cost[among_odd],
        )
        first = self._match(base, odd)
        if first is None:
            return None, 0.0
        phantoms = np.column_stack([np.arange(odd, len(terminals))] * 2)
        start = np.concatenate([first, phantoms])
        bound = total(start, table)
        if self.cut is not None and not odd:
            bound += self.cut
        if nearest is not None:
            bound = self.cut or 0
        if table.groups(start)[0] == 1:
            return self._named(start, terminals), float(bound)
        best = self._joined(
            start=start,
            phantoms=phantoms,
            base=base,
            table=table,
            goal=bound,
            seed=seed,
            step=step,
        )
        return (None if best is None else self._named(best, terminals)), float(bound)

    def _match(self, near: Near, odd: int) -> Ints | None:
        pairs = match_closed(odd, near) if self.cut is None else match_with_hub(odd, near, self.cut)
        return None if pairs is None else np.array(pairs, np.int64).reshape(-1, 2)

    def _joined(
        self,
        *,
        start: Ints,
        phantoms: Ints,
        base: Near,
        table: Terminals,
        goal: int,
        seed: int,
        step: Step,
    ) -> Ints | None:
        """The best of several starts, joined and improved."""
        rng = np.random.default_rng(seed)
        order = self._order(table)
        best = join(start, table)
        if best is None:
            return None
        if order is not None:
            found = [from_links(best, order.other), self._by_line(order)]
            found = [order.search(ends, 0, rng, goal) for ends in found]
            ends = min(found, key=order.total)
            step("joining", 0, 1)
            kicks = max(_KICKS, _KICKS_A_LINE * self.components)
            tries = [order.search(ends, kicks, rng, goal) for _ in range(_TRIES)]
            return to_links(min(tries, key=order.total), order)
        best = descend(best, table, _PASSES)
        odd = len(self.odd)
        # a matching of many ends takes seconds: there one start must do
        for attempt in range(1, _STARTS if odd <= _SHAKEN_MOST else 1):
            step("joining", attempt, _STARTS)
            # equal links have many pairings; shake the ties loose
            shaken = np.rint(base.cost * (1 + 0.02 * rng.random(len(base.cost))))
            again = self._match(
                Near(first=base.first, second=base.second, cost=shaken.astype(np.int64)), odd
            )
            joined = None if again is None else join(np.concatenate([again, phantoms]), table)
            if joined is None:
                continue
            joined = descend(joined, table, _PASSES)
            if total(joined, table) < total(best, table):
                best = joined
        return best

    def _order(self, table: Terminals) -> Order | None:
        """Order search, where every component is a single open line."""
        odd = len(self.odd)
        plain = odd == 2 * self.components and len(table.component) == odd <= _MOST_ENDS
        if self.cut is None or not plain:
            return None
        by_component = np.argsort(table.component, kind="stable").reshape(-1, 2)
        other = np.empty(odd, np.int64)
        other[by_component[:, 0]] = by_component[:, 1]
        other[by_component[:, 1]] = by_component[:, 0]
        return Order(table, other.tolist())

    def _by_line(self, order: Order) -> list[int]:
        """Serpentine through the lines in the order of their required edges."""
        ends = {int(node): t for t, node in enumerate(self.odd.tolist())}
        lines: list[int] = []
        seen: set[int] = set()
        met = np.column_stack([self.u[self.required], self.v[self.required]]).ravel()
        for node in met.tolist():
            t = ends.get(node)
            if t is not None and t not in seen:
                seen |= {t, order.other[t]}
                lines.append(t)
        return serpentine(order, lines)

    def _doors(self) -> Ints:
        """Nodes where a component without odd nodes may be entered: one phantom link each.

        Components with odd nodes get doors too when a closed tour is asked for, since there
        the shortest joint may lie anywhere.
        """
        even = self.degree > 0
        even[self.odd] = False
        reach = np.zeros(self.n, bool)
        optional = ~self.required
        reach[self.u[optional]] = True
        reach[self.v[optional]] = True
        has_odd = np.zeros(self.components, bool)
        has_odd[self.component[self.odd]] = True
        if self.components == 1 and self.cut is None:
            return np.empty(0, np.int64)
        if self.cut is not None:
            even &= ~has_odd[self.component]
        doors = np.flatnonzero(even & reach)
        # a component that touches no way still needs a place to begin
        bare = np.setdiff1d(np.arange(self.components), self.component[doors])
        bare = bare[~has_odd[bare]]
        first = [int(np.flatnonzero(self.component == c)[0]) for c in bare.tolist()]
        return np.sort(np.concatenate([doors, np.array(first, np.int64)]))

    def _named(self, links: Ints, terminals: Ints) -> Ints:
        return np.where(links == HUB, HUB, terminals[links])

    def deadhead(self, links: Ints) -> Ints:
        """Edges walked besides the required ones, with repeats."""
        real = links[(links != HUB).all(axis=1) & (links[:, 0] != links[:, 1])]
        pairs = [(int(a), int(b)) for a, b in real.tolist()]
        paths = trace(self.graph, pairs, self.limit)
        edges = np.concatenate([np.empty(0, np.int64), *paths])
        edge, count = np.unique(edges, return_counts=True)
        # three times over is once, parities kept
        return np.repeat(edge, np.where(count > 2, 2 - count % 2, count))


def _sorted(near: Near) -> Near:
    order = np.lexsort((near.second, near.first))
    return Near(first=near.first[order], second=near.second[order], cost=near.cost[order])


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
