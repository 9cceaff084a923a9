"""Joining components that the least T-join leaves apart, by exchanging links.

A link is a pair of terminals (odd nodes, or a node where an even component may be entered)
served by a cheapest way, or a terminal and the hub. Exchanging two links of different
components joins them and keeps every parity (the patching of Karp 1979 for the travelling
salesman, here for general routing; 2-exchange after Muyldermans et al., Operations Research
53(6), 2005).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.runs.connected import components
from loftline.runs.parity import HUB, Near
from loftline.values import Ints

_NEVER = 1 << 50
_TRIES = 40
"""Exchanges tried for connectedness in one pass of the descent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminals:
    """What links join.

    Attributes:
        component: ``(t,)`` component of the required edges that each terminal lies in.
        components: how many there are.
        near: pairs of terminals nearer than a thread cut, sorted by first, then second.
        ends: ``(t,)`` what a run's end costs at each, in thousandths; ``None`` forbids cuts.
    """

    component: Ints
    components: int
    near: Near
    ends: Ints | None

    def apart(self, a: Ints, b: Ints) -> Ints:
        """Cost of links between terminals that are not near: two run ends, or never."""
        if self.ends is None:
            return np.full(len(a), _NEVER)
        price = np.append(self.ends, 0)
        return np.asarray(price[a] + price[b])

    def costs(self, a: Ints, b: Ints) -> Ints:
        """Cost of links ``(a, b)`` in thousandths."""
        size = len(self.component) + 1
        low, high = np.minimum(a, b), np.maximum(a, b)
        keys = self.near.first * size + self.near.second
        key = low * size + high
        at = np.minimum(np.searchsorted(keys, key), max(len(keys) - 1, 0))
        # the hub is index -1, which finds the price of nothing
        cost = self.apart(a, b)
        if len(keys):
            hit = keys[at] == key
            cost[hit] = self.near.cost[at[hit]]
        cost[a == b] = 0
        return cost

    def groups(self, links: Ints) -> tuple[int, Ints]:
        """How many pieces links leave, the hub counted, and the piece of each link."""
        nodes = self.components + (self.ends is not None)
        ends = np.where(links == HUB, self.components, self.component[links])
        label = components(nodes, ends[:, 0], ends[:, 1])
        return int(label.max(initial=-1)) + 1, label[ends[:, 0]]


def join(links: Ints, terminals: Terminals) -> Ints | None:
    """Exchange links until everything hangs together; ``None`` when that cannot be.

    Args:
        links: ``(k, 2)`` terminals or :data:`HUB`; an even component enters as ``(t, t)``.
        terminals: what the links join.

    Returns:
        Links with the same parities, connected. Each round is near-linear in the number of
        near pairs and at least halves the number of pieces.
    """
    links = links.copy()
    while True:
        count, label = terminals.groups(links)
        if count == 1:
            return links
        moves = _moves(links, terminals, label, apart=True)
        if not _apply(links, moves, terminals, label):
            return None
        if terminals.ends is not None:
            links = _split_far(links, terminals)


def descend(links: Ints, terminals: Terminals, passes: int) -> Ints:
    """Improve connected links by 2-exchanges that keep them connected."""
    for _ in range(passes):
        _, label = terminals.groups(links)
        moves = _moves(links, terminals, label, apart=False)
        better = moves[moves[:, 0] < 0][:_TRIES]
        for _, i, j, a, b, c, d in better.tolist():
            trial = links.copy()
            trial[i] = (a, c)
            trial[j] = (b, d)
            if terminals.ends is not None:
                trial = _split_far(trial, terminals)
            if terminals.groups(trial)[0] == 1:
                links = trial
                break
        else:
            return links
    return links


def total(links: Ints, terminals: Terminals) -> int:
    """Cost of all links in thousandths."""
    return int(terminals.costs(links[:, 0], links[:, 1]).sum())


def _moves(links: Ints, terminals: Terminals, label: Ints, *, apart: bool) -> Ints:
    """Exchanges ``(gain, i, j, a, b, c, d)``: links i = (a, b), j = (c, d) become (a, c), (b, d).

    Sorted by added cost. With ``apart`` only exchanges between different pieces; a link given
    to the hub has ``j = -1``.
    """
    size = len(terminals.component)
    of = np.full(size, -1)
    side = np.zeros(size, np.int64)
    for s in (1, 0):
        real = links[:, s] != HUB
        of[links[real, s]] = np.flatnonzero(real)
        side[links[real, s]] = s
    near = terminals.near
    used = (of[near.first] >= 0) & (of[near.second] >= 0)
    a, c = near.first[used], near.second[used]
    i, j = of[a], of[c]
    keep = label[i] != label[j] if apart else i != j
    a, c, i, j, cost = a[keep], c[keep], i[keep], j[keep], near.cost[used][keep]
    b = links[i, 1 - side[a]]
    d = links[j, 1 - side[c]]
    now = terminals.costs(links[:, 0], links[:, 1])
    added = cost + terminals.costs(b, d) - now[i] - now[j]
    moves = np.column_stack([added, i, j, a, b, c, d])
    if terminals.ends is not None and apart:
        whole = np.flatnonzero((links != HUB).all(axis=1))
        hub = np.full(len(whole), HUB)
        give = np.column_stack(
            [
                terminals.apart(links[whole, 0], links[whole, 1]) - now[whole],
                *(whole, hub, links[whole, 0], hub, links[whole, 1], hub),
            ]
        )
        moves = np.concatenate([moves, give])
    return moves[np.lexsort((moves[:, 3], moves[:, 5], moves[:, 0]))]


def _apply(links: Ints, moves: Ints, terminals: Terminals, label: Ints) -> bool:
    """Apply exchanges cheapest first, each link and each joint once; in place."""
    hub_label = _hub_label(links, label)
    parent: dict[int, int] = {}

    def find(x: int) -> int:
        while parent.setdefault(x, x) != x:
            parent[x] = parent[parent[x]]
            x = parent[x]
        return x

    touched: set[int] = set()
    extra: list[tuple[int, int]] = []
    for added, i, j, a, b, c, d in moves.tolist():
        if added >= _NEVER and terminals.ends is None:
            break
        if i in touched or j in touched:
            continue
        x = find(int(label[i]))
        y = find(int(label[j]) if j != HUB else hub_label)
        if x == y:
            continue
        parent[x] = y
        touched.add(i)
        if j == HUB:
            links[i] = (a, HUB)
            extra.append((c, HUB))
        else:
            touched.add(j)
            links[i] = (a, c)
            links[j] = (b, d)
    if extra:
        links.resize((len(links) + len(extra), 2), refcheck=False)
        links[-len(extra) :] = extra
    return bool(touched)


def _hub_label(links: Ints, label: Ints) -> int:
    at = np.flatnonzero((links == HUB).any(axis=1))
    return int(label[at[0]]) if len(at) else -2


def _split_far(links: Ints, terminals: Terminals) -> Ints:
    """A link no nearer than a cut is two run ends."""
    cost = terminals.costs(links[:, 0], links[:, 1])
    apart = terminals.apart(links[:, 0], links[:, 1])
    far = (cost >= apart) & (links != HUB).all(axis=1) & (links[:, 0] != links[:, 1])
    pairless = (links == HUB).all(axis=1)
    if not far.any() and not pairless.any():
        return links
    hub = np.full(int(far.sum()), HUB)
    ends = [np.column_stack([links[far, k], hub]) for k in (0, 1)]
    return np.concatenate([links[~far & ~pairless], *ends])
