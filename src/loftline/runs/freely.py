"""Plans that are free to sew in any order: of least cost, or of fewest cuts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from loftline.errors import Step
from loftline.runs.connected import components
from loftline.runs.costs import FEWEST_CUTS_COST
from loftline.runs.laying import (
    Priced,
    Walk,
    end_costs,
    first_run,
    headings,
    in_sewing_order,
    price,
)
from loftline.runs.orders import Practice
from loftline.runs.planning import Walks, plan_network
from loftline.runs.turning import ALIKE, weigh_turns
from loftline.values import Floats, Network

_NEAREST = 24
FULL = 1.0
QUICK = 0.01
"""Hardly any proof: the plan is mostly as good, and what may be left to gain is told."""

LESS_EFFORT = QUICK
"""For plans that are only looked at beside the cheapest: nothing need be proved of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freely:
    """A plan that is free to sew in any order.

    Attributes:
        least_cost: proved for any order, counted as ``priced.cost``.
        optimal: whether the two are proved equal.
    """

    priced: Priced
    least_cost: float
    optimal: bool


def plan_freely(
    network: Network,
    seed: int,
    step: Step,
    turn_cost: float,
    practice: Practice,
    effort: float = FULL,
) -> Freely:
    """The plan of least cost.

    With a price on turns, the least of cost and turns together is taken among a few plans.
    """
    heading, ends = headings(network), end_costs(network)
    shift = float(network.cost[network.required].sum()) + first_run(network)
    walks = _plan(network, heading, ends, seed, step, effort=effort)
    best = price(network, _ordered(network, walks, practice))
    least, optimal = walks.least_cost - shift, walks.optimal

    def other(cost: Floats, at: Floats) -> list[Walk]:
        walks = _plan(network, heading, at, seed, step, cost=cost, effort=LESS_EFFORT)
        return _ordered(network, walks, practice)

    cheapest = best.cost
    best = weigh_turns(network, best, turn_cost, other)
    optimal = optimal and best.cost <= cheapest + ALIKE
    return Freely(priced=best, least_cost=least, optimal=optimal)


def plan_fewest(
    network: Network,
    free: Freely,
    seed: int,
    step: Step,
    turn_cost: float,
    practice: Practice,
    effort: float = FULL,
) -> tuple[Priced, float]:
    """The plan of fewest runs, and what none of so few runs costs less than.

    It is the free plan, when no fewer runs are found.
    """
    if len(free.priced.walks) < 2:
        return free.priced, free.least_cost
    heading, ends = headings(network), end_costs(network)

    def few(cost: Floats, at: Floats, effort: float) -> Walks:
        dear = at + FEWEST_CUTS_COST / 2
        return _plan(network, heading, dear, seed, step, cost=cost, nearest=_NEAREST, effort=effort)

    walks = few(network.cost, ends, effort)
    runs = len(walks.walks)
    if runs >= len(free.priced.walks):
        return free.priced, free.least_cost
    cheapest = price(network, _ordered(network, walks, practice))

    def other(cost: Floats, at: Floats) -> list[Walk]:
        found = few(cost, at, LESS_EFFORT)
        return _ordered(network, found if len(found.walks) <= runs else walks, practice)

    # each run costs the same more, and a plan of fewer runs costs that much less
    shift = float(network.cost[network.required].sum()) + first_run(network)
    least = walks.least_cost - runs * FEWEST_CUTS_COST - shift
    return weigh_turns(network, cheapest, turn_cost, other), max(free.least_cost, least)


def least_runs(network: Network) -> int:
    """No plan has fewer runs: parts without ways between, and ends that nothing goes on from.

    Where pieces may be walked again, all odd nodes they join can be paired but for one.
    """
    u, v, n = network.u, network.v, len(network.nodes)
    sewn = network.required
    may = np.ones(len(u), bool) if network.once is None else ~(sewn & network.once)
    odd = np.bincount(np.concatenate([u[sewn], v[sewn]]), minlength=n) % 2
    part, whole = components(n, u[may], v[may]), components(n, u, v)
    left = np.bincount(part, odd) % 2 == 1
    _, first = np.unique(part, return_index=True)
    ends = np.bincount(whole[first], left, int(whole.max()) + 1)
    needed = np.maximum(1, np.ceil(ends / 2))
    return int(needed[np.unique(whole[u[sewn]])].sum())


def _plan(
    network: Network,
    heading: Floats,
    ends: Floats,
    seed: int,
    step: Step,
    *,
    cost: Floats | None = None,
    nearest: int | None = None,
    effort: float = FULL,
) -> Walks:
    size = int(max(network.u.max(), network.v.max())) + 1
    return plan_network(
        network.u,
        network.v,
        network.cost if cost is None else cost,
        network.required,
        2.0 * float(ends.min()),
        end_cost=ends[:size],
        once=network.once,
        heading=heading,
        nearest=nearest,
        effort=effort,
        seed=seed,
        step=step,
    )


def _ordered(network: Network, walks: Walks, practice: Practice) -> list[Walk]:
    """The walks in sewing order, each the way round that the machine's throat likes better."""
    plain = [
        (np.array(walk, np.int64), np.array(way, bool))
        for walk, way in zip(walks.walks, walks.directions, strict=True)
    ]
    over = None if practice.throat is None else _beyond(network, practice)
    return in_sewing_order(network, plain, over)


def _beyond(network: Network, practice: Practice) -> Callable[[Walk], float]:
    """How far the panel reaches beyond the throat along a run: mm times mm of line."""
    first, last = network.starts[:-1], network.starts[1:] - 1
    chord = network.points[last] - network.points[first]
    far = np.hypot(*chord.T)
    towards = chord / np.where(far > 0, far, 1.0)[:, None]
    middle = (network.points[first] + network.points[last]) / 2

    def over(walk: Walk) -> float:
        edges, forward = walk
        way = np.where(forward, 1.0, -1.0)[:, None] * towards[edges]
        return float((practice.beyond(middle[edges], way) * far[edges]).sum())

    return over
