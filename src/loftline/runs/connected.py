"""What hangs together: connected pieces of a graph, and clusters that are merged."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from loftline.values import Ints


def components(n: int, a: Ints, b: Ints) -> Ints:
    """The connected piece that each of ``n`` nodes lies in, numbered from 0."""
    graph = coo_matrix((np.ones(len(a)), (a, b)), shape=(n, n))
    return np.asarray(connected_components(graph, directed=False)[1], np.int64)


def find(parent: list[int], node: int) -> int:
    """The cluster of a node, where merged clusters name another as their parent."""
    while parent[node] != node:
        parent[node] = parent[parent[node]]
        node = parent[node]
    return node
