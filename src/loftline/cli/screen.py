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
from loftline.errors import Finding, ProjectError, Severity
from loftline.units import Unit
from loftline.values import CuttingList, OrderPrice, Panel, Plan, Report

SEVERITY_WORDS: dict[Severity, str] = {
    "error": "stop",
    "warning": "look",
    "note": "good to know",
}
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
        self._sentences("Safety first", plan.report.cautions)
        self.findings((*plan.findings, *more))
        self.panel(plan.panel, plan.project.units)
        self._report(plan.report, plan.project.units)
        if plan.report.cutting is not None:
            self._cutting(plan.report.cutting, plan.project.units)
        self._sentences("Advice", plan.report.advice)

    def panel(self, panel: Panel, units: Unit) -> None:
        """Sizes of the panel and of the closed bag, and the table of hardware."""
        self._heading("Panel")
        rows = size_rows(panel, units)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        if panel.pieces:
            self._heading("Hardware")
            self._table(HARDWARE_HEADS, hardware_rows(panel, units))
        self._sentences("How near the needle comes", allowance_sentences(panel, units))

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

    def orders(self, prices: Sequence[OrderPrice], units: Unit) -> None:
        """What each sewing order comes to."""
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
                )
            ]
        )

    def _report(self, report: Report, units: str) -> None:
        self._heading("Report")
        rows = report_rows(report, units)
        self._rows([(_text(name, "bold"), _text(value)) for name, value in rows])
        sentences = (*cost_sentences(report, units), report.model)
        self._rows([(_text("-"), _text(sentence)) for sentence in sentences])

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
