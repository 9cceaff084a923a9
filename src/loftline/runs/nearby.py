"""Shortest ways between places that lie near each other, searched where they can lie only.

A full search from every one of k places looks at all n nodes k times. A way cheaper than a
limit keeps within half of it from one of its two ends, and the ways from a few neighbouring
places keep within the limit from these: so the network is cut down first, and searched in
blocks. Work and memory then grow with the number of answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.errors import Step, does_nothing
from loftline.values import Floats, Ints

_BLOCK = 128
"""Places searched from at once."""

_NO_LIMIT = 1e12
"""From here on a limit keeps nothing out."""

_SMALL = 1000
"""Nodes that are searched as they are: cutting them down takes longer."""

_SHORT = 8
"""The first ways looked for are up to so many edges of middling cost long, the next that
many times longer, and so on."""

_FEW = 500
"""Pairs that are matched as quickly as they are looked through."""

Pairs = tuple[Ints, Ints, Ints]
"""First and second place of each pair (numbers among the places), and the cost between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Block:
    """A few of the places with the part of the network around them.

    Attributes:
        first: number of the first of these places.
        places: their nodes, numbered within the block.
        nodes: the block's nodes by their numbers outside.
        matrix: costs between the block's nodes.
    """

    first: int
    places: Ints
    nodes: Ints
    matrix: csr_matrix

    def costs(self, limit: float) -> Floats:
        """Cost from each place to each node of the block, infinite from the limit on."""
        return np.atleast_2d(dijkstra(self.matrix, indices=self.places, limit=limit))


def pairs_within(
    matrix: csr_matrix, places: Ints, limit: float, step: Step = does_nothing
) -> Pairs:
    """All pairs of places nearer than a limit, each once.

    Args:
        matrix: ``(n, n)`` symmetric costs, whole numbers.
        places: ``(k,)`` nodes, all different.
        limit: only ways cheaper than this count.
        step: progress callback.

    Returns:
        The pairs, first below second, sorted.
    """
    matrix, places, _ = _cut_down(matrix, places, limit / 2)
    number = np.full(matrix.shape[0], -1)
    number[places] = np.arange(len(places))
    return _searched(matrix, places, number, limit, step)


def _searched(matrix: csr_matrix, places: Ints, number: Ints, limit: float, step: Step) -> Pairs:
    """The pairs of places within a limit; ``number`` is the place at each node, or -1."""
    found = []
    for block in _blocks(matrix, places, limit, step):
        column = np.flatnonzero(number[block.nodes] >= 0)
        table = block.costs(limit)[:, column]
        i, j = np.nonzero(table < limit)
        found.append((i + block.first, number[block.nodes[column[j]]], table[i, j]))
    return _least(found, len(places))


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
    first, second, cost = near
    if len(first) <= _FEW:
        return near
    matrix, places, _ = _cut_down(matrix, places, limit / 2)
    ruled, number = _ruled(matrix, places)
    one, other, least = _searched(ruled, places, number, limit, step)
    name, asked = one * len(places) + other, first * len(places) + second
    at = np.searchsorted(name, asked)
    # two places can be near only where a way keeps the rule as far as it goes
    kept = np.zeros(len(asked), bool)
    inside = np.flatnonzero(at < len(name))
    kept[inside] = (name[at[inside]] == asked[inside]) & (least[at[inside]] == cost[inside])
    return first[kept], second[kept], cost[kept]


def paths_within(
    matrix: csr_matrix, ends: Ints, limit: float, step: Step = does_nothing
) -> list[Ints]:
    """The nodes of a shortest way for each pair of nodes.

    Args:
        matrix: ``(n, n)`` symmetric costs, whole numbers.
        ends: ``(k, 2)`` nodes, none dearer to join than the limit.
        limit: see there.
        step: progress callback.

    Returns:
        For each pair the nodes from its first to its second.

    Raises:
        ValueError: when a pair is farther apart.
    """
    paths: list[Ints] = [np.empty(0, np.int64)] * len(ends)
    left = np.arange(len(ends))
    # most ways are short: those are found near their ends before far ones are looked for
    reach = limit
    if len(ends) and matrix.nnz and matrix.shape[0] > _SMALL:
        reach = min(limit, _SHORT * float(matrix.data.mean()))
    while len(left):
        found = _paths_near(matrix, ends[left], reach, step)
        for k, path in zip(left.tolist(), found, strict=True):
            if path is not None:
                paths[k] = path
        left = left[[path is None for path in found]]
        if len(left) and reach >= limit:
            raise ValueError("two places are farther apart than the limit")
        reach = min(limit, reach * _SHORT)
    return paths


