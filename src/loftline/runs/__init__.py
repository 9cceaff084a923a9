"""Runs: what is sewn without cutting the thread, as few and with as little else as can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from loftline.errors import Step, does_nothing
from loftline.runs.costs import BY_HAND, BY_MACHINE, Costs, costs_of
from loftline.runs.freely import (
    ALIKE,
    FULL,
    QUICK,
    Freely,
    least_runs,
    plan_fewest,
    plan_freely,
)
from loftline.runs.laying import Priced, as_runs, no_runs, price
from loftline.runs.network import make_network
from loftline.runs.orders import RULES, Practice, plan_by_habit
from loftline.runs.planning import Walks, plan_network
from loftline.runs.view import to_networkx
from loftline.values import Habit, Lines, Network, Runs

__all__ = [
    "BY_HAND",
    "BY_MACHINE",
    "FULL",
    "QUICK",
    "RULES",
    "Costs",
    "Practice",
    "Walks",
    "costs_of",
    "make_network",
    "plan_network",
    "plan_orders",
    "plan_runs",
    "to_networkx",
]


def plan_runs(
    network: Network,
    order: str = "least cost",
    seed: int = 0,
    step: Step = does_nothing,
    *,
    lines: Lines | None = None,
    turn_cost: float = 0.0,
    practice: Practice | None = None,
    effort: float = FULL,
) -> Runs:
    """Order a network into runs.

    Args:
        network: lines and ways, noded.
        order: ``"least cost"``, ``"fewest cuts"`` (runs first, cost second), or a habit
            (:data:`~loftline.runs.orders.RULES`).
        seed: for ties.
        step: progress callback.
        lines: what the network was made from; needed for a habit.
        turn_cost: price of a turn of the panel. It steers the choice among plans of nearly
            the same cost, and is no part of the cost.
        practice: the machine's throat, and what a habit needs to know.
        effort: as of :func:`plan_network`; with :data:`QUICK` a plan of a usual panel takes
            some hundredths of a second, and may leave more between cost and bound.

    Returns:
        Runs in sewing order; costs in mm of sewing, the two ends of the first run not counted
        where they are cheapest.

    Raises:
        ValueError: for a habit without lines, or without the edge that it needs.
    """
    (runs,) = plan_orders(
        network,
        [order],
        seed,
        step,
        lines=lines,
        turn_cost=turn_cost,
        practice=practice,
        effort=effort,
    )
    return runs


def plan_orders(
    network: Network,
    orders: Sequence[str],
    seed: int = 0,
    step: Step = does_nothing,
    *,
    lines: Lines | None = None,
    turn_cost: float = 0.0,
    practice: Practice | None = None,
    effort: float = FULL,
) -> list[Runs]:
    """The runs of several orders of one network, each as :func:`plan_runs` answers."""
    if not network.required.any():
        return [replace(no_runs(network), turn_cost=turn_cost) for _ in orders]
    practice = Practice() if practice is None else practice
    free = plan_freely(network, seed, step, turn_cost, practice, effort)
    found = []
    for order in orders:
        if order == "least cost":
            runs = as_runs(
                free.priced, network=network, least_cost=free.least_cost, optimal=free.optimal
            )
        elif order == "fewest cuts":
            few = plan_fewest(network, free.priced, seed, step, practice)
            habit = Habit(
                order=order,
                least_cost=min(free.least_cost, few.cost),
                optimal=few is free.priced and free.optimal,
                free_cost=free.priced.cost,
                least_runs=least_runs(network),
            )
            runs = _beside(few, habit, network, free)
        elif lines is None:
            raise ValueError(f"the order {order!r} needs the lines")
        else:
            habitual = plan_by_habit(network, lines, order, practice, seed=seed, step=step)
            chosen = price(network, habitual.walks)
            habit = Habit(
                order=order,
                least_cost=max(free.least_cost, habitual.least_cost),
                optimal=habitual.optimal,
                free_cost=free.priced.cost,
            )
            runs = _beside(chosen, habit, network, free)
        found.append(replace(runs, turn_cost=turn_cost))
    return found


def _beside(chosen: Priced, habit: Habit, network: Network, free: Freely) -> Runs:
    """Runs with the bound of any order, and beside it that of their own."""
    runs = as_runs(
        chosen,
        network=network,
        least_cost=free.least_cost,
        optimal=free.optimal and chosen.cost <= free.priced.cost + ALIKE,
    )
    least = chosen.cost if habit.optimal else min(habit.least_cost, chosen.cost)
    return replace(runs, habit=replace(habit, least_cost=least))
