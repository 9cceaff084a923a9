"""Time and order of work as a maker reads them."""

from __future__ import annotations

from loftline.values import Report, WorkStep

from .figures import minutes_words

GUIDED_WORDS = {"machine": "By the hoop", "hand": "By hand"}
TIME_WORDS = {
    "placings": "Placings in the hoop",
    "quilting": "Quilting lines sewn",
    "thread cuts": "Thread cut, next start found",
    "ends": "Thread ends inside, buried",
    "turns": "Panel turned under the needle",
    "bobbins": "Bobbins changed",
    "pressing": "Pressing",
    "seams": "Seams of the bag",
}


def time_heads(report: Report) -> tuple[str, ...]:
    """Heads of the table of time: the way the project is guided first."""
    return ("One bag", *(GUIDED_WORDS[table.guided] for table in report.times))


def time_rows(report: Report) -> list[tuple[str, ...]]:
    """What the minutes of one bag go into, guided one way and the other, and in all."""
    rows = [
        (name, *(_minutes(table.parts.get(word)) for table in report.times))
        for word, name in TIME_WORDS.items()
        if any(table.parts.get(word) for table in report.times)
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
