"""Rings within rings: the best way through them, piece by piece from the inmost.

Let the pieces of sewing be joined like a tree: each has a parent that all its sewing is
reached from, or it holds runs of its own. A piece that is a ring (or an open line) is left
and entered at its nodes only; between two of them it is sewn over again, on one side or the
other. So all that the rest of a network need know of a piece with all that lies beyond it is
what it costs when it is

- even: reached by a step sewn twice, or not at all where it holds runs' ends;
- odd at a node: reached by one step there, since a run ends beyond.

Dynamic programming on these: each piece is gone round once, with a bit that tells whether
the stretch in hand is sewn over again. Exact for the tree and for one step, or the same
twice, between a piece and its parent. Work grows with the square of the nodes on a piece.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.facets import beside, round_piece
from loftline.runs.rounds import FAR, Ring, Turn, closed, go_round, through
from loftline.runs.rural import Rural, spanning_tree
from loftline.values import Bools, Floats, Ints

_MOST_BRANCHES = 4
"""So many children of a piece may be reached by one step; the others only by two."""

_EVEN = -1
"""In place of a node: no step, or the same twice."""

Tree = list[tuple[int, int]]
"""Pairs of pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Links:
    """All steps between two pieces, seen from the first; nodes numbered round the pieces."""

    here: Ints
    there: Ints
    cost: Ints
    edge: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """What a piece costs with all beyond it.

    Attributes:
        even: reached twice or not at all, where what hangs together with it meets no run's
            end, and where it does.
        odd: ``(n,)`` reached by one step at each node.
        single: ``(b, n)`` cost of one step to each branch at each node, and of all beyond.
        via: ``(b, n)`` that step's number among the links.
        branches: the children that may be reached by one step.
        children: all of them.
        twice: cost of each reached by a step sewn twice.
        apart: cost of each holding a run of its own.
        joined: the same, with a step to it sewn twice.
    """

    even: tuple[int, int]
    odd: Ints
    single: Ints
    via: Ints
    branches: list[int]
    children: list[int]
    twice: list[int]
    apart: list[int]
    joined: list[int]


