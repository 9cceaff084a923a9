"""Designs that are no channels: planned by least cost when their turn comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra

from loftline.errors import Step
from loftline.runs.laying import (
    Walk,
    end_costs,
    ends_of,
    first_run,
    headings,
    in_sewing_order,
)
from loftline.runs.orders.directions import Block, Stretch
from loftline.runs.orders.links import Links, total
from loftline.runs.parity import MICRO
from loftline.runs.planning import plan_network
from loftline.values import Floats, Ints, Network

_FAR = 1 << 50
"""Thousandths: no way leads there."""

_MOST_BEGINNINGS = 24
"""Places at which a closed run may begin, evenly among those that ways meet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Free:
    """Lines of a design that are no channels, planned by least cost.

    Attributes:
        walks: its runs in order; of each, the places where it may begin.
        nodes: places on its lines.
        least: no plan of them alone costs less, the ends of all runs counted, thousandths.
    """

    walks: list[list[Walk]]
    nodes: Ints
    least: int

    @classmethod
    def of(cls, network: Network, owners: Ints, effort: float, seed: int, step: Step) -> Free:
        """Plan some of the lines along ways and themselves."""
        mine = np.isin(network.line, owners)
        use = np.flatnonzero(mine | ~network.required)
        ends = end_costs(network)
        size = int(max(network.u[use].max(), network.v[use].max())) + 1
        walks = plan_network(
            network.u[use],
            network.v[use],
            network.cost[use],
            mine[use],
            first_run(network),
            end_cost=ends[:size],
            once=None if network.once is None else network.once[use],
            heading=headings(network).reshape(-1, 2)[use].ravel(),
            effort=effort,
            seed=seed,
            step=step,
        )
        sewn = [
            (use[np.array(walk, np.int64)], np.array(way, bool))
            for walk, way in zip(walks.walks, walks.directions, strict=True)
        ]
        needed = float(network.cost[mine].sum())
        return cls(
            walks=[_begun(network, walk) for walk in in_sewing_order(network, sewn)],
            nodes=np.unique(np.concatenate([network.u[mine], network.v[mine]])),
            least=round((walks.least_cost - needed) * MICRO),
        )

    def ways_round(self) -> list[Walk]:
        """Every way to begin each of its runs."""
        return [walk for begun in self.walks for walk in begun]

    def block(self, network: Network, links: Links) -> Block:
        """Its runs as stretches, in their order, each sewn either way."""

        def stretch(walk: Walk) -> Stretch:
            return Stretch.of(network, [walk], links, round(total(network, walk[0]) * MICRO))

        return [[[(stretch(walk), True, True) for walk in begun] for begun in self.walks]]


def _begun(network: Network, walk: Walk) -> list[Walk]:
    """A run, and where it is a closed one the same begun at other places that ways meet."""
    first, last = ends_of(network, walk)
    if first != last:
        return [walk]
    edges, forward = walk
    begin = np.where(forward, network.u[edges], network.v[edges])
    ways = ~network.required
    met = np.isin(begin, np.concatenate([network.u[ways], network.v[ways]]))
    met[0] = True
    at = np.flatnonzero(met)
    _, fresh = np.unique(begin[at], return_index=True)
    at = at[np.sort(fresh)]
    at = at[np.linspace(0, len(at) - 1, min(len(at), _MOST_BEGINNINGS)).astype(np.int64)]
    return [(np.roll(edges, -k), np.roll(forward, -k)) for k in at.tolist()]


class AnyPlan:
    """Links where designs that are no channels are sewn in whatever way.

    Each such design stands for one place, which costs the least of any plan of it by itself.
    A plan that is entered and left by travel saves the two ends which it would have by
    itself: so a link to it costs the travel less the end that it saves there, wherever on
    its lines that is least; and no link costs more than a thread cut.
    """

    def __init__(self, links: Links, designs: Sequence[Free]) -> None:
        self._links = links
        self._n = len(links.prices)
        self._designs = designs
        self._near = [_saving(links, design.nodes) for design in designs]

    def block(self, number: int) -> Block:
        """A design as the one place it stands for."""
        here = self._n + number
        place = Stretch(pieces=(), ends=((here, here),), inner=self._designs[number].least)
        return [[[(place, True, True)]]]

    def end(self, node: int) -> int:
        """What a run's end costs; that of a design is counted within."""
        return self._links.end(node) if node < self._n else 0

    def cost(self, a: int, b: int) -> int:
        """No link costs less, in thousandths."""
        a, b = min(a, b), max(a, b)
        if b < self._n:
            return self._links.cost(a, b)
        near = self._near[b - self._n]
        if a < self._n:
            return min(int(near[a]), self._links.end(a))
        nodes = self._designs[a - self._n].nodes
        return min(0, int((near[nodes] - self._links.prices[nodes]).min()))


def _saving(links: Links, nodes: Ints) -> Floats:
    """From each node the least of travel to one of these, less what an end costs there."""
    stored = links.graph.matrix.tocoo()
    n = links.graph.size
    price = links.prices[nodes]
    # one search from all of them, each as far off as its end is cheap; a zero is no edge
    top = float(price.max()) + 1.0
    table = coo_matrix(
        (
            np.concatenate([stored.data, top - price]),
            (np.append(stored.row, np.full(len(nodes), n)), np.append(stored.col, nodes)),
        ),
        shape=(n + 1, n + 1),
    ).tocsr()
    far = dijkstra(table, indices=[n])[0, :n] - top
    out: Floats = np.where(np.isfinite(far), far, _FAR)
    return out
