"""Rings cut into stretches, one cut after another: each stretch is a node of a smaller task.

Every parting of the rings gives a task that is no dearer than the whole. The fewer cuts, the
narrower its front; so cuts are made only where a walk through the smaller task passes along a
stretch for nothing, and there at the dearest edge, which such a walk then has to pay.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.runs.facets import beside, round_piece, stretches
from loftline.runs.rounds import FAR
from loftline.runs.rural import Rural
from loftline.values import Bools, Ints

Span = tuple[int, int]
"""From one place round a ring to another, the way it is numbered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """A ring, or a way round a keep-out that one ring alone meets.

    Attributes:
        first: name of its first stretch.
        nodes: ``(n,)`` in order round it.
        edge: ``(n,)`` from each to the next, -1 where there is none.
        far: ``(n + 1,)`` cost from the first node to each, and round to itself; an edge that
            is not there costs more than anything else.
        cut: ``(n,)`` whether the edge is cut: another stretch begins.
    """

    first: int
    nodes: Ints
    edge: Ints
    far: Ints
    cut: Bools

    def places(self, span: Span) -> Ints:
        """The edges from one place to another."""
        begin, end = span
        n = len(self.nodes)
        return (begin + np.arange((end - begin) % n)) % n

    def named(self, size: int) -> Ints:
        """``(n,)`` names of the stretches: of the first as the loop's, of others from ``size``."""
        at = np.flatnonzero(self.cut)
        out = np.full(len(self.nodes), self.first)
        if len(at) < 2:
            return out
        # the last stretch goes on at the first node, unless the edge home is cut
        which = np.searchsorted(at, np.arange(len(self.nodes))) % len(at)
        other = which > 0
        out[other] = size + self.nodes[at[which[other] - 1] + 1]
        return out


class Stretched:
    """A task while its rings are being cut.

    Attributes:
        rural: the task.
        loops: what can be cut.
        loop: ``(n,)`` the loop each node lies on, -1 for none.
        place: ``(n,)`` where on it.
    """

    def __init__(self, rural: Rural, which: Bools, rounds: int) -> None:
        """Begin with the stretches that face the same.

        Args:
            rural: the task.
            which: ``(pieces,)`` the rings.
            rounds: as of :func:`~loftline.runs.facets.stretches`.
        """
        self.rural = rural
        self._own = rural.pieces + np.arange(rural.size)
        self._base = stretches(rural, which, rounds)
        self.loops: list[Loop] = []
        self._kept: list[Bools] = []
        self.loop = np.full(rural.size, -1)
        self.place = np.full(rural.size, -1)
        a, b = rural.piece[rural.u], rural.piece[rural.v]
        on = (rural.piece >= 0) & which[rural.piece]
        around = (rural.piece < 0) & (self._base != self._own)
        around |= (rural.piece < 0) & np.isin(self._own, self._base[around])
        same = (a == b) & (self._base[rural.u] == self._base[rural.v])
        inner = np.flatnonzero(((a == b) & on[rural.u]) | (same & around[rural.u]))
        near = beside(rural, inner)
        name = np.where(on, rural.piece, np.where(around, self._base, -1))
        order = np.argsort(name, kind="stable")
        for nodes in np.split(order, np.flatnonzero(np.diff(name[order])) + 1):
            if name[nodes[0]] >= 0:
                self._add(int(name[nodes[0]]), nodes, near)

    def _add(self, first: int, nodes: Ints, near: dict[int, list[tuple[int, int]]]) -> None:
        if max(len(near.get(node, ())) for node in nodes.tolist()) > 2:
            # ways that branch stay one node
            return
        there, edge = (np.array(x, np.int64) for x in round_piece(nodes.tolist(), near))
        cost = np.where(edge >= 0, self.rural.cost[edge], FAR)
        self.loop[there] = len(self.loops)
        self.place[there] = np.arange(len(there))
        name = self._base[there]
        self.loops.append(
            Loop(
                first=first,
                nodes=there,
                edge=edge,
                far=np.concatenate([[0], np.cumsum(cost)]),
                cut=name != np.roll(name, -1),
            )
        )

    @property
    def name(self) -> Ints:
        """``(n,)`` names, the same for nodes that are one for the time being."""
        out = self._base.copy()
        for loop in self.loops:
            out[loop.nodes] = loop.named(self.rural.pieces)
        return out

    def keep(self) -> None:
        """Take note of the cuts there are."""
        self._kept = [loop.cut.copy() for loop in self.loops]

    def mend(self) -> None:
        """Undo the cuts made since note was taken."""
        for loop, cut in zip(self.loops, self._kept, strict=True):
            loop.cut[:] = cut

    def cut(self, loop: Loop, spans: list[Span]) -> bool:
        """Cut what was passed along for nothing at its dearest edge; whether anything was."""
        whole = loop.cut.sum() < 2
        done = False
        for begin, end in spans:
            here = self._cut_once(loop, (begin, end))
            if whole or not here:
                # or it would be passed the other way round
                here |= self._cut_once(loop, (end, begin))
            done |= here
        return done

    def _cut_once(self, loop: Loop, span: Span) -> bool:
        at = loop.places(span)
        at = at[~loop.cut[at]]
        if len(at):
            loop.cut[at[np.diff(loop.far)[at].argmax()]] = True
        return len(at) > 0
