"""Trees that rings may be joined along, tried one after another."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loftline.errors import Step
from loftline.runs.nested import Nest, Tree
from loftline.runs.rural import Rural
from loftline.values import Floats, Ints

_WORK = 20_000
"""Nodes gone round while trees are tried, one or two seconds of a core."""

_PREFERRED = 1e9


def best_tree(nest: Nest, tree: Tree, cost: int, effort: float, step: Step) -> tuple[Tree, int]:
    """The best of a tree of a known cost and those like it, and what it costs."""
    tree = sorted(tree)
    most = int(effort * _WORK)
    better = True
    while better and nest.visits < most:
        better = False
        for other in _exchanged(nest, tree):
            step("joining", min(nest.visits, most), most)
            found = nest.cost(other)
            if found is not None and found < cost:
                cost, tree, better = found, other, True
                break
            if nest.visits >= most:
                break
    return tree, cost


def guided(rural: Rural, small: Rural, walked: Ints) -> Floats:
    """Weights that prefer the pairs of pieces that a walk between single nodes uses."""
    count = rural.pieces
    used = np.flatnonzero(walked)
    ends = np.sort([small.piece[small.u[used]], small.piece[small.v[used]]], axis=0)
    low, high = ends[:, (ends[0] >= 0) & (ends[0] < ends[1])]
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    key = np.minimum(a, b) * count + np.maximum(a, b)
    preferred = np.isin(key, low * count + high) & (a != b) & (a >= 0) & (b >= 0)
    return np.asarray(rural.cost - _PREFERRED * preferred)


def _exchanged(nest: Nest, tree: Tree) -> Iterator[Tree]:
    """Trees with one pair of pieces exchanged for another, the cheapest new one first."""
    fresh = sorted(set(nest.pairs) - set(tree), key=lambda pair: (nest.least(pair), pair))
    for pair in fresh:
        for old in _path(tree, pair):
            yield sorted([*(p for p in tree if p != old), pair])


def _path(tree: Tree, pair: tuple[int, int]) -> Tree:
    """Pairs of the tree between two pieces."""
    near: dict[int, list[int]] = {}
    for a, b in tree:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    before = {pair[0]: pair[0]}
    queue = [pair[0]]
    for piece in queue:
        for other in near.get(piece, ()):
            if other not in before:
                before[other] = piece
                queue.append(other)
    out = []
    piece = pair[1]
    while piece != pair[0]:
        last = before[piece]
        out.append((min(piece, last), max(piece, last)))
        piece = last
    return out
