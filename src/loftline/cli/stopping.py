"""Ctrl-C, which must stop the work even where a library swallows the interrupt."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

_ASKED = threading.Event()


@contextmanager
def stoppable() -> Iterator[None]:
    """Remember Ctrl-C while this lasts, besides raising :class:`KeyboardInterrupt` at once."""
    _ASKED.clear()
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may set what a signal does
        return
    before = signal.signal(signal.SIGINT, _stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def stop_if_asked() -> None:
    """Raise :class:`KeyboardInterrupt` again if Ctrl-C was pressed and the work goes on.

    An interrupt that falls into a callback of compiled code is printed there and lost.
    """
    if _ASKED.is_set():
        raise KeyboardInterrupt


def _stop(number: int, frame: FrameType | None) -> None:
    del number, frame
    _ASKED.set()
    raise KeyboardInterrupt
