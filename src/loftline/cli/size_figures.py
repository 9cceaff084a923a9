"""Sizes, their totals and the kit of each bag as a maker reads them."""

from __future__ import annotations

from dataclasses import replace

from loftline.errors import Finding
from loftline.trade.cloths import cut_size
from loftline.units import Unit, format_length
from loftline.values import Batch, HardwareCount, Panel, SizePlan

from .figures import band_words, length_words, minutes_words
from .seam_figures import enough_words

SIZE_HEADS = (
    *("Size", "Bags", "Flat panel", "Closed bag", "Stitches"),
    *("Quilting thread", "Bobbin thread", "Time to quilt"),
)
"""Heads of the table of sizes; figures are for one bag."""


def bags_words(bags: int) -> str:
    """How many bags.

    >>> bags_words(1), bags_words(12)
    ('1 bag', '12 bags')
    """
    return "1 bag" if bags == 1 else f"{bags:,} bags"


def batch_size_rows(batch: Batch) -> list[tuple[str, ...]]:
    """One row for each size."""
    return [
        (
            size.name,
            f"{size.bags:,}",
            _flat(size.plan.panel, batch.units),
            _closed(size.plan.panel, batch.units),
            f"{size.plan.report.stitches:,}",
            *(
                length_words(total.one.expected, batch.units)
                for total in size.plan.report.threads[:2]
            ),
            minutes_words(size.plan.report.minutes),
        )
        for size in batch.sizes
    ]


def batch_thread_heads(batch: Batch) -> tuple[str, ...]:
    """Heads of the table of threads for all sizes."""
    return ("Thread", f"{bags_words(batch.bags)}, {batch.waste:.0%} waste", "Enough", "Price")


def batch_thread_rows(batch: Batch) -> list[tuple[str, ...]]:
    """One row for each thread."""
    return [
        (
            f"{thread.name}, tex {thread.tex:.3g}",
            band_words(thread.length, batch.units),
            enough_words(thread),
            "" if thread.price is None else f"{thread.price:,.2f}",
        )
        for thread in batch.threads
    ]


def hardware_words(count: HardwareCount, units: Unit) -> str:
    """How many of what.

    >>> snap = HardwareCount(
    ...     kind="magnetic snap", width=18, height=18, round=True, paired=True, count=24)
    >>> hardware_words(snap, "mm")
    '24 \u00d7 magnetic snap, 18 mm, each with its other half'
    """
    size = (
        format_length(count.width, units)
        if count.round
        else cut_size(count.width, count.height, units)
    )
    half = ""
    if count.paired:
        half = ", with its other half" if count.count == 1 else ", each with its other half"
    return f"{count.count:,} \u00d7 {count.kind}, {size}{half}"


def total_rows(batch: Batch) -> list[tuple[str, str]]:
    """Bags, time and hardware of all sizes together."""
    rows = [("Time to quilt, at one machine", minutes_words(batch.minutes))]
    if batch.class_minutes is not None:
        rows.append(("The class, machines shared, at most", minutes_words(batch.class_minutes)))
    rows += [("Hardware", hardware_words(count, batch.units)) for count in batch.hardware]
    return rows


def batch_findings(batch: Batch) -> list[Finding]:
    """Findings of all sizes, each once; one that only some sizes have names them."""
    sizes: dict[Finding, list[str]] = {}
    for size in batch.sizes:
        for finding in dict.fromkeys(size.plan.findings):
            sizes.setdefault(finding, []).append(size.name)
    every = len(batch.sizes)
    return [
        *(
            finding
            if len(names) == every
            else replace(finding, where=f"{', '.join(names)}: {finding.where}")
            for finding, names in sizes.items()
        ),
        *batch.findings,
    ]


def batch_cautions(batch: Batch) -> tuple[str, ...]:
    """Safety sentences of all sizes, each once."""
    return tuple(dict.fromkeys(s for size in batch.sizes for s in size.plan.report.cautions))


def kit_rows(size: SizePlan, units: Unit) -> list[tuple[str, str]]:
    """What one bag of a size is made of, item by item."""
    kit = size.kit
    rows = []
    for piece in kit.pieces:
        sides = cut_size(piece.width, piece.height, units)
        rows.append((piece.name, f"{piece.count} of {sides}"))
    rows += [("hardware", hardware_words(count, units)) for count in kit.hardware]
    rows += [(f"{name}, with waste", length_words(length, units)) for name, length in kit.threads]
    return [*rows, ("needle", kit.needle)]


def _flat(panel: Panel, units: Unit) -> str:
    x0, y0, x1, y1 = panel.outline.bounds
    return cut_size(x1 - x0, y1 - y0, units)


def _closed(panel: Panel, units: Unit) -> str:
    if panel.standing is not None:
        width, height, depth = panel.standing
        return f"{cut_size(width, height, units)}, {format_length(depth, units)} deep"
    return cut_size(*panel.closed[0].size, units) if panel.closed else "-"
