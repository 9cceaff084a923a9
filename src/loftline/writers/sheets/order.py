"""The order of work for one bag, and the runs in the order they are sewn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from loftline.values import Bobbins, Kind, Plan
from loftline.writers.sheets.flow import STEP, Column, Flow
from loftline.writers.sheets.ink import RISE, TEXT, Box, Mark, straight
from loftline.writers.sheets.quilting import REACH, run_ink
from loftline.writers.svg import wording as say
from loftline.writers.svg.strands import RunMark, mark_runs

INDENT = 7.0


def order_sheets(flow: Flow, plan: Plan) -> None:
    """The order of work, advice, the sewing order as a table."""
    report = plan.report
    if report.work:
        flow.heading("Order of work for one bag")
        for number, step in enumerate(report.work, 1):
            flow.paragraph(step.title, indent=INDENT, bold=True, lead=f"{number}")
            for sentence in step.sentences:
                flow.paragraph(sentence, indent=INDENT)
            flow.space(0.8)
    if report.advice:
        flow.heading("Needle, thread, machine")
        for hint in report.advice:
            flow.paragraph(hint)
            flow.space(0.6)
    if not len(plan.sewn):
        return
    flow.heading("Sewing order", follows=5 * STEP)
    marks = mark_runs(plan.sewn, REACH)
    units = plan.project.units
    flow.table(
        (
            Column(title="line", share=14),
            Column(title="run", share=10, right=True),
            Column(title=f"start from left, {units}", share=25, right=True),
            Column(title=f"start from below, {units}", share=25, right=True),
            Column(title="length", share=20, right=True),
            Column(title="stitches", share=21, right=True),
            Column(title="min", share=14, right=True),
            Column(title="then", share=42),
        ),
        list(_rows(plan, marks)),
        partial(_sign, marks),
    )
    flow.paragraph(
        "Starts are measured from the lower left corner of the panel's outline. Minutes count "
        "the whole quilting of one bag, shared by stitches."
    )


def _rows(plan: Plan, marks: Sequence[RunMark]) -> Iterator[Sequence[str]]:
    report, units = plan.report, plan.project.units
    changes = _changes(report.bobbins)
    total = sum(mark.stitches for mark in marks) or 1
    for place, mark in enumerate(marks, 1):
        notes = [changes[mark.run]] if mark.run in changes else []
        notes.append("end" if place == len(marks) else "cut the thread")
        yield (
            "",
            str(mark.run + 1),
            say.distance(mark.start[0], units),
            say.distance(mark.start[1], units),
            say.sewn_length(mark.length, units),
            f"{mark.stitches:,}",
            f"{report.minutes * mark.stitches / total:.1f}",
            "; ".join(notes),
        )


def _changes(bobbins: Bobbins | None) -> dict[int, str]:
    """Where a full bobbin goes in, in words, by the run, for the first bag."""
    found: dict[int, str] = {}
    for change in bobbins.changes if bobbins is not None else ():
        if change.bag == 1:
            when = "full bobbin first" if change.point is None else "full bobbin on the way"
            found.setdefault(change.run, when)
    return found


def _sign(marks: Sequence[RunMark], number: int, room: Box) -> Sequence[Mark]:
    """A piece of the run's line."""
    y = room[3] - 0.4 - RISE * TEXT / 2
    return [straight((room[0], y), (room[2], y), run_ink(marks[number].run, Kind.LINE))]
