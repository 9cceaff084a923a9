"""Shortest ways between places that lie near each other, searched where they can lie only.

A full search from every one of k places looks at all n nodes k times. A way cheaper than a
limit keeps within half of it from one of its two ends, and the ways from a few neighbouring
places keep within the limit from these: so the network is cut down first, and searched in
blocks. Work and memory then grow with the number of answers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.errors import Step, does_nothing
from loftline.values import Floats, Ints

_BLOCK = 128
"""Places searched from at once."""

NO_LIMIT = 1e12
"""From here on a limit keeps nothing out."""

_SMALL = 1000
"""Nodes that are searched as they are: cutting them down takes longer."""

_SHORT = 8
"""The first ways looked for are up to so many edges of middling cost long, the next that
many times longer, and so on."""

Pairs = tuple[Ints, Ints, Ints]
"""First and second place of each pair (numbers among the places), and the cost between them."""

Found = tuple[Ints, Ints, Floats] | Pairs
"""The same as a search finds it: the higher number may stand first, and a pair several times."""


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
    matrix, places, _ = cut_down(matrix, places, limit / 2)
    found = list(searched(matrix, places, numbers(matrix, places), limit, step, alike=True))
    return least_of(found, len(places))


def numbers(matrix: csr_matrix, places: Ints) -> Ints:
    """The place at each node, or -1."""
    number = np.full(matrix.shape[0], -1)
    number[places] = np.arange(len(places))
    return number


def searched(
    matrix: csr_matrix, places: Ints, number: Ints, limit: float, step: Step, *, alike: bool
) -> Iterator[Found]:
    """The pairs of places within a limit, block by block.

    Args:
        matrix: costs from row to column.
        places: nodes.
        number: the place at each node, or -1.
        limit: only ways cheaper than this count.
        step: progress callback.
        alike: whether both ways between two places cost the same.
    """
    for block in _blocks(matrix, places, limit, step):
        column = np.flatnonzero(number[block.nodes] >= 0)
        table = block.costs(limit)[:, column]
        i, j = np.nonzero(table < limit)
        one, other, cost = i + block.first, number[block.nodes[column[j]]], table[i, j]
        if alike:
            # each pair is found from both of its places, at the same cost
            once = one < other
            one, other, cost = one[once], other[once], cost[once]
        yield one, other, cost


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
    small, at, nodes = cut_down(matrix, both, limit / 2)
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


def cut_down(matrix: csr_matrix, places: Ints, reach: float) -> tuple[csr_matrix, Ints, Ints]:
    """The network within reach of the places, the places in it, and its nodes."""
    if reach >= NO_LIMIT or matrix.shape[0] <= _SMALL or not len(places):
        return matrix, places, np.arange(matrix.shape[0])
    apart = dijkstra(matrix, indices=places, min_only=True, limit=reach + 1)
    nodes = np.flatnonzero(np.isfinite(apart))
    return matrix[nodes][:, nodes], np.searchsorted(nodes, places), nodes


def _blocks(matrix: csr_matrix, places: Ints, limit: float, step: Step) -> Iterator[_Block]:
    for first in range(0, len(places), _BLOCK):
        step("links", first, len(places))
        chunk = places[first : first + _BLOCK]
        if limit >= NO_LIMIT or matrix.shape[0] <= _SMALL:
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


def least_of(found: Sequence[Found], size: int) -> Pairs:
    """Pairs of different places, first below second, each once with its least cost, sorted."""
    none = np.empty(0, np.int64)
    if not found:
        return none, none, none
    one, other, cost = (np.concatenate(column) for column in zip(*found, strict=True))
    differ = one != other
    key = (np.minimum(one, other) * size + np.maximum(one, other))[differ]
    whole = np.rint(cost[differ]).astype(np.int64)
    if len(key) and (np.diff(key) <= 0).any():
        order = np.lexsort((whole, key))
        key, whole = key[order], whole[order]
    first = np.append(True, np.diff(key) > 0)[: len(key)]
    return key[first] // size, key[first] % size, whole[first]
