"""A networkx view of a network, for looking at it and for other graph methods."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loftline.values import Network, Way

if TYPE_CHECKING:
    import networkx as nx


def to_networkx(network: Network) -> nx.MultiGraph[int]:
    """The network as a multigraph.

    Args:
        network: arrays.

    Returns:
        Nodes 0 to n - 1 with ``place``; edges with their number as key and ``length``,
        ``cost`` (as travel), ``required``, ``way`` (``"line"``, ``"edge"``, ``"ring"``,
        ``"step"``) and ``line``. A copy: changing it changes no plan.
    """
    import networkx as nx  # noqa: PLC0415 - a large library that no plan needs

    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from((i, {"place": (x, y)}) for i, (x, y) in enumerate(network.nodes.tolist()))
    columns = zip(
        network.u.tolist(),
        network.v.tolist(),
        network.length.tolist(),
        network.cost.tolist(),
        network.required.tolist(),
        network.way.tolist(),
        network.line.tolist(),
        strict=True,
    )
    for key, (u, v, length, cost, required, way, line) in enumerate(columns):
        graph.add_edge(
            u,
            v,
            key=key,
            length=length,
            cost=cost,
            required=required,
            way=Way(way).name.lower(),
            line=line,
        )
    return graph
