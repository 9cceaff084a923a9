"""The numbers beside the panel: what one bag takes, in the maker's units."""

from __future__ import annotations

from loftline.estimates.advice import chosen_needle
from loftline.units import Unit, format_length
from loftline.values import Band, Bobbins, Plan
from loftline.writers.svg.wording import TIMES, sewing_time, sewn_length

NONE = "\u2013"

Said = dict[str, str]
"""A sentence of the catalogue of labels, by its key ``say``, and the values to put into it."""
Row = tuple[str, str | Said]
"""A word of the catalogue, and a value."""


def figures(plan: Plan) -> list[Row]:
    """Rows in the order a maker asks: how much, how long, with what."""
    report, units = plan.report, plan.project.units
    rows: list[Row] = [
        ("stitches", f"{report.stitches:,}"),
        ("runs", f"{report.runs:,}"),
        ("cuts", f"{report.cuts:,}"),
        ("turns", f"{report.turns:,}"),
        ("sewn", sewn_length(sum(report.length.values()), units)),
        ("travel", sewn_length(report.length.get("travel", 0.0), units)),
        ("double", sewn_length(report.length.get("double", 0.0), units)),
        ("needle_thread", _band(report.needle_thread, units)),
        ("bobbin_thread", _band(report.bobbin_thread, units)),
        ("needle", chosen_needle(plan.project).label),
        ("time", sewing_time(report.minutes) if report.stitches else NONE),
    ]
    if report.bobbins is not None and report.stitches:
        rows.append(("bobbins", _bobbins(plan, report.bobbins)))
    if report.copies > 1:
        rows.append(("needle_batch", _band(report.needle_batch, units)))
        rows.append(("bobbin_batch", _band(report.bobbin_batch, units)))
    if plan.panel.closed_size is not None:
        wide, high = (format_length(side, units) for side in plan.panel.closed_size)
        rows.append(("closed_size", f"{wide} {TIMES} {high}"))
    gap = report.extra.get("widest_gap")
    if gap is not None:
        rows.append(("widest_gap", format_length(gap, units)))
    rows.append(("above_least", _above_least(plan)))
    return rows


def _band(band: Band, units: Unit) -> str | Said:
    low, expected, high = (sewn_length(mm, units) for mm in (band.low, band.expected, band.high))
    if low == high:
        return expected
    return {"say": "band", "expected": expected, "low": low, "high": high}


def _bobbins(plan: Plan, bobbins: Bobbins) -> str | Said:
    count = f"{len(bobbins.changes) + 1}"
    first = next(iter(bobbins.changes), None)
    if first is None:
        return count
    where = "before" if first.point is None else "in"
    of_bag = "_bag" if plan.report.copies > 1 else ""
    key = f"bobbins_{where}{of_bag}"
    return {"say": key, "n": count, "run": f"{first.run + 1}", "bag": f"{first.bag}"}


def _above_least(plan: Plan) -> str | Said:
    """How far the sewing order is from the least possible cost."""
    report = plan.report
    if report.optimal:
        return {"say": "above_least_proved"}
    if report.least_cost <= 0:
        return NONE
    return f"{(report.cost / report.least_cost - 1):.1%}".replace("%", " %")
