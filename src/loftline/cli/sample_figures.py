"""Designs beside each other as a maker reads them."""

from __future__ import annotations

from collections.abc import Sequence

from loftline.units import Unit
from loftline.values import Report, Sample

from .cost_figures import least_words
from .figures import length_words, minutes_words

SAMPLE_HEADS = (
    *("design", "stitches", "thread cuts", "turns", "needle thread", "bobbin thread"),
    *("time", "widest place without a line", "costs"),
)
"""Heads of the table of designs."""

SAMPLE_SENTENCES = (
    "Costs: travel, sewing over again and thread cuts, as a length of sewing that is as dear.",
)


def sample_rows(samples: Sequence[Sample], units: Unit) -> list[tuple[str, ...]]:
    """One row for each design; that of the project file is marked."""
    rows: list[tuple[str, ...]] = []
    for sample in samples:
        report = sample.plan.report
        rows.append(
            (
                _name(sample),
                f"{report.stitches:,}",
                f"{report.cuts:,}",
                f"{report.turns:,}",
                length_words(report.needle_thread.expected, units),
                length_words(report.bobbin_thread.expected, units),
                minutes_words(report.minutes),
                "-" if sample.widest_gap is None else length_words(sample.widest_gap, units),
                _cost(report, units),
            )
        )
    return rows


def _cost(report: Report, units: Unit) -> str:
    """What it costs, and the least it could."""
    cost = length_words(report.cost, units)
    if report.optimal:
        return f"{cost}, the least"
    return f"{cost}, least {least_words(report.cost, report.least_cost, units)}"


def _name(sample: Sample) -> str:
    words = f"{sample.name} (yours)" if sample.yours else sample.name
    return words if sample.plan.clean else f"{words} (stop: check it)"
