"""Whether two nodes can be parted by a border that is walked too little.

Augmenting ways by breadth first (Edmonds & Karp, Journal of the ACM 19, 1972), ended as
soon as enough flows: most pairs are joined well, and that is found out quickly. Plain lists,
since the networks are small and a call must cost next to nothing.
"""

from __future__ import annotations

import numpy as np

from loftline.values import Bools, Floats, Ints

_NOTHING = 1e-9


class Flows:
    """A network with capacities, asked for cuts between many pairs."""

    def __init__(self, n: int, a: Ints, b: Ints, capacity: Floats) -> None:
        use = np.flatnonzero((a != b) & (capacity > _NOTHING))
        self._around: list[list[int]] = [[] for _ in range(n)]
        self._head: list[int] = []
        self._room: list[float] = []
        self._home = list(range(n))
        for p, q, x in zip(a[use].tolist(), b[use].tolist(), capacity[use].tolist(), strict=True):
            self._around[p].append(len(self._head))
            self._around[q].append(len(self._head) + 1)
            self._head += [q, p]
            self._room += [x, x]

    def parted(self, source: int, sink: int, enough: float) -> Bools | None:
        """The sink's side of a cut of capacity less than enough; ``None`` if there is none.

        Then the sink counts as the source from now on: no such cut comes between them, so
        none is missed as long as all calls ask for as much, and the ways become short.
        """
        if self._home[sink] == source:
            return None
        head = self._head
        room = self._room.copy()
        total = 0.0
        while True:
            node, arrived = self._reach(source, sink, room)
            if node < 0:
                return np.not_equal(arrived, -1)
            way = []
            while node != sink:
                arc = arrived[node]
                way.append(arc)
                node = head[arc]
            most = min(room[arc] for arc in way)
            for arc in way:
                room[arc] -= most
                room[arc ^ 1] += most
            total += most
            if total >= enough:
                self._home[sink] = source
                return None

    def _reach(self, source: int, sink: int, room: list[float]) -> tuple[int, list[int]]:
        """Go from the sink backwards until the source is met.

        Returns:
            The node where it was met, -1 for nowhere, and the arc by which each was reached.
        """
        head, around, home = self._head, self._around, self._home
        arrived = [-1] * len(around)
        arrived[sink] = -2
        queue = [sink]
        for node in queue:
            for arc in around[node]:
                # the arc's twin is walked
                before = head[arc]
                if arrived[before] == -1 and room[arc ^ 1] > _NOTHING:
                    arrived[before] = arc ^ 1
                    if home[before] == source:
                        return before, arrived
                    queue.append(before)
        return -1, arrived
