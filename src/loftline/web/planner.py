"""One thread that plans, one job after the other; a job whose asker has gone is given up."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Final, TypeVar

from loftline.errors import Cancelled, Step

T = TypeVar("T")

LOOK_EVERY_S: Final = 0.02
"""How often it is looked whether the asker is still there."""


class Planner:
    """The thread.

    Attributes:
        done, given_up: jobs finished and jobs left off.
    """

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="planner")
        self.done = 0
        self.given_up = 0

    async def run(self, job: Callable[[Step], T], gone: Callable[[], Awaitable[bool]]) -> T:
        """Do a job.

        Args:
            job: is given a progress callback and calls it often.
            gone: whether nobody waits for the answer any more.

        Raises:
            Cancelled: when nobody does.
        """
        stop = threading.Event()

        def step(name: str, done: int, total: int) -> None:
            del name, done, total
            if stop.is_set():
                raise Cancelled

        def work() -> T:
            step("", 0, 1)
            return job(step)

        future = asyncio.get_running_loop().run_in_executor(self._pool, work)
        try:
            while True:
                finished, _ = await asyncio.wait({future}, timeout=LOOK_EVERY_S)
                if finished:
                    break
                if await gone():
                    stop.set()
            answer = future.result()
        except Cancelled:
            self.given_up += 1
            raise
        except asyncio.CancelledError:
            stop.set()
            raise
        self.done += 1
        return answer

    def close(self) -> None:
        """End the thread; what it is doing is left off at its next step."""
        self._pool.shutdown(wait=False, cancel_futures=True)
