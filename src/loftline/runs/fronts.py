"""In which order to go over the edges of a task, so that little need be remembered on the way.

Between the edges gone over and those still to come lies the *front*: nodes and pieces that
have edges of both. Channels lie side by side, so that their front is a few nodes whatever
the size of the panel. The order is found greedily: always the node that closes most of what
is open (as in orderings for narrow bandwidth, Cuthill & McKee 1969, but with the width of the
front itself looked at), from a few starts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.rural import Rural
from loftline.values import Ints

MOST_NODES, MOST_SPOTS = 14, 15
"""Open at once at most, where not told."""

_MOST_STATES = 8_000_000
"""Parities of the open nodes, over all edges: as many numbers are kept on the way back."""

_STATES_AN_EDGE = 64
"""The same on networks so large that this is more: channels need so many, whatever their size."""

_OFTEN = 5000
"""Nodes or edges between two progress steps."""

_TRIES = 3
_FEW = 4
"""Nodes of a piece so small are all looked at once one of them is met."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One edge in its turn.

    Attributes:
        edge: its number.
        places: where the spots of its ends stand in the front.
        bits: the ends' bits in the front's parities.
        opened: those of them that are new and odd.
        done: bits of ends that have no edge after it.
        open: all bits that are in use after it.
        begun: places of spots that are new, and whether each is a piece.
        ended: places of spots that have no edge after it.
    """

    edge: int
    places: tuple[int, int]
    bits: int
    opened: int
    done: int
    open: int
    begun: tuple[tuple[int, bool], ...]
    ended: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """An order of all edges; the spot at place 0 is open from first to last.

    Attributes:
        stages: the edges.
        nodes: how many bits there are.
        spots: how many places there are.
    """

    stages: list[Stage]
    nodes: int
    spots: int


def find_front(
    rural: Rural, most_nodes: int = MOST_NODES, more: int = 0, step: Step = does_nothing
) -> Front | None:
    """The narrowest front of a few; ``None`` where it is too wide, or a piece has no edge.

    Args:
        rural: the task.
        most_nodes: open at once at most.
        more: starts that are looked at besides the usual few.
        step: progress callback.
    """
    spot = rural.spot
    ended = rural.origin < 0
    hub = int(rural.v[ended][0]) if ended.any() else -1
    touched = np.unique(np.concatenate([spot[rural.u], spot[rural.v]]))
    if len(touched) < 2 or int((touched < rural.pieces).sum()) < rural.pieces:
        return None
    if hub >= 0:
        root = int(spot[hub])
    else:
        # a piece that is met all along costs least where it has most to be met by
        met = np.concatenate([spot[rural.u], spot[rural.v]])
        root = int(np.bincount(met[met < rural.pieces]).argmax())
    step("joining", 0, 1)
    graph = _Graph(rural, hub, root)
    best: tuple[int, list[int]] | None = None
    tried: set[int] = set()
    start = graph.first
    starts = [graph.nodes[k * len(graph.nodes) // more] for k in range(more)]
    while start not in tried or starts:
        if start in tried or len(tried) >= _TRIES:
            if not starts:
                break
            start = starts.pop()
        tried.add(start)
        enough = math.inf if best is None else best[0]
        found = graph.order(start, most_nodes, enough, step)
        if found is not None:
            best = found
        # where one order ends, a better one may begin
        start = graph.last
    if best is None:
        return None
    front = _staged(rural, hub, root, _edges(rural, hub, best[1]), step)
    fits = front.nodes <= most_nodes and front.spots <= MOST_SPOTS
    parities = sum(1 << stage.open.bit_length() for stage in front.stages)
    allowed = max(_MOST_STATES, _STATES_AN_EDGE * len(front.stages))
    return front if fits and parities <= allowed else None


class _Graph:
    """Nodes beside each other, without the hub."""

    def __init__(self, rural: Rural, hub: int, root: int) -> None:
        spot = rural.spot.tolist()
        self.spot, self.root = spot, root
        self.near: list[set[int]] = [set() for _ in spot]
        for a, b in zip(rural.u.tolist(), rural.v.tolist(), strict=True):
            if hub not in (a, b):
                self.near[a].add(b)
                self.near[b].add(a)
        used = np.unique(np.concatenate([rural.u, rural.v]))
        self.nodes = [node for node in used.tolist() if node != hub]
        self.first = self.last = self.nodes[0]
        self.inside: dict[int, list[int]] = {}
        for node in self.nodes:
            self.inside.setdefault(spot[node], []).append(node)

    def order(
        self, start: int, most_nodes: int, enough: float, step: Step
    ) -> tuple[int, list[int]] | None:
        """The nodes in order, and what has to be remembered in all; ``None``: too much at once."""
        growth = _Growth(self)
        total = 0
        waiting = iter(self.nodes)
        node = start
        while True:
            growth.place(node)
            self.last = node
            if len(growth.order) % _OFTEN == 0:
                step("joining", len(growth.order), len(self.nodes))
            if growth.open_nodes >= most_nodes or len(growth.open_spots) >= MOST_SPOTS:
                return None
            total += 1 << (growth.open_nodes + len(growth.open_spots))
            if total >= enough:
                return None
            if len(growth.order) == len(self.nodes):
                return total, growth.order
            if growth.beside:
                node = min(growth.beside, key=growth.merit)
            else:
                node = next(t for t in waiting if growth.number[t] < 0)


class _Growth:
    """What is open while nodes are placed one after another.

    Attributes:
        order: the nodes placed.
        number: when each node was placed, -1 for not yet.
        beside: nodes that may be next.
        open_nodes: how many nodes have neighbours on both sides.
        open_spots: spots that have.
    """

    def __init__(self, graph: _Graph) -> None:
        self._graph = graph
        self._left = [len(beside) for beside in graph.near]
        self._unfinished = {spot: len(nodes) for spot, nodes in graph.inside.items()}
        self.order: list[int] = []
        self.number = [-1] * len(graph.near)
        self.beside: set[int] = set()
        self.open_nodes = 0
        self.open_spots: set[int] = set()

    def place(self, node: int) -> None:
        """Take a node as the next."""
        graph, left = self._graph, self._left
        home = graph.spot[node]
        self.number[node] = len(self.order)
        self.order.append(node)
        self.beside.discard(node)
        self.open_nodes += 1
        if home != graph.root:
            self.open_spots.add(home)
            if len(graph.inside[home]) <= _FEW:
                self.beside.update(t for t in graph.inside[home] if self.number[t] < 0)
        if not left[node]:
            self._close(node)
        for other in graph.near[node]:
            left[other] -= 1
            if self.number[other] < 0:
                self.beside.add(other)
            elif not left[other]:
                self._close(other)

    def _close(self, node: int) -> None:
        spot = self._graph.spot[node]
        self.open_nodes -= 1
        self._unfinished[spot] -= 1
        if not self._unfinished[spot]:
            self.open_spots.discard(spot)

    def merit(self, node: int) -> tuple[int, int, int]:
        """How much a node would open, less what it closes; then how long it has been waited for."""
        graph, number = self._graph, self.number
        home = graph.spot[node]
        opens = 1 if self._left[node] else 0
        closing = {} if self._left[node] else {home: 1}
        oldest = len(number)
        for other in graph.near[node]:
            if number[other] < 0:
                continue
            oldest = min(oldest, number[other])
            if self._left[other] == 1:
                opens -= 1
                spot = graph.spot[other]
                closing[spot] = closing.get(spot, 0) + 1
        met = [number[t] for t in graph.inside[home][:_FEW] if number[t] >= 0]
        if met:
            oldest = min(oldest, *met)
        elif home != graph.root:
            opens += 1
        for spot, count in closing.items():
            opens -= spot != graph.root and self._unfinished[spot] == count
        return opens, oldest, node


def _edges(rural: Rural, hub: int, order: list[int]) -> Ints:
    """Edges by their later end; those of the hub once nothing else is left of their node."""
    rank = np.full(rural.size, -1)
    rank[order] = np.arange(len(order))
    one, other = rank[rural.u], rank[rural.v]
    late, early = np.maximum(one, other), np.minimum(one, other)
    if hub < 0:
        return np.lexsort((early, late))
    plain = (rural.u != hub) & (rural.v != hub)
    final = np.full(rural.size, -1)
    for end in (rural.u, rural.v):
        np.maximum.at(final, end[plain], late[plain])
    # a node with no other edge has its own turn
    final = np.maximum(final, rank)
    inner = np.where(rural.u == hub, rural.v, rural.u)
    turn = np.where(plain, late, final[inner])
    return np.lexsort((np.where(plain, early, late), ~plain, turn))


class _Slots:
    """Numbers for what is open, each the lowest that is free."""

    def __init__(self) -> None:
        self.of: dict[int, int] = {}
        self.count = 0
        self._free: list[int] = []

    def take(self, name: int) -> bool:
        """Give it a number; whether it had none."""
        if name in self.of:
            return False
        if self._free:
            self.of[name] = heappop(self._free)
        else:
            self.of[name], self.count = self.count, self.count + 1
        return True

    def give_back(self, name: int) -> None:
        heappush(self._free, self.of[name])


def _staged(rural: Rural, hub: int, root: int, edges: Ints, step: Step) -> Front:
    """Give nodes their bits and spots their places."""
    spot, odd = rural.spot.tolist(), rural.odd.tolist()
    ends = list(zip(rural.u[edges].tolist(), rural.v[edges].tolist(), strict=True))
    last_of_node: dict[int, int] = {}
    last_of_spot: dict[int, int] = {}
    for k, pair in enumerate(ends):
        for node in pair:
            last_of_node[node] = last_of_spot[spot[node]] = k
    # the root stays; and that all others are even makes the hub even too
    last_of_spot[root] = last_of_node[hub] = len(ends)
    bits, places = _Slots(), _Slots()
    places.take(root)
    stages = []
    in_use = 0
    for k, (edge, pair) in enumerate(zip(edges.tolist(), ends, strict=True)):
        if k % _OFTEN == 0:
            step("joining", k, len(ends))
        one, other = spot[pair[0]], spot[pair[1]]
        inner = [node for node in pair if node != hub]
        fresh = [node for node in inner if bits.take(node)]
        done = [node for node in inner if last_of_node[node] == k]
        begun = [s for s in (one, other) if places.take(s)]
        ended = [s for s in {one, other} if last_of_spot[s] == k]
        both, final = (sum(1 << bits.of[node] for node in nodes) for nodes in (inner, done))
        in_use = (in_use | both) & ~final
        stages.append(
            Stage(
                edge=edge,
                places=(places.of[one], places.of[other]),
                bits=both,
                opened=sum(odd[node] << bits.of[node] for node in fresh),
                done=final,
                open=in_use,
                begun=tuple((places.of[s], s < rural.pieces) for s in begun),
                ended=tuple(places.of[s] for s in ended),
            )
        )
        for s in ended:
            places.give_back(s)
        for node in done:
            bits.give_back(node)
    return Front(stages=stages, nodes=bits.count, spots=places.count)
