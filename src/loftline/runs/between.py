"""The least walk between pieces of sewing, each taken for a single node: a bound, in a moment.

An integer programme over the steps and runs' ends: how often each is walked, every piece
even, and every set of pieces left at least twice. At first the sets are the branches of a
spanning tree, which for pieces inside each other are nearly all that are needed; sets that
the answer leaves apart are added until none is. Solved by HiGHS, limited in nodes, not in
time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix, hstack

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.parity import MICRO
from loftline.runs.rural import Rural, spanning_tree
from loftline.values import Bools, Ints

_MOST_ROUNDS, _LEAST_ROUNDS = 40, 2
_ALL_ROUNDS_TO, _FEWER = 170, 2.5
"""With more edges a round takes longer, and there are fewer by this power."""

_MOST_NODES = 400
_SLACK = 0.5
"""Thousandths that the solver's tolerances may be worth; costs are whole thousandths."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """What is known of a task.

    Attributes:
        bound: no walk costs less, in thousandths.
        walked: ``(m,)`` the least walk, where it was found.
    """

    bound: int
    walked: Ints | None


def contracted(rural: Rural, which: Bools | None = None) -> tuple[Rural, Ints]:
    """The task where each piece is one node: no dearer than the task itself.

    Args:
        rural: the task.
        which: ``(pieces,)`` the pieces that shall be one node; all of them if not given.

    Returns:
        The smaller task, and for each of its edges that of the task which stands for it.
    """
    if which is None:
        which = np.ones(rural.pieces, bool)
    whole = (rural.piece >= 0) & which[rural.piece]
    # pieces first, as they are numbered; then nodes that stay apart
    loose = np.flatnonzero(~whole)
    spot = rural.piece.copy()
    spot[loose] = rural.pieces + np.arange(len(loose))
    used, spot = np.unique(spot, return_inverse=True)
    a, b = spot[rural.u], spot[rural.v]
    n = len(used)
    apart = np.flatnonzero(a != b)
    name = np.minimum(a, b)[apart] * n + np.maximum(a, b)[apart]
    order = np.lexsort((apart, rural.cost[apart], name))
    kept = apart[order[np.append(True, np.diff(name[order]) > 0)[: len(order)]]]
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
    return small, kept


def least_between(small: Rural, step: Step) -> Between:
    """The least walk of a contracted task.

    Args:
        small: from :func:`contracted`.
        step: progress callback.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to load

    m, n = len(small.u), small.size
    ends = np.concatenate([small.u, small.v])
    meets = coo_matrix((np.ones(2 * m), (ends, np.tile(np.arange(m), 2))), shape=(n, m))
    odd = small.odd.astype(float)
    # besides the edges there is half the degree of each node
    half = csr_matrix(-2.0 * np.eye(n))
    even = LinearConstraint(csr_matrix(hstack([csr_matrix(meets), half])), -odd, -odd)
    cost = np.concatenate([small.cost / MICRO, np.zeros(n)])
    most = Bounds(np.zeros(m + n), np.concatenate([np.full(m, 2.0), np.full(n, np.inf)]))
    sets: dict[bytes, Bools] = {}
    _add(sets, _first_sets(small), small.pieces)
    bound = 0
    rounds = int(_MOST_ROUNDS * min(1.0, (_ALL_ROUNDS_TO / m) ** _FEWER))
    rounds = max(_LEAST_ROUNDS, rounds)
    for k in range(rounds):
        step("proving", k, rounds)
        borders = np.array([s[small.u] != s[small.v] for s in sets.values()], float)
        left = csr_matrix(hstack([csr_matrix(borders), csr_matrix((len(borders), n))]))
        answer = milp(
            cost,
            constraints=[even, LinearConstraint(left, 2.0, np.inf)],
            integrality=np.ones(m + n, np.int64),
            bounds=most,
            options={"node_limit": _MOST_NODES, "mip_rel_gap": 0.0},
        )
        if answer.mip_dual_bound is not None and math.isfinite(answer.mip_dual_bound):
            bound = max(bound, math.ceil(answer.mip_dual_bound * MICRO - _SLACK))
        if answer.x is None or answer.status != 0:
            return Between(bound=bound, walked=None)
        walked = np.rint(answer.x[:m]).astype(np.int64)
        if small.joined(walked):
            return Between(bound=bound, walked=walked)
        on = walked > 0
        label = components(n, small.u[on], small.v[on])
        parts = np.unique(label[: small.pieces])
        if not _add(sets, (label == part for part in parts.tolist()), small.pieces):
            break
    return Between(bound=bound, walked=None)


def _first_sets(small: Rural) -> Iterator[Bools]:
    """Every piece alone, and both sides of every edge of a spanning tree without the hub."""
    for piece in range(small.pieces):
        yield small.piece == piece
    hub = small.pieces - 1
    inner = np.flatnonzero((small.u != hub) & (small.v != hub))
    tree = inner[spanning_tree(small.u[inner], small.v[inner], small.cost[inner])]
    for k in range(len(tree)):
        rest = np.delete(tree, k)
        label = components(small.size, small.u[rest], small.v[rest])
        for end in (small.u[tree[k]], small.v[tree[k]]):
            yield label == label[end]


def _add(sets: dict[bytes, Bools], found: Iterator[Bools], pieces: int) -> bool:
    """Note sets that hold some pieces and not all; whether any was new."""
    before = len(sets)
    for nodes in found:
        if 0 < int(nodes[:pieces].sum()) < pieces:
            one = nodes if nodes[0] else ~nodes
            sets.setdefault(one.tobytes(), one)
    return len(sets) > before