class Nest:
    """A network whose pieces are rings and lines joined by steps."""

    def __init__(
        self,
        rural: Rural,
        rings: list[Ring],
        links: dict[tuple[int, int], _Links],
        step: Step = does_nothing,
    ) -> None:
        self.rural = rural
        self.rings = rings
        self.links = links
        self.step = step
        # nodes gone round so far
        self.visits = 0
        # 1 where runs are cut, 0 where one closed tour is asked for
        self.runs = int((rural.origin < 0).any())
        self._known: dict[tuple[int, ...], _Table] = {}

    @classmethod
    def of(
        cls, rural: Rural, planned: Bools | None = None, step: Step = does_nothing
    ) -> Nest | None:
        """Look at a network; ``None`` where a piece is more than a ring or line.

        Args:
            rural: the task.
            planned: the first so many pieces may be of any kind, since they are sewn through
                already; whether a run ends on each.
            step: progress callback.
        """
        at_hub = np.flatnonzero(rural.origin < 0)
        count = rural.pieces - bool(len(at_hub))
        a, b = rural.piece[rural.u], rural.piece[rural.v]
        first = 0 if planned is None else len(planned)
        inner = np.flatnonzero((a == b) & (a >= first))
        ends = np.concatenate([rural.u[inner], rural.v[inner]])
        if count < 2 or np.bincount(ends).max(initial=0) > 2:
            return None
        end = np.full(rural.size, FAR)
        hub = np.full(rural.size, -1)
        node = np.minimum(rural.u[at_hub], rural.v[at_hub])
        end[node], hub[node] = rural.cost[at_hub], at_hub
        near = beside(rural, inner)
        order = np.argsort(rural.piece, kind="stable")
        parts = np.split(order, np.searchsorted(rural.piece[order], np.arange(count + 1)))
        rings = []
        for piece, members in enumerate(parts[1:-1]):
            if planned is not None and piece < first:
                at = _doors(rural, members, end, ends=len(at_hub) > 0)
                rings.append(
                    Ring(
                        nodes=at,
                        arc=np.full(len(at), FAR),
                        edge=np.full(len(at), -1),
                        end=end[at],
                        hub=hub[at],
                        odd=rural.odd[at],
                        met=bool(planned[piece]),
                    )
                )
                continue
            names, edges = (np.array(x, np.int64) for x in round_piece(members.tolist(), near))
            rings.append(
                Ring(
                    nodes=names,
                    arc=np.where(edges >= 0, rural.cost[edges], FAR),
                    edge=edges,
                    end=end[names],
                    hub=hub[names],
                    odd=rural.odd[names],
                )
            )
        return cls(rural, rings, _between(rural, rings), step)

    @property
    def pairs(self) -> Tree:
        """Pieces beside each other."""
        return [pair for pair in self.links if pair[0] < pair[1]]

    def least(self, pair: tuple[int, int]) -> int:
        """Cost of the shortest step between two pieces."""
        return int(self.links[pair].cost.min())

    def tree(self, weight: Floats | Ints) -> Tree:
        """A least spanning tree between the pieces, by weights of the edges."""
        pairs = self.pairs
        if not pairs:
            return []
        least = np.array([weight[self.links[pair].edge].min() for pair in pairs])
        ends = np.array(pairs, np.int64)
        return [pairs[k] for k in spanning_tree(ends[:, 0], ends[:, 1], least).tolist()]

    def cost(self, tree: Tree) -> int | None:
        """Cost of the least walk along a tree, in thousandths; ``None`` where there is none."""
        tables, roots = self._tables(tree)
        cost = sum(tables[root].even[self.runs] for root in roots)
        return None if cost >= FAR or len(roots) > 1 > self.runs else cost

    def walk(self, tree: Tree) -> Ints:
        """How often each edge is walked in the least walk along a tree that has one."""
        tables, roots = self._tables(tree)
        walked = np.zeros(len(self.rural.u), np.int64)
        wanted = [(root, _EVEN, self.runs) for root in roots]
        done = 0
        while wanted:
            self.step("joining", done, len(self.rings))
            done += 1
            piece, q, hub = wanted.pop()
            wanted += self._trace(piece, q, hub, tables, walked)
        return walked

    def _tables(self, tree: Tree) -> tuple[dict[int, _Table], list[int]]:
        """What each piece costs with all beyond it, and the roots."""
        order, parent, below = self._rooted(tree)
        tables: dict[int, _Table] = {}
        for k, piece in enumerate(reversed(order)):
            name = (parent[piece], *below[piece])
            if name not in self._known:
                self.step("joining", k, len(order))
                children = [c for c in order if parent[c] == piece]
                self._known[name] = self._table(piece, parent[piece], children, tables)
            tables[piece] = self._known[name]
        return tables, [piece for piece in order if parent[piece] < 0]

    def _rooted(self, tree: Tree) -> tuple[list[int], dict[int, int], dict[int, tuple[int, ...]]]:
        """Pieces from the roots on, the parent of each, and a name for all beyond each."""
        near: list[list[int]] = [[] for _ in self.rings]
        for a, b in tree:
            near[a].append(b)
            near[b].append(a)
        order: list[int] = []
        parent: dict[int, int] = {}
        for root in np.argsort([-len(ring.nodes) for ring in self.rings], kind="stable").tolist():
            if root in parent:
                continue
            parent[root] = -1
            grown = [root]
            for piece in grown:
                for child in sorted(near[piece]):
                    if child != parent[piece]:
                        parent[child] = piece
                        grown.append(child)
            order += grown
        below: dict[int, tuple[int, ...]] = {}
        for piece in reversed(order):
            children = [below[c] for c in sorted(near[piece]) if c != parent[piece]]
            below[piece] = (piece, *(x for name in children for x in name), -1)
        return order, parent, below

    def _table(
        self, piece: int, parent: int, children: list[int], tables: dict[int, _Table]
    ) -> _Table:
        ring = self.rings[piece]
        n = len(ring.nodes)
        self.visits += n
        single = np.full((len(children), n), FAR)
        via = np.full((len(children), n), -1)
        twice, apart, joined = [], [], []
        for k, child in enumerate(children):
            links, table = self.links[piece, child], tables[child]
            cost = np.minimum(links.cost + table.odd[links.there], FAR)
            # the last one written stays: the cheapest, the first of equals
            order = np.lexsort((-links.edge, -cost))
            single[k, links.here[order]] = cost[order]
            via[k, links.here[order]] = order
            link = 2 * int(links.cost.min())
            twice.append(min(table.even[0] + link, FAR))
            apart.append(table.even[1])
            joined.append(min(table.even[1] + link, FAR))
        cheap = np.minimum(twice, apart)
        gain = cheap - single.min(axis=1)
        branches = sorted(np.argsort(-gain, kind="stable")[:_MOST_BRANCHES].tolist())
        stand = np.empty(0, np.int64)
        if parent >= 0:
            stand = np.unique(self.links[piece, parent].here)
        value = go_round(ring, single[branches], np.append(stand, _EVEN), None)
        costs = closed(value, branches, twice, apart, joined)
        odd = np.full(n, FAR)
        odd[stand] = costs[:-1, 1].min(axis=1)
        return _Table(
            even=(int(costs[-1, 0].min()), int(costs[-1, 1].min())),
            odd=odd,
            single=single,
            via=via,
            branches=branches,
            children=children,
            twice=twice,
            apart=apart,
            joined=joined,
        )

    def _trace(
        self, piece: int, q: int, hub: int, tables: dict[int, _Table], walked: Ints
    ) -> list[tuple[int, int, int]]:
        """Walk what was chosen on a piece; what that asks of its children."""
        ring, table = self.rings[piece], tables[piece]
        turns: list[Turn] = []
        value = go_round(ring, table.single[table.branches], np.array([q]), turns)
        costs = closed(value, table.branches, table.twice, table.apart, table.joined)
        costs = costs[0, hub]
        met, mask = divmod(int(costs.argmin()), value.shape[-1])
        first = int(value[1, 0, met, 1, mask] < value[0, 0, met, 0, mask])
        wanted = []
        reached = set()
        bit, had, left = first, met, mask
        at = len(turns)
        for i in reversed(range(len(ring.nodes))):
            if bit:
                walked[ring.edge[i]] += 1
            if i == q:
                bit ^= 1
            while at and turns[at - 1].node == i:
                at -= 1
                turn = turns[at]
                if not turn.taken[first, 0, had, bit, left]:
                    continue
                had, bit = int(turn.hub[first, 0, had, bit, left]), bit ^ 1
                if turn.branch < 0:
                    walked[ring.hub[i]] += 1
                    continue
                k = table.branches[turn.branch]
                left ^= 1 << turn.branch
                child = table.children[k]
                links, step = self.links[piece, child], int(table.via[k, i])
                walked[links.edge[step]] += 1
                reached.add(k)
                wanted.append((child, int(links.there[step]), 1))
            bit ^= int(ring.odd[i])
        rest = [k for k in range(len(table.children)) if k not in reached]
        own = {k for k in rest if table.apart[k] < table.twice[k]}
        linked = set(rest) - own
        if hub and not met:
            met_by = through(rest, table.twice, table.apart, table.joined)[1]
            own.add(met_by)
            linked.add(met_by)
        for k in rest:
            child = table.children[k]
            if k in linked:
                links = self.links[piece, child]
                walked[links.edge[int(links.cost.argmin())]] += 2
            wanted.append((child, _EVEN, int(k in own)))
        return wanted


