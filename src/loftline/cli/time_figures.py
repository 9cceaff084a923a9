"""Time and order of work as a maker reads them."""

from __future__ import annotations

from loftline.values import TIME_WORDS, Report, WorkStep

from .figures import minutes_words

GUIDED_WORDS = {"machine": "By the hoop", "hand": "By hand"}


_LEAST_TOLD = 0.5


def time_heads(report: Report) -> tuple[str, ...]:
    """Heads of the table of time: the way the project is guided first."""
    return ("One bag", *(GUIDED_WORDS[table.guided] for table in report.times))


def time_rows(report: Report) -> list[tuple[str, ...]]:
    """What the minutes of one bag go into, guided one way and the other, and in all.

    What takes less than half a minute either way is counted but not told.
    """
    rows = [
        (name.capitalize(), *(_minutes(table.parts.get(word)) for table in report.times))
        for word, name in TIME_WORDS.items()
        if any(table.parts.get(word, 0.0) >= _LEAST_TOLD for table in report.times)
    ]
    rows.append(("Together", *(minutes_words(table.total) for table in report.times)))
    if report.copies > 1:
        batch = (minutes_words(report.copies * table.total) for table in report.times)
        rows.append((f"{report.copies:,} bags", *batch))
    if report.class_minutes is not None:
        rows.append(("The class, machines shared", minutes_words(report.class_minutes)))
    return [row + ("",) * (len(report.times) + 1 - len(row)) for row in rows]


def _minutes(minutes: float | None) -> str:
    return "" if not minutes else minutes_words(minutes)


def work_rows(work: tuple[WorkStep, ...]) -> list[tuple[str, str]]:
    """Steps by number, what is done in each."""
    return [
        (f"{number}  {step.title}", " ".join(step.sentences))
        for number, step in enumerate(work, start=1)
    ]