def _paths_near(matrix: csr_matrix, ends: Ints, limit: float, step: Step) -> list[Ints | None]:
    """The nodes of a shortest way for each pair of nodes; ``None`` beyond the limit."""
    paths: list[Ints | None] = [None] * len(ends)
    sources, row_of = np.unique(ends[:, 0], return_inverse=True)
    both = np.unique(ends)
    small, at, nodes = _cut_down(matrix, both, limit / 2)
    place = np.full(matrix.shape[0], -1)
    place[both] = at
    order = np.argsort(row_of, kind="stable")
    begin = np.searchsorted(row_of[order], np.arange(len(sources) + 1))
    for block in _blocks(small, place[sources], limit + 1, step):
        _, before = dijkstra(
            block.matrix, indices=block.places, return_predecessors=True, limit=limit + 1
        )
        inside = np.full(small.shape[0], -1)
        inside[block.nodes] = np.arange(len(block.nodes))
        outside = nodes[block.nodes]
        for row, previous in enumerate(np.atleast_2d(before)):
            source = block.first + row
            for k in order[begin[source] : begin[source + 1]].tolist():
                node = int(inside[place[ends[k, 1]]])
                path = [node]
                while node >= 0 and node != block.places[row]:
                    node = int(previous[node])
                    path.append(node)
                if node >= 0:
                    paths[k] = outside[path[::-1]]
    return paths


def _cut_down(matrix: csr_matrix, places: Ints, reach: float) -> tuple[csr_matrix, Ints, Ints]:
    """The network within reach of the places, the places in it, and its nodes."""
    if reach >= _NO_LIMIT or matrix.shape[0] <= _SMALL or not len(places):
        return matrix, places, np.arange(matrix.shape[0])
    apart = dijkstra(matrix, indices=places, min_only=True, limit=reach + 1)
    nodes = np.flatnonzero(np.isfinite(apart))
    return matrix[nodes][:, nodes], np.searchsorted(nodes, places), nodes


def _blocks(matrix: csr_matrix, places: Ints, limit: float, step: Step) -> Iterator[_Block]:
    for first in range(0, len(places), _BLOCK):
        step("links", first, len(places))
        chunk = places[first : first + _BLOCK]
        if limit >= _NO_LIMIT or matrix.shape[0] <= _SMALL:
            nodes = np.arange(matrix.shape[0])
            yield _Block(first=first, places=chunk, nodes=nodes, matrix=matrix)
            continue
        apart = dijkstra(matrix, indices=chunk, min_only=True, limit=limit)
        nodes = np.flatnonzero(np.isfinite(apart))
        yield _Block(
            first=first,
            places=np.searchsorted(nodes, chunk),
            nodes=nodes,
            matrix=matrix[nodes][:, nodes],
        )


def _least(found: list[tuple[Ints, Ints, Floats]], size: int) -> Pairs:
    """Pairs of different places, first below second, each once with its least cost, sorted."""
    none = np.empty(0, np.int64)
    if not found:
        return none, none, none
    one, other, cost = (np.concatenate(column) for column in zip(*found, strict=True))
    differ = one != other
    key = (np.minimum(one, other) * size + np.maximum(one, other))[differ]
    whole = np.rint(cost[differ]).astype(np.int64)
    order = np.lexsort((whole, key))
    key, whole = key[order], whole[order]
    first = np.append(True, np.diff(key) > 0)[: len(key)]
    return key[first] // size, key[first] % size, whole[first]


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
    inward = np.where(number[target[edges]] < 0, _NO_LIMIT, 0.0)
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
