"""Which edge ends follow each other at every node: as straight on as can be.

Edge ``k`` has two ends: half-edge ``2 k`` leaves its ``u``, half-edge ``2 k + 1`` its ``v``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from loftline.values import Floats, Ints

FREE = -1
"""Mate of an edge end where a run begins or ends."""

_ALL_WAYS = 6
"""Up to so many ends at a node all pairings are looked at (15 for six ends)."""

_BACK = math.radians(165.0)
_BACK_COSTS = math.pi / 2
"""Sewing straight back over a line is worse than two swings of a right angle."""

_DIGITS = 9
"""Equal turns must not be told apart by rounding: decimals of a radian that count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Half-edges by the node they leave.

    Attributes:
        order: all half-edges, those of one node together and ascending.
        begin, degree: where each node's half-edges begin in ``order``, and how many.
    """

    order: Ints
    begin: Ints
    degree: Ints

    @classmethod
    def of(cls, u: Ints, v: Ints) -> Meeting:
        """The half-edges of a multigraph's edges."""
        node = np.column_stack([u, v]).ravel()
        order = np.argsort(node, kind="stable")
        cut = np.flatnonzero(np.diff(node[order])) + 1
        begin = np.concatenate([[0], cut]).astype(np.int64)
        return cls(order=order, begin=begin, degree=np.diff(np.append(begin, len(node))))


def bother(out: Floats, on: Floats) -> Floats:
    """How much a turn is minded, in radians.

    Args:
        out: direction in which the edge that is arrived on leaves the node.
        on: direction in which the next edge leaves it.

    Returns:
        The change of direction; 0 goes straight on. Turning back costs more.
    """
    apart = np.abs(out - on) % (2 * math.pi)
    turn = math.pi - np.minimum(apart, 2 * math.pi - apart)
    return np.asarray(np.round(turn + np.where(turn > _BACK, _BACK_COSTS, 0.0), _DIGITS))


def pair_ends(meeting: Meeting, heading: Floats) -> Ints:
    """Pair the half-edges at each node with the least bother; an odd node leaves one free.

    Args:
        meeting: half-edges by node.
        heading: ``(2 m,)`` direction in radians in which each half-edge leaves its node.

    Returns:
        ``(2 m,)`` the mate of each half-edge, :data:`FREE` for none. Linear in the edges.
    """
    mate = np.full(len(heading), FREE, np.int64)
    for degree in np.unique(meeting.degree).tolist():
        if degree < 2:
            continue
        begin = meeting.begin[meeting.degree == degree]
        ends = meeting.order[begin[:, None] + np.arange(degree)]
        pairs = _opposite(ends, heading) if degree > _ALL_WAYS else _straightest(ends, heading)
        x, y = pairs[..., 0].ravel(), pairs[..., 1].ravel()
        mate[x], mate[y] = y, x
    return mate


def _straightest(ends: Ints, heading: Floats) -> Ints:
    """The best of all pairings, ``(g, d // 2, 2)`` half-edges for ``(g, d)`` ends."""
    ways = np.array(_pairings(tuple(range(ends.shape[1]))))
    if len(ways) == 1:
        return ends[:, ways[0]]
    total = np.stack(
        [
            sum(bother(heading[ends[:, x]], heading[ends[:, y]]) for x, y in way)
            for way in ways.tolist()
        ]
    )
    chosen = ways[np.argmin(np.round(total, _DIGITS), axis=0)]
    rows = np.arange(len(ends))[:, None, None]
    best: Ints = ends[rows, chosen]
    return best


@cache
def _pairings(ends: tuple[int, ...]) -> tuple[tuple[tuple[int, int], ...], ...]:
    """All ways to pair the ends off; of an odd number one is left over."""
    if len(ends) < 2:
        return ((),)
    first, rest = ends[0], ends[1:]
    found = [
        ((first, other), *more)
        for i, other in enumerate(rest)
        for more in _pairings(rest[:i] + rest[i + 1 :])
    ]
    if len(ends) % 2:
        found += _pairings(rest)
    return tuple(found)


def _opposite(ends: Ints, heading: Floats) -> Ints:
    """Pair each end with the one half-way round the node."""
    turn = np.round(heading[ends] % (2 * math.pi), _DIGITS) % round(2 * math.pi, _DIGITS)
    ordered = np.take_along_axis(ends, np.argsort(turn, axis=1, kind="stable"), axis=1)
    half = ends.shape[1] // 2
    return np.stack([ordered[:, :half], ordered[:, half : 2 * half]], axis=2)
