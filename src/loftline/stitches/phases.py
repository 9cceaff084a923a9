"""Where needle points should lie beside a place that is sewn through more than once.

The phase of a stitch there is the part of it that lies before the place, in stitches: at one
half the place is in the middle. Lines that cross want just that, since each has holes of its own
direction then. Lines that touch, or lie on each other, want phases that differ, for their holes
lie along one line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.stitches.path import Path
from loftline.values import Bools, Floats, Ints

_ALONGSIDE = math.radians(20.0)
"""Two directions nearer than this are one."""

_FREE, _FREE_ALONGSIDE = 0.15, 0.08
"""How far from its wanted phase a stitch may lie at no price."""

_PIERCED = 3.0
"""How much worse a hole is where the needle enters in any case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Through:
    """Wishes for the vertices where a path goes on over a crossing.

    Attributes:
        matters: ``(n,)`` how much it matters at each vertex of the path, mostly 0.
        wanted: ``(n,)`` phase from 0 to 1.
        free: ``(n,)`` how far from it a stitch may lie at no price.
    """

    matters: Floats
    wanted: Floats
    free: Floats


def find_phases(path: Path, passed: Ints, pierced: Bools) -> Through:
    """Wished phases.

    Args:
        path: the runs.
        passed: vertices where it goes on over a place that is sewn through again.
        pierced: by node, whether the needle enters there in any case.

    Returns:
        Wishes for the whole path; O(k log k) in the vertices passed.
    """
    n = len(path.points)
    matters, wanted, free = np.zeros(n), np.full(n, 0.5), np.full(n, _FREE)
    if len(passed):
        way = path.points[passed + 1] - path.points[passed - 1]
        group, node_of = _alongside(path.node[passed], way)
        count = np.bincount(group)
        order = np.argsort(group, kind="stable")
        rank = np.empty(len(group), np.int64)
        rank[order] = np.arange(len(group)) - np.repeat(np.cumsum(count) - count, count)
        first = order[np.cumsum(count) - count]
        many = count[group]
        hit = pierced[path.node[passed]]
        phase = np.where(
            hit | (many == 1),
            (rank + 1) / (many + 1),
            0.5 + rank / many + _second(count, node_of)[group] / 4,
        )
        backward = (way * way[first][group]).sum(axis=1) < 0
        wanted[passed] = np.where(backward, -phase, phase) % 1.0
        free[passed] = np.where(many > 1, _FREE_ALONGSIDE, _FREE)
        matters[passed] = np.where(hit, _PIERCED, 1.0)
    return Through(matters=matters, wanted=wanted, free=free)


def _alongside(node: Ints, way: Floats) -> tuple[Ints, Ints]:
    """Group passes of one node by direction: the group of each, and the node of each group."""
    angle = np.arctan2(way[:, 1], way[:, 0]) % math.pi
    order = np.lexsort((angle, node))
    at, turn = node[order], angle[order]
    fresh = np.append(True, at[1:] != at[:-1])
    apart = fresh | np.append(True, np.diff(turn) > _ALONGSIDE)
    label = np.cumsum(apart) - 1
    # directions just above nought and just under half a turn are one
    begin = np.flatnonzero(fresh)
    end = np.append(begin[1:], len(at)) - 1
    round_again = turn[end] - turn[begin] > math.pi - _ALONGSIDE
    same = np.arange(int(label[-1]) + 1)
    same[label[end[round_again]]] = label[begin[round_again]]
    names, label = np.unique(same[label], return_inverse=True)
    group = np.empty(len(node), np.int64)
    group[order] = label
    of = np.empty(len(names), np.int64)
    of[label] = at
    return group, of


def _second(count: Ints, node: Ints) -> Bools:
    """Of two groups of several passes at one node, the second."""
    many = np.flatnonzero(count > 1)
    out = np.zeros(len(count), bool)
    _, first = np.unique(node[many], return_index=True)
    out[np.delete(many, first)] = True
    return out
