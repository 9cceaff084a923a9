"""Work on all cores: the same answers in the same order, stopped at once by Ctrl-C."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from typing import TypeVar

_Job = TypeVar("_Job")
_Answer = TypeVar("_Answer")

WORTH_SECONDS = 6.0
"""Less work than this is done here: every process loads all libraries anew, about a second."""


def usable_cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


class Cores:
    """A ``map`` over processes of its own; see :func:`all_cores`."""

    def __init__(self, most: int, worth: float) -> None:
        self._most = most
        self._worth = worth
        self._pool: ProcessPoolExecutor | None = None

    def run(self, work: Callable[[_Job], _Answer], jobs: Sequence[_Job]) -> Iterator[_Answer]:
        """What ``work`` answers for each job, in their order.

        The first job is done here, and tells whether the others are worth starting processes
        for. The answers are the same either way.

        Args:
            work: a function of a module, pure; its jobs and answers are sent between processes.
            jobs: alike in the work they are.
        """
        begun = time.monotonic()
        yield from map(work, jobs[:1])
        rest = jobs[1:]
        took = (time.monotonic() - begun) * len(rest)
        count = min(self._most, len(rest))
        if count < 2 or took < self._worth:
            yield from map(work, rest)
            return
        # started anew, not forked: libraries behind the stages have threads of their own
        fresh = multiprocessing.get_context("spawn")
        self._pool = ProcessPoolExecutor(count, mp_context=fresh, initializer=_leave_to_us)
        with _held_back():
            coming = [self._pool.submit(work, job) for job in rest]
        for answer in coming:
            yield answer.result()

    def end(self, *, at_once: bool) -> None:
        """Let the processes go; at once, whatever they are at."""
        if self._pool is None:
            return
        if at_once:
            for child in multiprocessing.active_children():
                child.terminate()
        # not cancelled besides: Python 3.11 stumbles over that when the processes have gone
        self._pool.shutdown()


@contextmanager
def all_cores(most: int | None = None, worth: float = WORTH_SECONDS) -> Iterator[Cores]:
    """Processes for some work, gone when the block is left.

    Args:
        most: processes at once; by default one for each core.
        worth: seconds of work that processes are started for.
    """
    cores = Cores(usable_cores() if most is None else most, worth)
    try:
        yield cores
    except BaseException:
        cores.end(at_once=True)
        raise
    cores.end(at_once=False)


@contextmanager
def _held_back() -> Iterator[None]:
    """Ctrl-C waits while processes start, and they never get it: the first one ends them."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _leave_to_us() -> None:
    """The same where Ctrl-C cannot be held back."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
