"""The progress bar: late, on a terminal only, gone when the work is done."""

from __future__ import annotations

import contextlib
import io
import re
import time
from pathlib import Path

from rich.console import Console

from loftline.cli.progress import STAGES, ProgressBar


def shown(*, terminal: bool, patience: float, work: float) -> str:
    stream = io.StringIO()
    console = Console(file=stream, force_terminal=terminal, width=80)
    with ProgressBar(console, patience=patience) as bar:
        bar.step("runs", 1, 4)
        time.sleep(work)
        bar.step("stitches", 2, 4)
    return stream.getvalue()


def test_quick_work_shows_nothing() -> None:
    assert shown(terminal=True, patience=30, work=0) == ""


def test_long_work_shows_its_stage() -> None:
    assert "ordering the runs" in shown(terminal=True, patience=0.01, work=0.4)


def test_nothing_is_shown_where_there_is_no_terminal() -> None:
    assert shown(terminal=False, patience=0.01, work=0.1) == ""


def test_the_bar_is_gone_when_the_work_fails() -> None:
    stream = io.StringIO()
    console = Console(file=stream, force_terminal=True, width=80)
    bar = ProgressBar(console, patience=0.01)
    with contextlib.suppress(KeyboardInterrupt), bar:
        bar.step("runs", 1, 4)
        time.sleep(0.1)
        raise KeyboardInterrupt
    length = len(stream.getvalue())
    time.sleep(0.2)
    assert len(stream.getvalue()) == length


def test_a_stage_of_unknown_length_and_name_is_shown() -> None:
    stream = io.StringIO()
    console = Console(file=stream, force_terminal=True, width=80)
    with ProgressBar(console, patience=0.01) as bar:
        bar.step("pressing the seams", 0, 0)
        time.sleep(0.4)
    assert "pressing the seams" in stream.getvalue()


def test_every_stage_has_words() -> None:
    """The callback's names, as the source calls it."""
    source = Path(__file__).parent.parent.parent / "src" / "loftline"
    texts = [path.read_text(encoding="utf-8") for path in source.rglob("*.py")]
    called = {name for text in texts for name in re.findall(r'step\("([a-z ]+)",', text)}
    assert called == set(STAGES)
