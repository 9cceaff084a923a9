"""From walks to runs: their order and directions, what they cost and for what."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from loftline.runs.costs import BY_MACHINE
from loftline.values import Bools, Floats, Ints, Network, Runs, Way

Walk = tuple[Ints, Bools]
"""Edges of one run in sewing order, and whether each is sewn from u to v."""

_PART_OF_WAY = {Way.EDGE: "edge", Way.RING: "keep_out", Way.STEP: "step"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """Walks with their cost, the first run's two ends counted where they are cheapest.

    Attributes:
        parts: by what it is for; they add up to ``cost``.
    """

    walks: Sequence[Walk]
    cost: float
    parts: dict[str, float]


def end_costs(network: Network) -> Floats:
    """What a run's end costs at each node."""
    if network.end_cost is None:
        return np.full(len(network.nodes), BY_MACHINE.cut / 2)
    return network.end_cost


def first_run(network: Network) -> float:
    """The two ends of the one run that there must be, where they are cheapest."""
    at = end_costs(network)
    return 2.0 * float(min(at[network.u].min(), at[network.v].min()))


def ends_of(network: Network, walk: Walk) -> tuple[int, int]:
    """The nodes where a run begins and ends."""
    edges, forward = walk
    first = network.u[edges[0]] if forward[0] else network.v[edges[0]]
    last = network.v[edges[-1]] if forward[-1] else network.u[edges[-1]]
    return int(first), int(last)


def turned_round(walk: Walk) -> Walk:
    """The same run sewn the other way."""
    edges, forward = walk
    return edges[::-1], ~forward[::-1]


def price(network: Network, walks: Sequence[Walk]) -> Priced:
    """What the walks cost besides the lines."""
    edges = np.concatenate([edges for edges, _ in walks])
    again = repeats(edges, network)
    each = network.cost[edges]
    parts = {
        part: float(each[~network.required[edges] & (network.way[edges] == way)].sum())
        for way, part in _PART_OF_WAY.items()
    }
    parts["double"] = float(each[again].sum())
    at = end_costs(network)
    ends = np.array([ends_of(network, walk) for walk in walks], np.int64)
    # an end inside costs more, even where nothing is cut
    parts["cuts"] = (len(walks) - 1) * first_run(network)
    parts["inside"] = max(0.0, float(at[ends].sum()) - len(walks) * first_run(network))
    return Priced(walks=walks, cost=sum(parts.values()), parts=parts)


def headings(network: Network) -> Floats:
    """Direction in which each edge leaves its two nodes, from its first and last stretch."""
    first = network.starts[:-1]
    last = network.starts[1:] - 1
    out = network.points[first + 1] - network.points[first]
    back = network.points[last - 1] - network.points[last]
    heading = np.empty(2 * len(first))
    heading[0::2] = np.arctan2(out[:, 1], out[:, 0])
    heading[1::2] = np.arctan2(back[:, 1], back[:, 0])
    return heading


def repeats(edges: Ints, network: Network) -> Bools:
    """Where a piece of a line is sewn over again."""
    order = np.argsort(edges, kind="stable")
    again = np.zeros(len(edges), bool)
    again[order[1:]] = edges[order[1:]] == edges[order[:-1]]
    out: Bools = again & network.required[edges]
    return out


def in_sewing_order(
    network: Network, walks: Sequence[Walk], over: Callable[[Walk], float] | None = None
) -> list[Walk]:
    """Runs by their designs in the order of the file, then by nearest next start.

    A run belongs to the earliest design that it sews; creases and borders come first. Within
    a design it goes from the lower left, each run either way round. Moves between runs cost
    nothing, so this order is no dearer than any other.

    Args:
        network: the edges.
        walks: the runs.
        over: how far a run, sewn as it stands, goes beyond what the machine's throat holds;
            a run is sewn the way round in which that is less.
    """
    ends = np.array([ends_of(network, walk) for walk in walks], np.int64)
    first, last = network.nodes[ends[:, 0]], network.nodes[ends[:, 1]]
    may = np.ones((len(walks), 2), bool)
    if over is not None:
        excess = np.array([[over(walk), over(turned_round(walk))] for walk in walks])
        may = excess <= excess.min(axis=1, keepdims=True) + 1e-6
    left = np.ones(len(walks), bool)
    place = np.array([_first_design(network, walk) for walk in walks])
    here = network.nodes.min(axis=0)
    sequence = []
    for _ in range(len(walks)):
        next_up = left & (place == place[left].min())
        to_first = np.where(next_up & may[:, 0], np.hypot(*(first - here).T), np.inf)
        to_last = np.where(next_up & may[:, 1], np.hypot(*(last - here).T), np.inf)
        turned = bool(to_last.min() < to_first.min())
        i = int((to_last if turned else to_first).argmin())
        left[i] = False
        sequence.append(turned_round(walks[i]) if turned else walks[i])
        here = first[i] if turned else last[i]
    return sequence


def _first_design(network: Network, walk: Walk) -> int:
    """The earliest design of a run's lines."""
    if network.fill is None:
        return 0
    edges, _ = walk
    sewn = edges[network.required[edges]]
    return int(network.fill[sewn].min()) if len(sewn) else 0


def as_runs(priced: Priced, *, network: Network, least_cost: float, optimal: bool) -> Runs:
    """Priced walks as runs; the bound never above the cost."""
    edges = np.concatenate([edges for edges, _ in priced.walks])
    sizes = [len(edges) for edges, _ in priced.walks]
    return Runs(
        edges=edges,
        forward=np.concatenate([forward for _, forward in priced.walks]),
        repeat=repeats(edges, network),
        starts=np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64),
        cost=priced.cost,
        least_cost=priced.cost if optimal else max(0.0, min(least_cost, priced.cost)),
        optimal=optimal,
        cut_cost=first_run(network),
        ends_inside=_ends_inside(network, priced.walks),
        parts=priced.parts,
    )


def _ends_inside(network: Network, walks: Sequence[Walk]) -> int:
    if network.at_edge is None:
        return 0
    ends = np.array([ends_of(network, walk) for walk in walks], np.int64)
    return int((~network.at_edge[ends]).sum())


def no_runs(network: Network) -> Runs:
    """Where there is nothing to sew."""
    none = np.empty(0, np.int64)
    return Runs(
        edges=none,
        forward=none.astype(bool),
        repeat=none.astype(bool),
        starts=np.zeros(1, np.int64),
        cost=0.0,
        least_cost=0.0,
        optimal=True,
        cut_cost=first_run(network) if len(network.u) else BY_MACHINE.cut,
    )
