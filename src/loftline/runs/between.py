"""The least walk between pieces of sewing, each taken for a single node: a bound, in a moment.

Steps and runs' ends are all that is left: how often each is walked, every piece even, and
every set of pieces left at least twice. At first the sets are the branches of a spanning
tree, which for pieces inside each other are nearly all that are needed. Where that bound is
too low, since three rings meet and a ring is not passed for nothing, each is parted by what
it faces (:mod:`loftline.runs.facets`), and whole numbers are asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.cuts import JOIN, Cuts
from loftline.runs.facets import stretches
from loftline.runs.proof import prove
from loftline.runs.rural import Rural, spanning_tree
from loftline.runs.wholes import least_whole
from loftline.values import Bools, Ints

_MOST_ROUNDS, _FACED, _FEWER = 8, 1000, 1.5
"""With more edges a round of whole numbers takes longer, and there are fewer by this power."""

_NARROW, _LOOSE = 400, 0.1
"""So few edges are worth a look without whole numbers first, with this share of the effort."""


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
    return merged(rural, np.where(whole, rural.piece, rural.pieces + np.arange(rural.size)))


def merged(rural: Rural, name: Ints) -> tuple[Rural, Ints]:
    """The task where nodes of the same name are one: no dearer than the task itself.

    Args:
        rural: the task.
        name: ``(n,)`` the same only within a piece.

    Returns:
        The smaller task, its nodes sorted by name, and for each of its edges that of the
        task which stands for it: the cheapest.
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
    return small, kept


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
    rural: Rural, known: int, enough: int, *, effort: float, seed: int, step: Step
) -> tuple[Rural, Between]:
    """The same where each ring is parted by what it faces.

    Args:
        rural: the task.
        known: no dearer walk is of use, in thousandths.
        enough: a bound so high ends the work.
        effort: 1 is the usual.
        seed: for the disturbances of the starts.
        step: progress callback.

    Returns:
        The smaller task, and what is known of it.
    """
    which = np.ones(rural.pieces, bool)
    which[-1] = not (rural.origin < 0).any()
    small, _ = merged(rural, stretches(rural, which))
    first = _branches(small)
    size = max(1, len(small.u))
    best = Between(bound=0, walked=None)
    if size <= _NARROW:
        loose = prove(small, known, first=first, effort=_LOOSE * effort, seed=seed, step=step)
        best = Between(bound=loose.bound, walked=loose.walked)
    rounds = int(effort * min(_MOST_ROUNDS, (_FACED / size) ** _FEWER))
    if best.bound >= enough or not rounds:
        return small, best
    bound, walked = least_whole(small, known, enough, first, rounds, step)
    if bound > best.bound:
        best = Between(bound=bound, walked=walked)
    return small, best


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
