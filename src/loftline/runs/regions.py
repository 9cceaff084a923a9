"""Regions of a large task, taken out to be solved by themselves.

All that is walked outside a region is taken as it is, as if it were required; what is walked
inside may be chosen anew. Such a task is small, and its best walk, put back, is a walk of
the whole that is no dearer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.runs.connected import components
from loftline.runs.rural import Rural, make_rural
from loftline.values import Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A task of its own and the edges of the whole that it may choose.

    Attributes:
        rural: the task; its ``origin`` are edges of the whole.
        free: edges of the whole inside.
        cost: what those cost now, in thousandths.
    """

    rural: Rural
    free: Ints
    cost: int

    def put_back(self, walked: Ints, chosen: Ints) -> Ints:
        """The walk of the whole with what was chosen inside."""
        out = walked.copy()
        out[self.free] = 0
        out[self.rural.origin] = chosen
        return out


def nearby_of(rural: Rural) -> csr_matrix:
    """How far apart neighbouring nodes of a task lie, the hub left out."""
    plain = rural.origin >= 0
    cost = np.maximum(rural.cost[plain], 1).astype(float)
    ends = rural.u[plain], rural.v[plain]
    return coo_matrix((cost, ends), shape=(rural.size, rural.size)).tocsr()


def around(
    rural: Rural, walked: Ints, node: int, count: int, graph: csr_matrix | None = None
) -> Region | None:
    """The region of the nodes nearest to one, cut out of a walk; ``None`` where it is of no use.

    Args:
        rural: the whole task.
        walked: ``(m,)`` a walk of it.
        node: in the middle of the region.
        count: nodes of the region.
        graph: from :func:`nearby_of`, where it is at hand.
    """
    n = rural.size
    plain = rural.origin >= 0
    way = dijkstra(nearby_of(rural) if graph is None else graph, directed=False, indices=[node])[0]
    inside = np.zeros(n, bool)
    inside[np.argsort(way, kind="stable")[:count]] = True
    # the hub lies beside every place
    inside[rural.v[~plain]] = True
    free = np.flatnonzero(inside[rural.u] & inside[rural.v])
    if not len(free):
        return None
    fixed = walked.copy()
    fixed[free] = 0
    on = np.flatnonzero(fixed)
    odd = rural.odd.astype(np.int64)
    np.add.at(odd, rural.u, fixed)
    np.add.at(odd, rural.v, fixed)
    held = rural.piece >= 0
    held[rural.u[on]] = held[rural.v[on]] = True
    spot = rural.spot
    label = components(int(spot.max()) + 1, spot[rural.u[on]], spot[rural.v[on]])[spot]
    names, ends = np.unique(np.concatenate([rural.u[free], rural.v[free]]), return_inverse=True)
    touched = np.unique(label[names][held[names]])
    if len(np.setdiff1d(label[held], touched)):
        return None
    piece = np.full(len(names), -1)
    piece[held[names]] = np.searchsorted(touched, label[names][held[names]])
    if len(touched) < 1 or (odd[np.setdiff1d(np.arange(n), names)] % 2).any():
        return None
    part = make_rural(
        ends[: len(free)],
        ends[len(free) :],
        rural.cost[free],
        odd[names] % 2 == 1,
        piece,
        None,
        origin=free,
    )
    return Region(rural=part, free=free, cost=int(rural.cost[free] @ walked[free]))
