"""Where a run ends: at the place itself, or after travel at a place where that is cheaper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.runs.parity import Graph
from loftline.values import Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """What a run's end costs wherever the sewing stops, and the way to where it ends.

    Attributes:
        price: ``(n,)`` thousandths: the cheapest end, the travel to it counted in.
        toward: ``(n,)`` the next node on that way, ``n`` where the run ends on the spot;
            ``None`` where all places cost the same.
    """

    price: Ints
    toward: Ints | None

    @classmethod
    def of(cls, graph: Graph, ends: Ints) -> Leaving:
        """One search from the hub, that every node is joined to by an edge of its price.

        Args:
            graph: the ways that may be travelled.
            ends: ``(n,)`` what an end costs on the spot, thousandths, more than 0.
        """
        if ends.min() == ends.max():
            return cls(price=ends, toward=None)
        n = graph.size
        stored = graph.matrix.tocoo()
        # a stored zero is no edge
        weight = np.maximum(np.concatenate([stored.data, ends]), 0.5)
        rows: Ints = np.append(stored.row, np.full(n, n))
        columns: Ints = np.append(stored.col, np.arange(n))
        table = coo_matrix((weight, (rows, columns)), shape=(n + 1, n + 1)).tocsr()
        way, before = dijkstra(table, indices=[n], return_predecessors=True)
        return cls(price=np.floor(way[0, :n]).astype(np.int64), toward=before[0].astype(np.int64))

    def way(self, graph: Graph, node: int) -> Ints:
        """Edges from a node to where its run ends."""
        if self.toward is None:
            return np.empty(0, np.int64)
        n = graph.size
        keys = []
        while (after := int(self.toward[node])) != n:
            keys.append(min(node, after) * n + max(node, after))
            node = after
        return graph.cheapest[np.searchsorted(graph.edge, np.array(keys, np.int64))]
