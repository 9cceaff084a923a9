"""What the sewing costs besides the lines, as a maker reads it, and what each order would."""

from __future__ import annotations

from collections.abc import Sequence

from loftline.cli.figures import length_words, minutes_words
from loftline.values import COST_WORDS, OrderPrice, Report, Runs

ORDER_HEADS = (
    "order",
    "runs",
    "turns",
    "time",
    "costs",
    "least in this order",
    "more than least cost",
)
"""Heads of the table of sewing orders."""

_LEAST_TOLD_MM = 1.0
"""What might be saved is never told as nothing unless it is proved."""


def cost_words(report: Report, units: str) -> str:
    """What travel, sewing over again and thread cuts cost, beside the least possible."""
    start = (
        "Travel, sewing over again and thread cuts cost as much as sewing "
        f"{length_words(report.cost, units)}; "
    )
    if report.optimal:
        return f"{start}no sewing order costs less."
    return f"{start}no sewing order {_can(report.cost, report.least_cost, units)}."


def least_words(cost: float, least: float, units: str) -> str:
    """The least, or what it is less by where both read alike."""
    told = length_words(least, units)
    if told != length_words(cost, units):
        return told
    return f"{length_words(max(cost - least, _LEAST_TOLD_MM), units)} less"


def _can(cost: float, least: float, units: str) -> str:
    """What is left to gain: by the least, or by the difference where both read alike."""
    told = length_words(least, units)
    if told != length_words(cost, units):
        return f"can cost less than {told}"
    return f"can save more than {length_words(max(cost - least, _LEAST_TOLD_MM), units)} of it"


def cost_sentences(report: Report, units: str) -> list[str]:
    """The cost, what it is made of, what the turns are beside it, and what the order adds."""
    sentences = [cost_words(report, units)]
    parts = [
        f"{COST_WORDS[part]} {length_words(mm, units)}"
        for part, mm in report.cost_parts.items()
        if mm >= 0.5 and part != "turns"
    ]
    if parts:
        sentences.append(f"That is {', '.join(parts)}.")
    turns = report.cost_parts.get("turns", 0.0)
    if turns >= 0.5:
        sentences.append(
            f"The {report.turns:,} turns of the panel count as much as sewing "
            f"{length_words(turns, units)} besides: fewer turns are worth some travel."
        )
    habit = report.habit
    if habit is not None:
        more = report.cost - habit.free_cost
        adds = (
            f"costs {length_words(more, units)} more than the plan of least cost"
            if more >= 0.5
            else "costs no more than the plan of least cost"
        )
        least = (
            "none of this order costs less"
            if habit.optimal
            else f"none of this order {_can(report.cost, habit.least_cost, units)}"
        )
        sentences.append(f'The order "{report.order}" {adds}; {least}.')
        if habit.least_runs is not None:
            fewest = (
                "no order needs fewer"
                if report.runs <= habit.least_runs
                else f"no order can need fewer than {habit.least_runs:,}"
            )
            runs = "1 run" if report.runs == 1 else f"{report.runs:,} runs"
            sentences.append(f"It sews {runs}; {fewest}.")
    return sentences


def undivided_words(hoopings: int, report: Report, undivided: Runs, units: str) -> str:
    """What the borders between hoopings add to the cost."""
    more = max(report.cost - undivided.cost, 0.0)
    return (
        f"In one hooping the same lines would cost as much as sewing "
        f"{length_words(undivided.cost, units)}; dividing them among {hoopings} hoopings adds "
        f"{length_words(more, units)}."
    )


def order_rows(prices: Sequence[OrderPrice], units: str) -> list[tuple[str, ...]]:
    """One row for each sewing order; the one of the project file is marked."""
    rows: list[tuple[str, ...]] = []
    for price in prices:
        report = price.report
        habit = report.habit
        free = report.cost if habit is None else habit.free_cost
        least = report.least_cost if habit is None else habit.least_cost
        reached = report.optimal if habit is None else habit.optimal
        more = max(0.0, report.cost - free)
        rows.append(
            (
                f"{report.order} (yours)" if price.chosen else report.order,
                f"{report.runs:,}",
                f"{report.turns:,}",
                minutes_words(report.minutes),
                length_words(report.cost, units),
                "the same" if reached else least_words(report.cost, least, units),
                length_words(more, units) if more >= 0.5 else "-",
            )
        )
    return rows