def _doors(rural: Rural, members: Ints, end: Ints, *, ends: bool) -> Ints:
    """Nodes of a piece that a step leads out of, and where a run ends at the least cost."""
    out = np.zeros(rural.size, bool)
    apart = rural.piece[rural.u] != rural.piece[rural.v]
    apart &= rural.origin >= 0
    out[rural.u[apart]] = out[rural.v[apart]] = True
    if ends:
        out[members[end[members].argmin()]] = True
    return members[out[members]]


def _between(rural: Rural, rings: list[Ring]) -> dict[tuple[int, int], _Links]:
    count = len(rings)
    place = np.full(rural.size, -1)
    for ring in rings:
        place[ring.nodes] = np.arange(len(ring.nodes))
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    step = np.flatnonzero((a != b) & (a >= 0) & (b >= 0) & (a < count) & (b < count))
    one = np.concatenate([a[step], b[step]])
    other = np.concatenate([b[step], a[step]])
    here = np.concatenate([rural.u[step], rural.v[step]])
    there = np.concatenate([rural.v[step], rural.u[step]])
    edge = np.concatenate([step, step])
    key = one * count + other
    order = np.argsort(key, kind="stable")
    names, begin = np.unique(key[order], return_index=True)
    links = {}
    end = np.append(begin, len(order))[1:]
    for k, first, last in zip(names.tolist(), begin.tolist(), end.tolist(), strict=True):
        at = order[first:last]
        links[k // count, k % count] = _Links(
            here=place[here[at]],
            there=place[there[at]],
            cost=rural.cost[edge[at]],
            edge=edge[at],
        )
    return links
