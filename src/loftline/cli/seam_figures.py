"""Seams and threads of the whole bag as a maker reads them."""

from __future__ import annotations

from loftline.units import Unit, format_length, stitch_words, tape_length
from loftline.values import BatchThread, Report, Seam, ThreadTotal

from .figures import band_words, length_words

SEAM_HEADS = ("Seam", "Stitch", "Length", "Stitches", "Through", "Thread, expected")
TYPE_WORDS = {"301": "straight", "304": "zigzag", "401": "chain", "504": "overedge"}


def seam_rows(report: Report, units: Unit) -> list[tuple[str, ...]]:
    """One row for each seam of one bag."""
    return [
        (
            seam.name,
            _stitch(seam, units),
            _length(seam, units),
            f"{seam.stitches:,}",
            _layers(seam),
            f"{length_words(seam.needle.expected + seam.under.expected, units)} {seam.thread}",
        )
        for seam in report.seams
    ]


def _stitch(seam: Seam, units: Unit) -> str:
    size = stitch_words(seam.stitch_length, units)
    if seam.width > 0:
        size += f", {format_length(seam.width)} wide"
    return f"{TYPE_WORDS[seam.kind]} ({seam.kind}), {size}"


def _length(seam: Seam, units: Unit) -> str:
    length = tape_length(seam.length, units)
    return length if seam.passes == 1 else f"{seam.passes} \u00d7 {length}"


def _layers(seam: Seam) -> str:
    """Layers with how often each lies there.

    ``outer, foam, foam, outer`` is told as ``2 outer, 2 foam``.
    """
    counts = {layer: seam.through.count(layer) for layer in seam.through}
    return ", ".join(layer if count == 1 else f"{count} {layer}" for layer, count in counts.items())


def thread_heads(report: Report) -> tuple[str, ...]:
    """Heads of the table of threads."""
    bags = "1 bag" if report.copies == 1 else f"{report.copies:,} bags"
    return ("Thread", "One bag", f"{bags}, {report.waste:.0%} waste", "Enough", "Price")


def thread_rows(report: Report, units: Unit) -> list[tuple[str, ...]]:
    """One row for each thread; price and number of spools where the project tells."""
    return [
        (
            f"{total.name}, tex {total.tex:.3g}",
            band_words(total.one, units),
            band_words(total.batch, units),
            enough_words(total),
            "" if total.price is None else f"{total.price:,.2f}",
        )
        for total in report.threads
    ]


def enough_words(total: ThreadTotal | BatchThread) -> str:
    """How many spools or filled bobbins, where the maker has told what one holds."""
    if total.to_buy is None:
        return ""
    noun = "filled bobbin" if total.filled else "spool"
    return f"{total.to_buy:,} {noun}{'' if total.to_buy == 1 else 's'}"
