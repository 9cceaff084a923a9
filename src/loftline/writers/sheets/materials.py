"""Thread and materials to buy, the seams they are for, and what one student is handed."""

from __future__ import annotations

from loftline.trade.cloths import buy_words, cloth_title, cut_size
from loftline.units import format_length
from loftline.values import Batch, Plan
from loftline.writers.sheets.flow import STEP, Column, Flow
from loftline.writers.svg import wording as say


def material_sheets(flow: Flow, plan: Plan) -> None:
    """Thread and materials to buy, and the seams they are for."""
    report, units = plan.report, plan.project.units
    bags = say.counted(report.copies, "bag")
    if report.threads:
        flow.heading("Thread")
        rows = []
        for thread in report.threads:
            noun = "bobbin" if thread.filled else "spool"
            buy = "" if thread.to_buy is None else say.counted(thread.to_buy, noun)
            rows.append(
                (
                    f"{thread.name}, tex {thread.tex:.3g}",
                    say.sewn_length(thread.one.expected, units),
                    say.sewn_length(thread.batch.expected, units),
                    say.sewn_length(thread.batch.high, units),
                    buy,
                )
            )
        flow.table(
            (
                Column(title="thread", share=56),
                Column(title="one bag, expected", share=31, right=True),
                Column(title=f"{bags}, expected", share=31, right=True),
                Column(title=f"{bags}, enough", share=31, right=True),
                Column(title="to buy", share=25, right=True),
            ),
            rows,
        )
        waste = f"{report.waste:.0%}"
        flow.paragraph(f"The batch holds {waste} for waste. {report.model}")
        if flow.side:
            flow.paragraph("Sewn from the back: the bobbin thread is the one that shows.")
    if report.cutting is not None:
        flow.heading("Cloth")
        flow.table(
            (
                Column(title="cloth", share=80),
                Column(title="wide", share=30, right=True),
                Column(title="buy", share=40, right=True),
            ),
            [
                (
                    cloth_title(cloth.material, cloth.kind),
                    format_length(cloth.width, units),
                    buy_words(cloth.to_buy, units),
                )
                for cloth in report.cutting.cloths
            ],
        )
    _hardware_to_buy(flow, plan, bags)
    if report.seams:
        flow.heading("Seams of one bag")
        rows = [
            (
                seam.name,
                format_length(round(seam.length, 1), units)
                + ("" if seam.passes == 1 else f", {seam.passes} times"),
                format_length(seam.stitch_length, units),
                f"{seam.stitches:,}",
                f"{seam.thread} thread",
            )
            for seam in report.seams
        ]
        flow.table(
            (
                Column(title="seam", share=70),
                Column(title="length", share=34, right=True),
                Column(title="stitch", share=22, right=True),
                Column(title="stitches", share=22, right=True),
                Column(title="sewn with", share=36),
            ),
            rows,
        )


def _hardware_to_buy(flow: Flow, plan: Plan, bags: str) -> None:
    """Pieces alike, counted: other halves are pieces too."""
    counts: dict[tuple[str, str], int] = {}
    for piece in plan.panel.pieces:
        key = (piece.kind, say.size_of(piece, plan.project.units))
        counts[key] = counts.get(key, 0) + 1
    if not counts:
        return
    copies = plan.report.copies
    flow.heading("Hardware")
    flow.table(
        (
            Column(title="piece", share=80),
            Column(title="size", share=40, right=True),
            Column(title="one bag", share=30, right=True),
            Column(title=bags, share=30, right=True),
        ),
        [
            (kind, size, f"{count:,}", f"{count * copies:,}")
            for (kind, size), count in counts.items()
        ],
    )


def kit_sheets(flow: Flow, batch: Batch) -> None:
    """For each size what one student is handed."""
    units = batch.units
    for size in batch.sizes:
        flow.heading(f"Size {size.name}: {say.counted(size.bags, 'bag')}", follows=5 * STEP)
        rows = [
            (f"{piece.name} ({piece.material})", cut_size(piece.width, piece.height, units),
             f"{piece.count:,}", f"{piece.count * size.bags:,}")
            for piece in size.kit.pieces
        ]  # fmt: skip
        for count in size.kit.hardware:
            kind = f"{count.kind}, with its other half" if count.paired else count.kind
            sides = [count.width] if count.round else [count.width, count.height]
            text = f" {say.TIMES} ".join(say.fine_length(side, units) for side in sides)
            rows.append((kind, text, f"{count.count:,}", f"{count.count * size.bags:,}"))
        for name, length in size.kit.threads:
            one, all_ = (say.sewn_length(length * n, units) for n in (1, size.bags))
            rows.append((name, "", one, all_))
        rows.append((f"needle {size.kit.needle}", "", "1", f"{size.bags:,}"))
        flow.table(
            (
                Column(title="one student's kit", share=80),
                Column(title="size", share=48),
                Column(title="one bag", share=26, right=True),
                Column(title="all of this size", share=34, right=True),
            ),
            rows,
        )
