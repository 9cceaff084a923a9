"""Runs: what is sewn without cutting the thread, as few and with as little else as can be."""

from __future__ import annotations

from functools import partial

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.costs import CUT_COST, FEWEST_CUTS_COST
from loftline.runs.network import make_network
from loftline.runs.planning import Walks, plan_network
from loftline.runs.view import to_networkx
from loftline.values import Bools, Floats, Ints, Network, Runs

_NEAREST = 24

__all__ = ["Walks", "make_network", "plan_network", "plan_runs", "to_networkx"]


def plan_runs(
    network: Network, order: str = "least cost", seed: int = 0, step: Step = does_nothing
) -> Runs:
    """Order a network into runs.

    Args:
        network: lines and ways, noded.
        order: ``"least cost"`` or ``"fewest cuts"`` (runs first, cost second).
        seed: for ties.
        step: progress callback.

    Returns:
        Runs in sewing order; costs in mm of sewing, the first run's thread cut not counted.
    """
    none = np.empty(0, np.int64)
    if not network.required.any():
        return Runs(
            edges=none,
            forward=none.astype(bool),
            repeat=none.astype(bool),
            starts=np.zeros(1, np.int64),
            cost=0.0,
            least_cost=0.0,
            optimal=True,
            cut_cost=CUT_COST,
        )
    planned = partial(
        plan_network,
        network.u,
        network.v,
        network.cost,
        network.required,
        heading=_headings(network),
        seed=seed,
        step=step,
    )
    walks = planned(CUT_COST)
    # the bound is of the everyday price, whatever the order
    shift = float(network.cost[network.required].sum()) + CUT_COST
    cost, least, optimal = walks.cost - shift, walks.least_cost - shift, walks.optimal
    if order == "fewest cuts" and len(walks.walks) > 1:
        few = planned(FEWEST_CUTS_COST, nearest=_NEAREST)
        if len(few.walks) < len(walks.walks):
            walks = few
            count = len(few.walks)
            cost = few.cost - FEWEST_CUTS_COST * count + CUT_COST * count - shift
            optimal = False
    sequence = _sewing_order(network, walks)
    edges = [np.array(walks.walks[i], np.int64) for i, _ in sequence]
    forward = [np.array(walks.directions[i], bool) for i, _ in sequence]
    for k, (_, turned) in enumerate(sequence):
        if turned:
            edges[k], forward[k] = edges[k][::-1], ~forward[k][::-1]
    all_edges = np.concatenate(edges)
    return Runs(
        edges=all_edges,
        forward=np.concatenate(forward),
        repeat=_repeats(all_edges, network),
        starts=np.concatenate([[0], np.cumsum([len(e) for e in edges])]).astype(np.int64),
        cost=cost,
        least_cost=cost if optimal else max(0.0, min(least, cost)),
        optimal=optimal,
        cut_cost=CUT_COST,
    )


def _headings(network: Network) -> Floats:
    """Direction in which each edge leaves its two nodes, from its first and last stretch."""
    first = network.starts[:-1]
    last = network.starts[1:] - 1
    out = network.points[first + 1] - network.points[first]
    back = network.points[last - 1] - network.points[last]
    heading = np.empty(2 * len(first))
    heading[0::2] = np.arctan2(out[:, 1], out[:, 0])
    heading[1::2] = np.arctan2(back[:, 1], back[:, 0])
    return heading


def _repeats(edges: Ints, network: Network) -> Bools:
    order = np.argsort(edges, kind="stable")
    again = np.zeros(len(edges), bool)
    again[order[1:]] = edges[order[1:]] == edges[order[:-1]]
    out: Bools = again & network.required[edges]
    return out


def _sewing_order(network: Network, walks: Walks) -> list[tuple[int, bool]]:
    """Runs by nearest next start from the lower left, either way round."""
    starts, ends = [], []
    for walk, directions in zip(walks.walks, walks.directions, strict=True):
        a, b = walk[0], walk[-1]
        starts.append(network.nodes[network.u[a] if directions[0] else network.v[a]])
        ends.append(network.nodes[network.v[b] if directions[-1] else network.u[b]])
    first, last = np.array(starts), np.array(ends)
    left = np.ones(len(first), bool)
    here = network.nodes.min(axis=0)
    sequence = []
    for _ in range(len(first)):
        to_first = np.where(left, np.hypot(*(first - here).T), np.inf)
        to_last = np.where(left, np.hypot(*(last - here).T), np.inf)
        turned = bool(to_last.min() < to_first.min())
        i = int((to_last if turned else to_first).argmin())
        left[i] = False
        sequence.append((i, turned))
        here = first[i] if turned else last[i]
    return sequence
