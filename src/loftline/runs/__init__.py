"""Runs: what is sewn without cutting the thread, as few and with as little else as can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from loftline.errors import Step, does_nothing
from loftline.runs.costs import BY_HAND, BY_MACHINE, Costs, costs_of
from loftline.runs.freely import (
    FULL,
    LESS_EFFORT,
    QUICK,
    Freely,
    least_runs,
    plan_fewest,
    plan_freely,
)
from loftline.runs.laying import Priced, Walk, as_runs, no_runs, price
from loftline.runs.network import make_network
from loftline.runs.orders import RULES, Habitual, Practice, plan_by_habit
from loftline.runs.planning import Walks, plan_network
from loftline.runs.turning import weigh_turns
from loftline.runs.view import to_networkx
from loftline.values import Floats, Habit, Lines, Network, Runs

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
            few, least = plan_fewest(network, free, seed, step, turn_cost, practice, effort)
            habit = Habit(
                order=order,
                least_cost=least,
                optimal=few is free.priced and free.optimal,
                free_cost=free.priced.cost,
                least_runs=least_runs(network),
            )
            runs = _beside(few, habit, network, free)
        elif lines is None:
            raise ValueError(f"the order {order!r} needs the lines")
        else:
            chosen, least = _by_habit(
                network, lines, order, practice, turn_cost, effort, seed, step
            )
            habit = Habit(
                order=order,
                least_cost=max(free.least_cost, least),
                optimal=False,
                free_cost=free.priced.cost,
            )
            runs = _beside(chosen, habit, network, free)
        found.append(replace(runs, turn_cost=turn_cost))
    return found


def _by_habit(
    network: Network,
    lines: Lines,
    order: str,
    practice: Practice,
    turn_cost: float,
    effort: float,
    seed: int,
    step: Step,
) -> tuple[Priced, float]:
    """The plan of a habit, with its turns weighed, and the least cost proved for the habit."""

    def planned(of: Network, effort: float) -> Habitual:
        return plan_by_habit(of, lines, order, practice, effort=effort, seed=seed, step=step)

    def other(cost: Floats, ends: Floats) -> list[Walk]:
        return planned(replace(network, cost=cost, end_cost=ends), LESS_EFFORT).walks

    plain = planned(network, effort)
    chosen = weigh_turns(network, price(network, plain.walks), turn_cost, other)
    return chosen, plain.least_cost


def _beside(chosen: Priced, habit: Habit, network: Network, free: Freely) -> Runs:
    """Runs with the bound of any order, and beside it that of their own."""
    runs = as_runs(
        chosen,
        network=network,
        least_cost=free.least_cost,
        optimal=_reached(chosen, free.least_cost, network),
    )
    optimal = habit.optimal or _reached(chosen, habit.least_cost, network)
    least = chosen.cost if optimal else min(habit.least_cost, chosen.cost)
    return replace(runs, habit=replace(habit, least_cost=least, optimal=optimal))


def _reached(chosen: Priced, least_cost: float, network: Network) -> bool:
    """Whether nothing lies between cost and bound but the rounding to thousandths."""
    besides = sum(int((~network.required[edges]).sum()) for edges, _ in chosen.walks)
    return chosen.cost - least_cost <= 0.001 * (besides + 2 * len(chosen.walks) + 1)
