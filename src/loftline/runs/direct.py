"""Which of the near pairs a least T-join may need: about one for each place.

How many places lie within a limit of each other grows with how close they lie, and a matching
takes long over many pairs. So those go that no least T-join needs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from loftline.errors import Step, does_nothing
from loftline.runs.nearby import NO_LIMIT, Found, Pairs, cut_down, least_of, numbers, searched
from loftline.values import Ints

_FEW = 500
"""Pairs that are matched as quickly as they are looked through."""


def direct_pairs(
    matrix: csr_matrix, places: Ints, near: Pairs, limit: float, step: Step = does_nothing
) -> Pairs:
    """Those of the near pairs that a least T-join of the places may need.

    A least T-join is a forest, and its trees may be parted into ways between places as one
    likes. Where all three edges of a place are used, let one of them (the *odd one*, chosen
    beforehand) belong to the way that passes through: then none passes by the other two. A
    place of one or two edges is passed by none. All these ways are shortest ways. So a pair
    with no shortest way that keeps the rule is not needed, and what remains is about one
    pair for each place, however many lie within the limit. (Where a run may end at a price,
    a run's end at a place that is passed can be moved to the end of the passing way for no
    more, as long as prices count the travel to where the run ends; so the rule holds there.)

    Args:
        matrix: ``(n, n)`` symmetric costs, whole numbers.
        places: ``(k,)`` nodes, all different: those of odd degree.
        near: from :func:`pairs_within` with the same limit.
        limit: only ways cheaper than this count.
        step: progress callback.

    Returns:
        Some of the near pairs; the least matching of the places is the same among them.
    """
    if len(near[0]) <= _FEW:
        return near
    matrix, places, _ = cut_down(matrix, places, limit / 2)
    return _Direct.of(matrix, places, limit, step).among(near)


def direct_pairs_within(
    matrix: csr_matrix, places: Ints, limit: float, step: Step = does_nothing
) -> Pairs:
    """The :func:`direct_pairs` of all that :func:`pairs_within` finds.

    The others, as many for each place as lie within the limit, are forgotten block by block.
    """
    matrix, places, _ = cut_down(matrix, places, limit / 2)
    kept: list[Found] = []
    direct: _Direct | None = None
    for found in searched(matrix, places, numbers(matrix, places), limit, step, alike=True):
        if direct is not None:
            kept.append(direct.among(least_of([found], len(places))))
            continue
        kept.append(found)
        if sum(len(cost) for _, _, cost in kept) > _FEW:
            direct = _Direct.of(matrix, places, limit, step)
            kept = [direct.among(least_of(kept, len(places)))]
    return least_of(kept, len(places))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Direct:
    """The pairs with a way that keeps the rule of :func:`direct_pairs`.

    Attributes:
        places: number of places.
        name: of each pair, sorted: its first place times their number, and its second.
        least: the least cost of such a way.
    """

    places: int
    name: Ints
    least: Ints

    @classmethod
    def of(cls, matrix: csr_matrix, places: Ints, limit: float, step: Step) -> _Direct:
        """Those of a network that is cut down to the places already."""
        ruled, number = _ruled(matrix, places)
        found = list(searched(ruled, places, number, limit, step, alike=False))
        one, other, least = least_of(found, len(places))
        return cls(places=len(places), name=one * len(places) + other, least=least)

    def among(self, near: Pairs) -> Pairs:
        """Those of some pairs whose cheapest way is such a way."""
        first, second, cost = near
        asked = first * self.places + second
        at = np.searchsorted(self.name, asked)
        # two places can be near only where a way keeps the rule as far as it goes
        kept = np.zeros(len(asked), bool)
        inside = np.flatnonzero(at < len(self.name))
        same = self.name[at[inside]] == asked[inside]
        kept[inside] = same & (self.least[at[inside]] == cost[inside])
        return first[kept], second[kept], cost[kept]


def _ruled(matrix: csr_matrix, places: Ints) -> tuple[csr_matrix, Ints]:
    """The network as it may be passed under the rule of :func:`direct_pairs`.

    A place of up to three edges is parted into one node that is only left and one for each
    edge that it is reached by, from which the way goes on as the rule says.

    Returns:
        Costs of steps from row to column; the nodes of ``matrix`` keep their numbers. For
        each node the place that is reached there, -1 for none.
    """
    matrix = matrix.copy()
    matrix.sort_indices()
    n = matrix.shape[0]
    degree = np.diff(matrix.indptr)
    source = np.repeat(np.arange(n), degree)
    target = matrix.indices.astype(np.int64)
    # the same edge the other way: sorted by target, then source
    reverse = np.lexsort((source, target))
    number = np.full(n, -1)
    number[places] = np.arange(len(places))
    parted = (number >= 0) & (degree <= 3)
    into = parted[target]
    arrival = np.where(into, n + np.cumsum(into) - 1, target)
    # at a place of three edges: the odd one leads inward, or is the dearest
    three = np.flatnonzero(parted & (degree == 3))
    edges = matrix.indptr[three][:, None] + np.arange(3)
    inward = np.where(number[target[edges]] < 0, NO_LIMIT, 0.0)
    odd = np.argmax(inward + matrix.data[edges], axis=1)
    rows = np.arange(len(three))
    odd_one = edges[rows, odd]
    steps = [(source, arrival, matrix.data)]
    for turn in (1, 2):
        other = edges[rows, (odd + turn) % 3]
        steps.append((arrival[reverse[other]], arrival[odd_one], matrix.data[odd_one]))
        steps.append((arrival[reverse[odd_one]], arrival[other], matrix.data[other]))
    a, b, cost = (np.concatenate(column) for column in zip(*steps, strict=True))
    size = n + int(into.sum())
    reached = np.concatenate([np.where(parted, -1, number), number[target[into]]])
    return csr_matrix((cost, (a, b)), shape=(size, size)), reached
