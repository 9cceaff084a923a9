"""From the end of one line to the start of the next: travel along ways, or a thread cut."""

from __future__ import annotations

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.laying import Walk, end_costs
from loftline.runs.leaving import Leaving
from loftline.runs.parity import MICRO, Graph, make_graph, near_pairs, trace
from loftline.values import Floats, Ints, Network


class Links:
    """The cheapest link between any two line ends.

    Travel keeps to ways: lines are sewn in the order of the habit, none before its turn and
    none again. Where a run ends it may travel on to a place at which an end costs less.
    """

    def __init__(self, network: Network, nodes: Ints, step: Step = does_nothing) -> None:
        self.graph = ways_graph(network)
        self._step = step
        self._network = network
        self._leaving = Leaving.of(self.graph, np.rint(end_costs(network) * MICRO).astype(np.int64))
        self._ends: list[int] = self._leaving.price.tolist()
        terminals = np.unique(nodes)
        self._limit = 2.0 * max(self._ends) + 1
        near = near_pairs(self.graph, terminals, self._limit, step)
        first, second = terminals[near.first], terminals[near.second]
        self._travel: dict[tuple[int, int], int] = dict(
            zip(zip(first.tolist(), second.tolist(), strict=True), near.cost.tolist(), strict=True)
        )

    @property
    def prices(self) -> Ints:
        """What a run's end costs at each node, travel to a cheaper place counted in."""
        return self._leaving.price

    def end(self, node: int) -> int:
        """What a run's end costs there, in thousandths."""
        return self._ends[node]

    def travel(self, a: int, b: int) -> int | None:
        """What travel costs, in thousandths; ``None`` where a thread cut costs less."""
        if a == b:
            return 0
        cost = self._travel.get((a, b) if a < b else (b, a))
        return cost if cost is not None and cost <= self._ends[a] + self._ends[b] else None

    def cost(self, a: int, b: int) -> int:
        """What the cheapest link costs, in thousandths."""
        cost = self.travel(a, b)
        return self._ends[a] + self._ends[b] if cost is None else cost

    def paths(self, pairs: list[tuple[int, int]]) -> list[Walk]:
        """The ways for pairs of different nodes that are linked by travel."""
        traced = trace(self.graph, pairs, self._limit, self._step)
        return [self._walked(a, edges) for (a, _), edges in zip(pairs, traced, strict=True)]

    def leaving(self, node: int) -> Walk:
        """The way from a node to where its run ends; mostly of no edge."""
        return self._walked(node, self._leaving.way(self.graph, node))

    def _walked(self, here: int, edges: Ints) -> Walk:
        forward = []
        for e in edges.tolist():
            onward = bool(self._network.u[e] == here)
            forward.append(onward)
            here = int(self._network.v[e] if onward else self._network.u[e])
        return edges, np.array(forward, bool)


def ways_graph(network: Network) -> Graph:
    """The ways alone, in thousandths."""
    cost = np.rint(network.cost * MICRO).astype(np.int64)
    return make_graph(len(network.nodes), network.u, network.v, cost, barred=network.required)


def total(network: Network, edges: Ints) -> float:
    """What is sewn besides the lines among the edges of a walk, each line once counted free."""
    each: Floats = network.cost[edges]
    needed = np.unique(edges[network.required[edges]])
    return float(each.sum() - network.cost[needed].sum())
