"""Rings within rings: the best way through them, piece by piece from the inmost.

Let the pieces of sewing be joined like a tree: each has a parent that all its sewing is
reached from, or it holds runs of its own. A piece that is a ring (or an open line) is left
and entered at its nodes only; between two of them it is sewn over again, on one side or the
other. So all that the rest of a network need know of a piece with all that lies beyond it is
what it costs when it is

- even: reached by a step sewn twice, or not at all where it holds runs' ends;
- odd at a node: reached by one step there, since a run ends beyond.

Dynamic programming on these (:mod:`loftline.runs.beyond`): each piece is gone round once
(:mod:`loftline.runs.rounds`), with a bit that tells whether the stretch in hand is sewn over
again. Exact for the tree and for one step, or the same
twice, between a piece and its parent. Work grows with the square of the nodes on a piece.
"""

from __future__ import annotations

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.beyond import EVEN, Table, table_of, traced
from loftline.runs.linked import Links, links_between, rings_in_order
from loftline.runs.rounds import FAR, Ring
from loftline.runs.rural import Rural, spanning_tree
from loftline.values import Bools, Floats, Ints

Tree = list[tuple[int, int]]
"""Pairs of pieces."""


class Nest:
    """A network whose pieces are rings and lines joined by steps."""

    def __init__(
        self,
        rural: Rural,
        rings: list[Ring],
        links: dict[tuple[int, int], Links],
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
        self._known: dict[tuple[int, ...], Table] = {}

    @classmethod
    def of(
        cls, rural: Rural, planned: Bools | None = None, step: Step = does_nothing
    ) -> Nest | None:
        """Look at a network; ``None`` where a piece is more than a ring or line.

        Args:
            rural: the task.
            planned: as of :func:`~loftline.runs.linked.rings_in_order`.
            step: progress callback.
        """
        rings = rings_in_order(rural, planned)
        return None if rings is None else cls(rural, rings, links_between(rural, rings), step)

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
        wanted = [(root, EVEN, self.runs) for root in roots]
        done = 0
        while wanted:
            self.step("joining", done, len(self.rings))
            done += 1
            piece, q, hub = wanted.pop()
            ring, table = self.rings[piece], tables[piece]
            wanted += traced(piece, q, hub, ring, self.links, table, walked)
        return walked

    def _tables(self, tree: Tree) -> tuple[dict[int, Table], list[int]]:
        """What each piece costs with all beyond it, and the roots."""
        order, parent, below = self._rooted(tree)
        tables: dict[int, Table] = {}
        for k, piece in enumerate(reversed(order)):
            name = (parent[piece], *below[piece])
            if name not in self._known:
                self.step("joining", k, len(order))
                children = [c for c in order if parent[c] == piece]
                ring = self.rings[piece]
                self.visits += len(ring.nodes)
                self._known[name] = table_of(
                    piece, parent[piece], children, ring, self.links, tables
                )
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
