"""What a piece costs with all that lies beyond it, for each way that it may be reached."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.runs.linked import Links
from loftline.runs.rounds import FAR, Ring, Turn, closed, go_round, through
from loftline.values import Ints

_MOST_BRANCHES = 4
"""So many children of a piece may be reached by one step; the others only by two."""

EVEN = -1
"""In place of a node: no step, or the same twice."""

Pairs = dict[tuple[int, int], Links]
"""The steps between each two pieces, seen from the first."""

Tables = dict[int, "Table"]
"""What is known of each piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
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


def table_of(
    piece: int, parent: int, children: list[int], ring: Ring, between: Pairs, tables: Tables
) -> Table:
    """Go round a piece for each node that its parent's step may stand at.

    Args:
        piece: its number.
        parent: of the piece, -1 for none.
        children: reached from it.
        ring: the piece.
        between: all steps.
        tables: what is known of the children.
    """
    n = len(ring.nodes)
    single = np.full((len(children), n), FAR)
    via = np.full((len(children), n), -1)
    twice, apart, joined = [], [], []
    for k, child in enumerate(children):
        links, table = between[piece, child], tables[child]
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
        stand = np.unique(between[piece, parent].here)
    value = go_round(ring, single[branches], np.append(stand, EVEN), None)
    costs = closed(value, branches, twice, apart, joined)
    odd = np.full(n, FAR)
    odd[stand] = costs[:-1, 1].min(axis=1)
    return Table(
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


def traced(
    piece: int, q: int, hub: int, ring: Ring, between: Pairs, table: Table, walked: Ints
) -> list[tuple[int, int, int]]:
    """Walk what was chosen on a piece; what that asks of its children.

    Args:
        piece: its number.
        q: where its parent's step stands, or :data:`EVEN`.
        hub: 1 where a run's end is wanted in what hangs together with it.
        ring: the piece.
        between: all steps.
        table: what is known of it.
        walked: ``(m,)`` how often each edge is walked; added to.
    """
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
            links, step = between[piece, child], int(table.via[k, i])
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
            links = between[piece, child]
            walked[links.edge[int(links.cost.argmin())]] += 2
        wanted.append((child, EVEN, int(k in own)))
    return wanted
