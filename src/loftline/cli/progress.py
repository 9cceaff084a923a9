"""A progress bar on the error stream, for work that takes longer than a second."""

from __future__ import annotations

import sys
import threading
from types import TracebackType
from typing import Self

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeElapsedColumn

from loftline.cli.stopping import stop_if_asked

PATIENCE = 1.0  # seconds

STAGES = {
    "panel": "laying out the panel",
    "lines": "drawing the lines",
    "meander": "drawing the meander",
    "echo": "drawing the echo",
    "spiral": "drawing the spiral",
    "rays": "drawing the rays",
    "motif": "repeating the motif",
    "network": "joining lines and ways",
    "runs": "ordering the runs",
    "links": "linking the line ends",
    "proving": "looking for cheaper runs",
    "steps": "stepping over to closed lines",
    "trails": "laying out the runs",
    "joining": "joining the runs",
    "orders": "ordering the channels",
    "stitches": "placing the stitches",
    "checks": "checking",
    "designs": "planning the designs",
    "writers": "writing the files",
    "export": "writing the files",
}


class ProgressBar:
    """Shows the callback's steps once the work has gone on for a second.

    Nothing is shown when the error stream is no terminal::

        with ProgressBar() as bar:
            make_plan(project, step=bar.step)
    """

    def __init__(self, console: Console | None = None, patience: float = PATIENCE) -> None:
        self._console = console if console is not None else Console(file=sys.stderr)
        self._timer = threading.Timer(patience, self._show)
        self._timer.daemon = True
        self._lock = threading.Lock()
        self._bar: Progress | None = None
        self._task = TaskID(0)
        self._words = "working"
        self._done: float = 0
        self._total: float | None = None
        self._over = False

    def __enter__(self) -> Self:
        if self._console.is_terminal:
            self._timer.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._timer.cancel()
        with self._lock:
            self._over = True
            if self._bar is not None:
                self._bar.stop()

    def step(self, name: str, done: int, total: int) -> None:
        """Progress callback for the stages."""
        stop_if_asked()
        with self._lock:
            self._words = STAGES.get(name, name)
            self._done = done
            self._total = total if total > 1 else None  # one step says nothing about how far
            self._update()

    def _show(self) -> None:
        with self._lock:
            if self._over:
                return
            self._bar = Progress(
                TextColumn("{task.description}", markup=False),
                BarColumn(),
                TimeElapsedColumn(),
                console=self._console,
                transient=True,
            )
            self._task = self._bar.add_task(self._words, total=self._total)
            self._update()
            self._bar.start()

    def _update(self) -> None:
        if self._bar is not None:
            self._bar.update(
                self._task, description=self._words, completed=self._done, total=self._total
            )
