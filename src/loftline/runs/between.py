"""The least walk between pieces of sewing, each taken for a single node: a bound, in a moment.

Steps and runs' ends are all that is left: how often each is walked, every piece even, and
every set of pieces left at least twice. At first the sets are the branches of a spanning
tree, which for pieces inside each other are nearly all that are needed. Where that bound is
too low, since three rings meet and a ring is not passed for nothing, each is parted by what
it faces (:mod:`loftline.runs.facets`), and the least walk of that is found by a sweep.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.cuts import JOIN, Cuts
from loftline.runs.facets import stretches
from loftline.runs.fronts import find_front
from loftline.runs.proof import prove
from loftline.runs.relaxation import Relaxation
from loftline.runs.rural import Rural, spanning_tree
from loftline.runs.sweep import sweep
from loftline.values import Bools, Ints

_MOST_NODES, _STARTS = 19, 13
"""Few states are left of a wide front by the prices of cuts, where rings are parted."""

_RELAXED = 60
"""Rounds of the relaxation, whose prices the sweep goes by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """What is known of a task.

    Attributes:
        bound: no walk costs less, in thousandths.
        walked: ``(m,)`` the least walk, where it was found.
        states: how many a sweep has looked at for it.
    """

    bound: int
    walked: Ints | None
    states: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Contracted:
    """A task in which nodes of one piece have become one: no dearer than the task itself.

    Attributes:
        rural: the smaller task, its nodes sorted by name.
        edge: ``(m,)`` the edge of the task that stands for each of its edges: the cheapest.
    """

    rural: Rural
    edge: Ints


def contracted(rural: Rural, which: Bools | None = None) -> Contracted:
    """The task where each piece is one node: no dearer than the task itself.

    Args:
        rural: the task.
        which: ``(pieces,)`` the pieces that shall be one node; all of them if not given.
    """
    if which is None:
        which = np.ones(rural.pieces, bool)
    whole = (rural.piece >= 0) & which[rural.piece]
    # pieces first, as they are numbered; then nodes that stay apart
    return merged(rural, np.where(whole, rural.piece, rural.pieces + np.arange(rural.size)))


def merged(rural: Rural, name: Ints) -> Contracted:
    """The task where nodes of the same name are one.

    Args:
        rural: the task.
        name: ``(n,)`` the same only within a piece, or for nodes that no piece touches.
    """
    used, spot = np.unique(name, return_inverse=True)
    a, b = spot[rural.u], spot[rural.v]
    n = len(used)
    apart = np.flatnonzero(a != b)
    both = np.minimum(a, b)[apart] * n + np.maximum(a, b)[apart]
    order = np.lexsort((apart, rural.cost[apart], both))
    kept = apart[order[np.append(True, np.diff(both[order]) > 0)[: len(order)]]]
    piece = np.full(n, -1)
    piece[spot] = rural.piece
    most = np.where(piece[a[kept]] == piece[b[kept]], rural.most[kept], 2)
    small = Rural(
        u=a[kept],
        v=b[kept],
        cost=rural.cost[kept],
        most=most,
        odd=np.bincount(spot, rural.odd, n) % 2 == 1,
        piece=piece,
        pieces=rural.pieces,
        origin=rural.origin[kept],
        column=np.concatenate([np.arange(len(kept)), np.flatnonzero(most == 2)]),
    )
    return Contracted(rural=small, edge=kept)


def least_between(small: Rural, known: int, *, effort: float, seed: int, step: Step) -> Between:
    """The least walk of a contracted task, or what it costs at least.

    Args:
        small: from :func:`contracted`.
        known: no dearer walk is of use, in thousandths.
        effort: as of :func:`~loftline.runs.proof.prove`.
        seed: for the disturbances of the starts.
        step: progress callback.
    """
    proved = prove(small, known, first=_branches(small), effort=effort, seed=seed, step=step)
    return Between(bound=proved.bound, walked=proved.walked)


def least_faced(
    rural: Rural,
    known: int,
    which: Bools | None = None,
    *,
    rounds: int,
    work: int,
    step: Step,
) -> tuple[Contracted, Between]:
    """The least walk where each ring is parted by what it faces, by a sweep.

    Args:
        rural: the task.
        known: no dearer walk is of use, in thousandths.
        which: ``(pieces,)`` the rings; all pieces if not given.
        rounds: how often they are parted.
        work: how many states the sweep may look at.
        step: progress callback.

    Returns:
        The smaller task, and what is known of it: nothing where its front is too wide.
    """
    if which is None:
        which = np.ones(rural.pieces, bool)
        which[-1] = not (rural.origin < 0).any()
    parted = merged(rural, stretches(rural, which, rounds))
    return parted, least_parted(parted.rural, known, work=work, step=step)


def least_parted(small: Rural, known: int, *, work: int, step: Step) -> Between:
    """The least walk of a contracted task by a sweep, or what it costs at least.

    Args:
        small: the task.
        known: no dearer walk is of use, in thousandths.
        work: how many states the sweep may look at.
        step: progress callback.
    """
    front = find_front(small, _MOST_NODES, _STARTS, step)
    if front is None:
        return Between(bound=0, walked=None)
    relaxation = Relaxation(small)
    relaxation.add(_branches(small))
    for k in range(_RELAXED):
        step("proving", k, _RELAXED)
        relaxation.tighten(known - 0.5, close=True)
        if relaxation.settled:
            break
    swept = sweep(small, front, known, prices=relaxation.prices, work=work, step=step)
    return Between(bound=swept.bound, walked=swept.walked, states=swept.states)


def _branches(small: Rural) -> Cuts:
    """Cuts round each piece, and round both sides of every edge of a spanning tree of them."""
    spot = small.spot
    hub = small.pieces - 1
    a, b = spot[small.u], spot[small.v]
    inner = np.flatnonzero((a != hub) & (b != hub) & (a != b))
    tree = inner[spanning_tree(a[inner], b[inner], small.cost[inner])]
    found: dict[bytes, Bools] = {}
    for nodes in _first_sets(small, a[tree], b[tree], spot):
        held = np.unique(spot[nodes])
        if 0 < int((held < small.pieces).sum()) < small.pieces:
            one = nodes if nodes[0] else ~nodes
            found.setdefault(one.tobytes(), one)
    inside = np.array(list(found.values()), bool).reshape(-1, small.size)
    border = (inside[:, small.u] != inside[:, small.v])[:, small.column]
    return Cuts(sign=border.astype(np.int8), least=np.full(len(border), JOIN))


def _first_sets(small: Rural, a: Ints, b: Ints, spot: Ints) -> Iterator[Bools]:
    for piece in range(small.pieces):
        yield small.piece == piece
    for k in range(len(a)):
        label = components(int(spot.max()) + 1, np.delete(a, k), np.delete(b, k))[spot]
        for end in (a[k], b[k]):
            yield label == label[np.flatnonzero(spot == end)[0]]
