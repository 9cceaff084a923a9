"""Rings parted into stretches that face the same neighbours.

A ring taken for a single node can be left at any place whatever it was come to at, for
nothing. Most of that is no error: of rings around each other, every place faces both
neighbours. But where three meet, a ring faces one of them here and another one there, and
what lies between must be sewn over again. So each such stretch becomes a node of its own; and
rings beside it are parted in turn by the stretches that they face.
"""

from __future__ import annotations

import numpy as np

from loftline.runs.connected import components
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


def stretches(rural: Rural, which: Bools, rounds: int = 1) -> Ints:
    """``(n,)`` names for nodes, the same for those of one stretch of a ring.

    The ways round a keep-out that one ring alone meets are one node.

    Args:
        rural: the task.
        which: ``(pieces,)`` the rings; all other nodes keep a name of their own.
        rounds: how often the rings are parted: the second time by the stretches that they
            face, and so on.

    Returns:
        A ring's first stretch is named after its piece; other names are higher.
    """
    n = rural.size
    on_ring = (rural.piece >= 0) & which[rural.piece]
    own = rural.pieces + np.arange(n)
    name = np.where(on_ring, rural.piece, own)
    # the hub is one node with the name of its piece
    if (rural.origin < 0).any():
        name[rural.piece == rural.pieces - 1] = rural.pieces - 1
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    bare = (a < 0) & (b < 0)
    round_about = _round_about(rural, bare, which)
    name = np.where(round_about >= 0, own[round_about], name)
    within = (a == b) & (a >= 0)
    near = beside(rural, np.flatnonzero(within & on_ring[rural.u]))
    order = np.argsort(rural.piece, kind="stable")
    parts = np.split(order, np.searchsorted(rural.piece[order], np.arange(rural.pieces + 1)))[1:]
    rings = [round_piece(parts[k].tolist(), near) for k in np.flatnonzero(which).tolist()]
    steps = ~within & ~bare & (rural.origin >= 0)
    ends = list(zip(rural.u[steps].tolist(), rural.v[steps].tolist(), strict=True))
    for _ in range(rounds):
        told = name.tolist()
        faced: list[set[int]] = [set() for _ in range(n)]
        for u, v in ends:
            faced[u].add(told[v])
            faced[v].add(told[u])
        finer = name.copy()
        for ring, edges in rings:
            for stretch in _parted(ring, faced, home=edges[-1] >= 0)[1:]:
                finer[stretch] = own[stretch[0]]
        if (finer == name).all():
            break
        name = finer
    return name


def _round_about(rural: Rural, bare: Bools, which: Bools) -> Ints:
    """``(n,)`` the first node of the ways between nodes without sewing that one ring alone meets.

    Args:
        rural: the task.
        bare: ``(m,)`` edges between nodes without sewing.
        which: ``(pieces,)`` the rings.

    Returns:
        -1 for all other nodes.
    """
    n = rural.size
    label = components(n, rural.u[bare], rural.v[bare])
    low, high = np.full(n, rural.pieces), np.full(n, -1)
    for one, other in ((rural.u, rural.v), (rural.v, rural.u)):
        met = (rural.piece[one] < 0) & (rural.piece[other] >= 0) & (rural.origin >= 0)
        np.minimum.at(low, label[one[met]], rural.piece[other[met]])
        np.maximum.at(high, label[one[met]], rural.piece[other[met]])
    alone = (low == high) & which[np.clip(low, 0, rural.pieces - 1)]
    _, first, place = np.unique(label, return_index=True, return_inverse=True)
    return np.where((rural.piece < 0) & alone[label], first[place], -1)


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
