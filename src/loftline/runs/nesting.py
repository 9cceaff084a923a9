"""The search for the tree that rings within rings are best joined along, and its proof.

Which pieces of sewing lie beside each other makes a network of its own, nearly a tree. Its
least walk, where each piece is a single node, costs no more than any walk through the rings
themselves: a bound, and found in a moment. The walk itself is looked for along several trees,
each as good as it can be (:mod:`loftline.runs.nested`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from loftline.errors import Step
from loftline.runs.between import contracted, least_between, least_faced
from loftline.runs.connected import components
from loftline.runs.nested import Nest, Tree
from loftline.runs.proof import UNKNOWN, prove
from loftline.runs.rural import Rural
from loftline.runs.starts import thin
from loftline.values import Bools, Floats, Ints

_WORK = 20_000
"""Nodes gone round while trees are tried, one or two seconds of a core."""

_CLOSE = 0.028
"""A gap of this share of what can be saved is let be."""

_JOINT, _LEAST_JOINT = 0.2, 0.05
"""Share of the effort that goes into what is no ring, the rings taken for single nodes."""

_PREFERRED = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Nested:
    """What is known of rings within rings.

    Attributes:
        walked: ``(m,)`` how often each edge is walked.
        cost: of that, in thousandths.
        bound: proved least cost.
    """

    walked: Ints
    cost: int
    bound: int


def rings_of(rural: Rural) -> Bools:
    """Which pieces are rings: every node is met by two ends of sewing, and no more.

    What a piece looks like is told from the ways to sew over it again; a grid has nodes
    that more than two lead to.
    """
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    inner = (a == b) & (a >= 0)
    lines = np.bincount(np.concatenate([rural.u[inner], rural.v[inner]]), minlength=rural.size)
    more = (lines > 2) | rural.odd
    ring = np.ones(rural.pieces, bool)
    ring[rural.piece[more & (rural.piece >= 0)]] = False
    if (rural.origin < 0).any():
        ring[-1] = False
    return ring


def join_rings(
    rural: Rural, *, planned: Ints | None = None, effort: float, seed: int, step: Step
) -> Nested | None:
    """Join rings by their steps, and to whatever else there is.

    Args:
        rural: the task.
        planned: ``(m,)`` a walk through all pieces but the rings, where there are others.
        effort: 1 is the usual.
        seed: for the search of what is no ring.
        step: progress callback.

    Returns:
        The best walk found with a bound; ``None`` where there is none to be found so.
    """
    ring = rings_of(rural)
    if planned is None:
        return _alone(rural, effort, seed, step)
    inner = _inner(rural, ring)
    small, kept = contracted(rural, inner)
    joint = prove(small, UNKNOWN, effort=_JOINT * effort, seed=seed, step=step)
    starts = [(ring, planned)]
    if joint.walked is not None:
        # what it walks beside the rings, which leaves odd nodes where steps begin
        rings = np.append(inner, False)
        beside = ~rings[small.piece[small.u]] & ~rings[small.piece[small.v]]
        other = np.zeros(len(rural.u), np.int64)
        other[kept[beside]] = joint.walked[beside]
        starts.append((inner, other))
    found = [_onto(rural, rings, start, effort, step) for rings, start in starts]
    walks = [walk for walk in found if walk is not None]
    if not walks:
        return None
    walked = min(walks, key=lambda walk: int(rural.cost @ walk))
    cost = int(rural.cost @ walked)
    return Nested(walked=walked, cost=cost, bound=min(joint.bound, cost))


def _inner(rural: Rural, ring: Bools) -> Bools:
    """Rings with rings alone beside them.

    Taken for a single node, a ring beside other things would be a way along these for nothing.
    """
    inner = ring.copy()
    rings = np.append(ring, False)
    a, b = rural.piece[rural.u], rural.piece[rural.v]
    step = rural.origin >= 0
    for one, other in ((a, b), (b, a)):
        beside = step & rings[one] & ~rings[other]
        inner[one[beside]] = False
    return inner


def _alone(rural: Rural, effort: float, seed: int, step: Step) -> Nested | None:
    """The same where there are rings alone."""
    nest = Nest.of(rural, step=step)
    walked = None if nest is None else _search(nest, rural.cost, effort, step)
    if nest is None or walked is None:
        return None
    cost = int(rural.cost @ walked)
    small, _ = contracted(rural)
    share = max(_LEAST_JOINT, _JOINT * effort)
    between = least_between(small, cost, effort=share, seed=seed, step=step)
    if between.walked is not None and between.bound < cost:
        tree = nest.tree(_guided(rural, small, between.walked))
        guided = nest.cost(tree)
        if guided is not None and guided < cost:
            cost, walked = guided, nest.walk(tree)
    bound = between.bound
    # of what can be saved: the first run's ends cannot
    ended = rural.origin < 0
    first = 2 * int(rural.cost[ended].min()) if ended.any() else 0
    enough = cost - int(_CLOSE * (cost - first))
    if bound < enough:
        small, faced = least_faced(rural, cost, enough, effort=effort, seed=seed, step=step)
        bound = max(bound, faced.bound)
        if faced.walked is not None:
            tree = nest.tree(_guided(rural, small, faced.walked))
            guided = nest.cost(tree)
            if guided is not None and guided < cost:
                cost, walked = guided, nest.walk(tree)
    return Nested(walked=walked, cost=cost, bound=min(bound, cost))


def _onto(rural: Rural, ring: Bools, planned: Ints, effort: float, step: Step) -> Ints | None:
    """A walk that joins the rings to what is planned, as one piece."""
    ended = rural.origin < 0
    hub = rural.pieces - 1 if ended.any() else rural.pieces
    spot = rural.spot
    through = (planned > 0) & ~ended
    label = components(int(spot.max()) + 1, spot[rural.u[through]], spot[rural.v[through]])
    others = np.flatnonzero(~ring)
    others = others[others != hub]
    # what the plan joins is one piece
    names, first = np.unique(label[others], return_inverse=True)
    name = np.zeros(rural.pieces, np.int64)
    name[others] = first
    name[ring] = len(names) + np.arange(int(ring.sum()))
    if ended.any():
        name[hub] = name.max() + 1
    piece = np.where(rural.piece >= 0, name[rural.piece], -1)
    a, b = piece[rural.u], piece[rural.v]
    kept = np.flatnonzero((a != b) | (a >= len(names)) | (a < 0))
    degree = rural.odd.astype(np.int64)
    np.add.at(degree, rural.u, planned)
    np.add.at(degree, rural.v, planned)
    met = np.zeros(len(names), bool)
    # a run may end on a ring too, which is none of these
    at = a[ended & (planned > 0)]
    met[at[(at >= 0) & (at < len(names))]] = True
    whole = replace(
        rural,
        u=rural.u[kept],
        v=rural.v[kept],
        cost=rural.cost[kept],
        most=rural.most[kept],
        odd=(degree % 2 == 1) & (piece != name.max()) if ended.any() else degree % 2 == 1,
        piece=piece,
        pieces=int(name.max()) + 1,
        origin=rural.origin[kept],
        column=np.arange(len(kept)),
    )
    nest = Nest.of(whole, met, step)
    found = None if nest is None else _search(nest, whole.cost, effort, step)
    if found is None:
        return None
    walked = planned.copy()
    walked[kept] += found
    walked = thin(rural, walked)
    return walked if rural.even(walked) and rural.joined(walked) else None


def _search(nest: Nest, price: Ints, effort: float, step: Step) -> Ints | None:
    """The best walk along several trees."""
    tree = sorted(nest.tree(price))
    cost = nest.cost(tree)
    if cost is None:
        return None
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
    return nest.walk(tree)


def _guided(rural: Rural, small: Rural, walked: Ints) -> Floats:
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
