"""What the sewing costs besides the lines, as a maker reads it, and what each order would."""

from __future__ import annotations

from collections.abc import Sequence

from loftline.cli.figures import length_words, minutes_words
from loftline.values import COST_WORDS, OrderPrice, Report

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


def cost_words(report: Report, units: str) -> str:
    """What travel, sewing over again and thread cuts cost, beside the least possible."""
    start = (
        "Travel, sewing over again and thread cuts cost as much as sewing "
        f"{length_words(report.cost, units)}; "
    )
    if report.optimal:
        return f"{start}no sewing order costs less."
    return f"{start}no sewing order can cost less than {length_words(report.least_cost, units)}."


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
            f"{length_words(turns, units)} besides."
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
            else f"none of this order can cost less than {length_words(habit.least_cost, units)}"
        )
        sentences.append(f'The order "{report.order}" {adds}; {least}.')
    return sentences


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
                "the same" if reached else length_words(least, units),
                length_words(more, units) if more >= 0.5 else "-",
            )
        )
    return rows
