"""The search for the tree that rings within rings are best joined along, and its proof.

Which pieces of sewing lie beside each other makes a network of its own, nearly a tree. Its
least walk, where each piece is a single node, costs no more than any walk through the rings
themselves: a bound, and found in a moment. The walk itself is looked for along several trees,
each as good as it can be (:mod:`loftline.runs.nested`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftline.errors import Step
from loftline.runs.between import Between, Contracted, contracted, least_between, least_faced
from loftline.runs.connected import components
from loftline.runs.exchanging import best_tree, guided
from loftline.runs.nested import Nest
from loftline.runs.proof import UNKNOWN, prove
from loftline.runs.refining import Refined, refine
from loftline.runs.rural import Rural
from loftline.runs.starts import thin
from loftline.runs.trees import least_tree
from loftline.values import Bools, Ints

_CLOSE = 0.015
"""A gap of this share of what can be saved is let be."""

_PARTED, _STATES, _LEAST_STATES = 1, 16_000_000, 0.1
"""How often rings are parted by what they face, states to look at in all, and the share of
them that is looked at whatever the effort."""

_FEW = 120
"""So few stretches are parted once more before rings are cut one by one."""

_FAR_OPEN, _MORE_STATES = 0.03, 40_000_000
"""Where that leaves more than this share of the cost open, they are cut as they are, and so
many states looked at."""

_BESIDE = 2
"""How often rings are parted beside other lines."""

_JOINT, _LEAST_JOINT = 0.2, 0.05
"""Share of the effort that goes into what is no ring, the rings taken for single nodes."""


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
    for rounds in range(_PARTED + 1):
        # what lies above is near enough, and need not be told apart
        enough = cost - int(_CLOSE * (cost - first)) if rounds else cost
        share = left // 2 if rounds else left
        parted, found = least_faced(rural, enough, rounds=rounds, work=share, step=step)
        left -= found.states
        if not found.states and not rounds:
            parted, found = _wide(rural, cost, effort, seed, step)
        bound = max(bound, found.bound)
        if found.walked is not None and bound < cost:
            other = nest.tree(guided(rural, parted.rural, found.walked))
            reached = nest.cost(other)
            if reached is not None and reached < cost:
                cost, tree = reached, other
        if cost - bound <= _CLOSE * (cost - first) or left <= 0 or not found.states:
            break
    if cost - bound <= _CLOSE * (cost - first):
        return Nested(walked=nest.walk(tree), cost=cost, bound=min(bound, cost))
    tree, cost = best_tree(nest, tree, cost, effort, step)
    close = int(_CLOSE * (cost - first))
    # where the parted rings were too many for the sweep they are begun with as they are
    wide = not found.states or found.states >= share
    few = not wide and parted.rural.size <= _FEW
    attempts = [(2, left), (1, int(effort * _MORE_STATES))] if few else [(0 if wide else 1, left)]
    refined = _refined(nest, nest.walk(tree), attempts, close, step)
    bound = min(max(bound, refined.bound), refined.cost)
    return Nested(walked=refined.walked, cost=refined.cost, bound=bound)


def _wide(
    rural: Rural, cost: int, effort: float, seed: int, step: Step
) -> tuple[Contracted, Between]:
    """What is known of pieces as single nodes, where these are too many for a sweep."""
    parted = contracted(rural)
    tree = least_tree(parted.rural, cost, step=step)
    share = max(_LEAST_JOINT, _JOINT * effort)
    found = least_between(parted.rural, cost, effort=share, seed=seed, step=step)
    return parted, replace(found, bound=max(found.bound, tree))


def _refined(
    nest: Nest, known: Ints, attempts: list[tuple[int, int]], close: int, step: Step
) -> Refined:
    """Rings cut where a walk passes along them for nothing.

    Args:
        nest: the rings.
        known: ``(m,)`` the best walk known.
        attempts: how often rings are parted first and how many states are looked at; each
            where the one before leaves much open.
        close: as of :func:`~loftline.runs.refining.refine`.
        step: progress callback.
    """
    rural = nest.rural

    def guide(parted: Contracted, walked: Ints) -> list[Ints]:
        along = nest.tree(guided(rural, parted.rural, walked))
        return [] if nest.cost(along) is None else [nest.walk(along)]

    which = np.append(np.ones(len(nest.rings), bool), np.zeros(nest.runs, bool))
    best = Refined(walked=known, cost=int(rural.cost @ known), bound=0)
    for parted, work in attempts:
        found = refine(
            rural, which, best.walked, parted=parted, guide=guide, close=close, work=work, step=step
        )
        best = replace(found, bound=min(max(best.bound, found.bound), found.cost))
        if best.cost - best.bound <= _FAR_OPEN * best.cost:
            break
    return best


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
    tree, _ = best_tree(nest, tree, cost, effort, step)
    walked = planned.copy()
    walked[kept] += nest.walk(tree)
    walked = thin(rural, walked)
    return walked if rural.even(walked) and rural.joined(walked) else None
