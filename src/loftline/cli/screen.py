"""Words and tables on the terminal: cautions, findings, report, files written.

On a terminal there is colour and there are tables; through a pipe plain lines, one fact
each, never wrapped. Colour says nothing alone: the words say it too.
"""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from loftline.cli.cost_figures import ORDER_HEADS, cost_sentences, order_rows
from loftline.cli.cutting_figures import cutting_rows, cutting_words
from loftline.cli.figures import report_rows
from loftline.cli.panel_figures import (
    HARDWARE_HEADS,
    allowance_sentences,
    hardware_rows,
    size_rows,
)
from loftline.cli.sample_figures import SAMPLE_HEADS, SAMPLE_SENTENCES, sample_rows
from loftline.cli.seam_figures import SEAM_HEADS, seam_rows, thread_heads, thread_rows
from loftline.cli.size_figures import (
    SIZE_HEADS,
    bags_words,
    batch_cautions,
    batch_findings,
    batch_size_rows,
    batch_thread_heads,
    batch_thread_rows,
    kit_rows,
    total_rows,
)
from loftline.cli.swatch_words import swatch_sentences
from loftline.cli.time_figures import time_heads, time_rows, work_rows
from loftline.errors import Finding, ProjectError, Severity
from loftline.units import Unit
from loftline.values import Batch, CuttingList, OrderPrice, Panel, Plan, Report, Sample

SEVERITY_WORDS: dict[Severity, str] = {
    "error": "stop",
    "warning": "look",
    "note": "good to know",
}
FROM_THE_BACK = (
    "Sewn from the back, outer fabric down: stitch files and sheets are mirrored left to right; "
    "the places told here are those with the outer fabric up."
)
SETTING_UP = 3
"""Needle, foot and tension come first in the advice."""
_STYLES: dict[Severity, str] = {"error": "bold red", "warning": "yellow", "note": "cyan"}


