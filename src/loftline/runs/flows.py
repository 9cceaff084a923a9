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
        for p, q, x in zip(a[use].tolist(), b[use].tolist(), capacity[use].tolist(), strict=True):
            self._around[p].append(len(self._head))
            self._around[q].append(len(self._head) + 1)
            self._head += [q, p]
            self._room += [x, x]

    def parted(self, source: int, sink: int, enough: float) -> Bools | None:
        """The sink's side of a cut of capacity less than enough; ``None`` if there is none."""
        head, around = self._head, self._around
        room = self._room.copy()
        total = 0.0
        while True:
            arrived = [-1] * len(around)
            arrived[sink] = -2
            queue = [sink]
            for node in queue:
                for arc in around[node]:
                    # from the sink backwards: the arc's twin is walked
                    before = head[arc]
                    if arrived[before] == -1 and room[arc ^ 1] > _NOTHING:
                        arrived[before] = arc ^ 1
                        queue.append(before)
                if arrived[source] != -1:
                    break
            if arrived[source] == -1:
                return np.not_equal(arrived, -1)
            way = []
            node = source
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
                return None
