"""Rings parted into stretches that face the same neighbours.

A ring taken for a single node can be left at any place whatever it was come to at, for
nothing. Most of that is no error: of rings around each other, every place faces both
neighbours. But where three meet, a ring faces one of them here and another one there, and
what lies between must be sewn over again. So each such stretch becomes a node of its own.
"""

from __future__ import annotations

import numpy as np

from loftline.runs.rural import Rural
from loftline.values import Bools, Ints


def round_piece(
    nodes: list[int], near: dict[int, list[tuple[int, int]]]
) -> tuple[list[int], list[int]]:
    """Nodes of a ring or line in order, with the edge to the next; -1 where there is none.

    Args:
        nodes: those of one piece.
        near: for each node those beside it in its piece, and the edges to them.
    """
    order: list[int] = []
    edges: list[int] = []
    seen: set[int] = set()
    for start in sorted(nodes, key=lambda n: (len(near.get(n, ())), n)):
        if start in seen:
            continue
        node, last = start, -1
        while True:
            seen.add(node)
            order.append(node)
            on = [(m, e) for m, e in near.get(node, ()) if e != last and m not in seen]
            if not on:
                break
            node, last = on[0]
            edges.append(last)
        home = [e for m, e in near.get(node, ()) if m == start and e != last]
        edges.append(home[0] if home and len(order) == len(nodes) else -1)
    return order, edges


def beside(rural: Rural, inner: Ints) -> dict[int, list[tuple[int, int]]]:
    """For each node those beside it along some edges, and these."""
    near: dict[int, list[tuple[int, int]]] = {}
    for e, x, y in zip(
        inner.tolist(), rural.u[inner].tolist(), rural.v[inner].tolist(), strict=True
    ):
        near.setdefault(x, []).append((y, e))
        near.setdefault(y, []).append((x, e))
    return near


def stretches(rural: Rural, which: Bools) -> Ints:
    """``(n,)`` names for nodes, the same for those of one stretch of a ring.

    Args:
        rural: the task.
        which: ``(pieces,)`` the rings; all other nodes keep a name of their own.

    Returns:
        A ring's first stretch is named after its piece; other names are higher.
    """
    n = rural.size
    on_ring = (rural.piece >= 0) & which[rural.piece]
    own = rural.pieces + np.arange(n)
    name = np.where(on_ring, rural.piece, own)
    # the hub is one node with the name of its piece
    hub = rural.piece == rural.pieces - 1
    if (rural.origin < 0).any():
        name[hub] = rural.pieces - 1
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    within = (a == b) & (a >= 0)
    near = beside(rural, np.flatnonzero(within & on_ring[rural.u]))
    # a node without sewing is a neighbour by itself
    told = np.where(rural.piece >= 0, rural.piece, own)
    faced: list[set[int]] = [set() for _ in range(n)]
    for e in np.flatnonzero(~within & (rural.origin >= 0)).tolist():
        u, v = int(rural.u[e]), int(rural.v[e])
        faced[u].add(int(told[v]))
        faced[v].add(int(told[u]))
    order = np.argsort(rural.piece, kind="stable")
    parts = np.split(order, np.searchsorted(rural.piece[order], np.arange(rural.pieces + 1)))[1:]
    for piece in np.flatnonzero(which).tolist():
        ring, edges = round_piece(parts[piece].tolist(), near)
        for stretch in _parted(ring, faced, home=edges[-1] >= 0)[1:]:
            name[stretch] = own[stretch[0]]
    return name


def _parted(ring: list[int], faced: list[set[int]], *, home: bool) -> list[list[int]]:
    """Stretches: a node goes on with the last one unless each faces what the other does not."""
    found: list[tuple[list[int], set[int]]] = []
    for node in ring:
        here = faced[node]
        if found and (here <= found[-1][1] or found[-1][1] <= here):
            found[-1][0].append(node)
            found[-1][1].update(here)
        else:
            found.append(([node], set(here)))
    if len(found) > 1 and home:
        first, last = found[0], found[-1]
        if first[1] <= last[1] or last[1] <= first[1]:
            first[0].extend(last[0])
            found.pop()
    return [nodes for nodes, _ in found]