class Screen:
    """Prints answers to the output stream and complaints to the error stream."""

    def __init__(self, out: Console | None = None, errors: Console | None = None) -> None:
        self._out = out if out is not None else _console(sys.stdout)
        self._errors = errors if errors is not None else _console(sys.stderr)

    def faults(self, file: str, error: ProjectError) -> None:
        """Every fault of a project file, each on its own line."""
        count = len(error.faults)
        if count == 1 and file in error.faults[0].message:  # the file itself, not what it says
            self.complaint(f"loftline: {error.faults[0].message.rstrip('.')}.")
            return
        head = "one thing to mend" if count == 1 else f"{count} things to mend"
        self._errors.print(_text(f"{file}: {head}", "bold"), soft_wrap=True)
        for fault in error.faults:
            self._errors.print(_text(f"  {fault}"), soft_wrap=True)

    def complaint(self, sentence: str) -> None:
        """One sentence on the error stream."""
        self._errors.print(_text(sentence), soft_wrap=True)

    def say(self, sentence: str) -> None:
        """One sentence."""
        self._out.print(_text(sentence), soft_wrap=True)

    def verbatim(self, text: str) -> None:
        """A text exactly as it is, for another program to read."""
        self._out.file.write(f"{text}\n")

    def plan(self, plan: Plan, more: Sequence[Finding] = ()) -> None:
        """Cautions, findings and report of a plan, cautions first.

        Args:
            plan: what was planned.
            more: findings that came up after planning.
        """
        self._out.print(_text(plan.project.name, "bold underline"), soft_wrap=True)
        if plan.project.quilting.sewn_from == "back":
            self.say(FROM_THE_BACK)
        self._sentences("Safety first", plan.report.cautions)
        self.findings((*plan.findings, *more))
        self.panel(plan.panel, plan.project.units)
        self._report(plan.report, plan.project.units)
        self._whole_bag(plan.report, plan.project.units)
        if plan.report.cutting is not None:
            self._cutting(plan.report.cutting, plan.project.units)
        self._heading("Time")
        self._table(time_heads(plan.report), time_rows(plan.report))
        self._heading("Order of work")
        self._rows(
            [(_text(name, "bold"), _text(words)) for name, words in work_rows(plan.report.work)]
        )
        self._sentences("Advice", plan.report.advice)

    def test_piece(self, plan: Plan, more: Sequence[Finding] = ()) -> None:
        """A test piece: what was found, and how to set the machine up for it.

        Args:
            plan: of the test piece.
            more: findings that came up after planning.
        """
        self._out.print(_text(plan.project.name, "bold underline"), soft_wrap=True)
        self.findings((*plan.findings, *more))
        self._sentences("Setting up", plan.report.advice[:SETTING_UP])

    def batch(self, batch: Batch, more: Sequence[Finding] = ()) -> None:
        """All sizes of a bag: cautions, findings, sizes, totals, and the kit of each bag.

        Args:
            batch: what was planned.
            more: findings that came up after planning.
        """
        units = batch.units
        self._out.print(_text(batch.name, "bold underline"), soft_wrap=True)
        self._sentences("Safety first", batch_cautions(batch))
        self.findings((*batch_findings(batch), *more))
        self._heading("Sizes, one bag of each")
        self._table(SIZE_HEADS, batch_size_rows(batch))
        self._heading("All sizes together")
        rows = total_rows(batch)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        self._filled(batch_thread_heads(batch), batch_thread_rows(batch))
        if batch.cutting is not None:
            self._cutting(batch.cutting, units)
        for size in batch.sizes:
            self._heading(f"Kit for one bag, size {size.name} ({bags_words(size.bags)})")
            rows = kit_rows(size, units)
            self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])

    def samples(self, name: str, samples: Sequence[Sample], units: Unit) -> None:
        """Several designs of one bag beside each other."""
        self._out.print(_text(name, "bold underline"), soft_wrap=True)
        self._heading("Designs, one bag of each")
        self._table(SAMPLE_HEADS, sample_rows(samples, units))
        self._rows([(_text("-"), _text(sentence)) for sentence in SAMPLE_SENTENCES])

    def panel(self, panel: Panel, units: Unit) -> None:
        """Sizes of the panel and of the closed bag, and the table of hardware."""
        self._heading("Panel")
        rows = size_rows(panel, units)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        if panel.pieces:
            self._heading("Hardware")
            self._table(HARDWARE_HEADS, hardware_rows(panel, units))
        self._sentences("How near the needle comes", allowance_sentences(panel, units))

    def block(self, heading: str, rows: Sequence[tuple[str, str]]) -> None:
        """A heading, and words with what is said of each."""
        self._heading(heading)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])

    def findings(self, findings: Sequence[Finding]) -> None:
        """What the checks found: stop, then look, then good to know."""
        self._heading("Findings")
        if not findings:
            self.say("  Nothing to stop for and nothing to look at.")
        rank = list(SEVERITY_WORDS)
        self._rows(
            [
                (
                    _text(SEVERITY_WORDS[finding.severity], _STYLES[finding.severity]),
                    _finding(finding),
                )
                for finding in sorted(findings, key=lambda finding: rank.index(finding.severity))
            ]
        )

    def files(self, paths: Sequence[Path]) -> None:
        """What was written where."""
        self._heading("Written")
        for path in paths:
            self.say(f"  {path}")
        if not paths:
            self.say("  nothing")

    def swatch(
        self, stitch_length: float, units: Unit, *, to_write: bool = False, outer_down: bool = False
    ) -> None:
        """What to do with the test piece; whether its stitch length is written down too."""
        sentences = swatch_sentences(stitch_length, units, to_write=to_write, outer_down=outer_down)
        self._sentences("What to do with it", sentences)

    def orders(self, prices: Sequence[OrderPrice], units: Unit, *more: str) -> None:
        """What each sewing order comes to, and sentences besides."""
        self._heading("Sewing orders")
        self._table(ORDER_HEADS, order_rows(prices, units))
        self._rows(
            [
                (
                    _text("-"),
                    _text(
                        "Costs: travel, sewing over again and thread cuts, as a length of sewing "
                        "that is as dear."
                    ),
                ),
                *((_text("-"), _text(sentence)) for sentence in more),
            ]
        )

    def _report(self, report: Report, units: str) -> None:
        self._heading("Report")
        rows = report_rows(report, units)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        sentences = (*cost_sentences(report, units), report.model)
        self._rows([(_text("-"), _text(sentence)) for sentence in sentences])

    def _whole_bag(self, report: Report, units: Unit) -> None:
        if report.seams:
            self._heading("Seams of one bag")
            self._table(SEAM_HEADS, seam_rows(report, units))
        self._heading("Thread of the whole bag")
        self._filled(thread_heads(report), thread_rows(report, units))

    def _filled(self, heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
        """A table without its last columns where they would be empty."""
        while heads and not any(row[-1] for row in rows):
            heads, rows = heads[:-1], [row[:-1] for row in rows]
        self._table(heads, rows)

    def _cutting(self, cutting: CuttingList, units: Unit) -> None:
        self._heading("Cutting list")
        rows = cutting_rows(cutting, units)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        self._rows([(_text("-"), _text(cutting_words(cutting, units)))])

    def _sentences(self, heading: str, sentences: Sequence[str]) -> None:
        if sentences:
            self._heading(heading)
            self._rows([(_text("-"), _text(sentence)) for sentence in sentences])

    def _rows(self, rows: Sequence[tuple[Text, Text]]) -> None:
        if self._out.is_terminal:
            table = Table.grid(padding=(0, 2, 0, 0))
            table.add_column(no_wrap=True)
            table.add_column(overflow="fold")
            for name, value in rows:
                table.add_row(name, value)
            self._out.print(Padding(table, (0, 0, 0, 2)))
            return
        width = max((len(name) for name, _ in rows), default=0)
        for name, value in rows:
            self.say(f"  {name.plain:<{width}}  {value.plain}")

    def _table(self, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        if self._out.is_terminal:
            table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
            for head in heads:
                table.add_column(_text(head))
            for row in rows:
                table.add_row(*(_text(cell) for cell in row))
            self._out.print(Padding(table, (0, 0, 0, 2)))
            return
        cells = [[_text(cell).plain for cell in row] for row in (heads, *rows)]
        widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
        for line in cells:
            padded = (f"{cell:<{width}}" for cell, width in zip(line, widths, strict=True))
            self.say(f"  {'  '.join(padded)}".rstrip())

    def _heading(self, words: str) -> None:
        self._out.print()
        self._out.print(_text(words, "bold"))


def _finding(finding: Finding) -> Text:
    place = f"{finding.where}: " if finding.where else ""
    remedy = f" {_sentence(finding.remedy)}" if finding.remedy else ""
    text = _text(f"{place}{finding.message.rstrip('.')}.{remedy}")
    return text.append_text(_text(f" [{finding.code}]", "dim"))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _console(stream: TextIO) -> Console:
    return Console(file=stream, markup=False, highlight=False, emoji=False)


def _text(words: str, style: str = "") -> Text:
    """Words of the project file must not steer the terminal: control characters go out."""
    return Text("".join(c if unicodedata.category(c) != "Cc" else " " for c in words), style)
