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
from loftline.runs.between import Contracted, contracted, least_between, least_faced
from loftline.runs.connected import components
from loftline.runs.nested import Nest, Tree
from loftline.runs.proof import UNKNOWN, prove
from loftline.runs.rural import Rural
from loftline.runs.starts import thin
from loftline.values import Bools, Floats, Ints

_WORK = 20_000
"""Nodes gone round while trees are tried, one or two seconds of a core."""

_CLOSE = 0.015
"""A gap of this share of what can be saved is let be."""

_MOST_ROUNDS, _STATES, _LEAST_STATES = 6, 8_000_000, 0.1
"""How often rings are parted by what they face, states to look at in all, and the share of
them that is looked at whatever the effort."""

_SEARCHED = 2
"""Before so many partings other trees are tried."""

_BESIDE = 2
"""How often rings are parted beside other lines."""

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
    best = _onto(rural, ring, planned, effort, step)
    known = UNKNOWN if best is None else int(rural.cost @ best)
    bound, left = 0, int(effort * _STATES)
    last: tuple[Contracted, Ints] | None = None
    for rounds in range(_BESIDE + 1):
        parted, found = least_faced(rural, known, ring, rounds=rounds, work=left, step=step)
        if not found.states:
            break
        bound, left = max(bound, found.bound), left - found.states
        if found.walked is not None:
            last = parted, found.walked
        if known - bound <= _CLOSE * known or left <= 0:
            break
    if last is not None:
        best, known = _better(rural, ring, *last, best, known, effort, step)
    if not found.states:
        # what is no ring is too wide to be swept
        inner = inner_rings(rural, ring)
        parted = contracted(rural, inner)
        joint = prove(parted.rural, known, effort=_JOINT * effort, seed=seed, step=step)
        bound = max(bound, joint.bound)
        if joint.walked is not None:
            best, known = _better(rural, inner, parted, joint.walked, best, known, effort, step)
    if best is None:
        return None
    return Nested(walked=best, cost=known, bound=min(bound, known))


def _better(
    rural: Rural,
    ring: Bools,
    parted: Contracted,
    walked: Ints,
    best: Ints | None,
    known: int,
    effort: float,
    step: Step,
) -> tuple[Ints | None, int]:
    """The best walk and its cost, when rings are joined to what a smaller task walks beside."""
    small = parted.rural
    # it leaves odd nodes where steps begin
    rings = np.append(ring, False)
    beside = ~rings[small.piece[small.u]] & ~rings[small.piece[small.v]]
    other = np.zeros(len(rural.u), np.int64)
    other[parted.edge[beside]] = walked[beside]
    found = _onto(rural, ring, other, effort, step)
    cost = known if found is None else int(rural.cost @ found)
    return (found, cost) if cost < known else (best, known)


def inner_rings(rural: Rural, ring: Bools) -> Bools:
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
    if nest is None:
        return None
    tree = nest.tree(rural.cost)
    cost = nest.cost(tree)
    if cost is None:
        return None
    # of what can be saved: the first run's ends cannot
    ended = rural.origin < 0
    first = 2 * int(rural.cost[ended].min()) if ended.any() else 0
    bound, left = 0, int(max(_LEAST_STATES, effort) * _STATES)
    for rounds in range(_MOST_ROUNDS + 1):
        if rounds == _SEARCHED:
            tree, cost = _search(nest, tree, cost, effort, step)
        # what lies above is near enough, and need not be told apart
        enough = cost - int(_CLOSE * (cost - first)) if rounds else cost
        parted, found = least_faced(rural, enough, rounds=rounds, work=left, step=step)
        left -= found.states
        if not found.states and not rounds:
            parted = contracted(rural)
            share = max(_LEAST_JOINT, _JOINT * effort)
            found = least_between(parted.rural, cost, effort=share, seed=seed, step=step)
        bound = max(bound, found.bound)
        if found.walked is not None and bound < cost:
            guided = nest.tree(_guided(rural, parted.rural, found.walked))
            reached = nest.cost(guided)
            if reached is not None and reached < cost:
                cost, tree = reached, guided
        if cost - bound <= _CLOSE * (cost - first) or left <= 0 or not found.states:
            break
    if rounds < _SEARCHED and cost - bound > _CLOSE * (cost - first):
        tree, cost = _search(nest, tree, cost, effort, step)
    return Nested(walked=nest.walk(tree), cost=cost, bound=min(bound, cost))


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
    if nest is None:
        return None
    tree = nest.tree(whole.cost)
    cost = nest.cost(tree)
    if cost is None:
        return None
    tree, _ = _search(nest, tree, cost, effort, step)
    walked = planned.copy()
    walked[kept] += nest.walk(tree)
    walked = thin(rural, walked)
    return walked if rural.even(walked) and rural.joined(walked) else None


def _search(nest: Nest, tree: Tree, cost: int, effort: float, step: Step) -> tuple[Tree, int]:
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
