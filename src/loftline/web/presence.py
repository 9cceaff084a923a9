"""Whether a page is open anywhere: each holds one answer that never comes to its end.

A tab that sleeps, and a computer that does, keep their connections, so an open page is never
taken for a closed one; and a page hears at once when the server ends.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Final

from starlette.responses import Response
from starlette.types import Receive, Scope, Send

END_AFTER_S: Final = 600.0
"""From the last page that was closed to the end."""


class Presence:
    """The pages that are open.

    Attributes:
        count: of pages.
        left_alone: whether the end came because no page was open any more.
    """

    def __init__(
        self, end: Callable[[], None], may_end: Callable[[], bool], *, after: float = END_AFTER_S
    ) -> None:
        """See the class.

        Args:
            end: called once no page has been open for a while.
            may_end: asked before; work that is not saved must not be lost.
            after: seconds.
        """
        self.count = 0
        self.left_alone = False
        self._end, self._may_end, self._after = end, may_end, after
        self._over = asyncio.Event()
        self._later: asyncio.TimerHandle | None = None

    def over(self) -> None:
        """Let go of the pages: the server ends."""
        self._over.set()

    async def hold(self, gone: Callable[[], Awaitable[None]]) -> None:
        """One page is open until it has gone or the server ends."""
        self.count += 1
        if self._later is not None:
            self._later.cancel()
        waits = [asyncio.ensure_future(gone()), asyncio.ensure_future(self._over.wait())]
        try:
            await asyncio.wait(waits, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for wait in waits:
                wait.cancel()
            self.count -= 1
            if not self.count:
                self._later = asyncio.get_running_loop().call_later(self._after, self._alone)

    def _alone(self) -> None:
        if not self.count and not self._over.is_set() and self._may_end():
            self.left_alone = True
            self._end()


class Held(Response):
    """An answer whose end is the end of the page or of the server."""

    def __init__(self, presence: Presence) -> None:
        super().__init__(media_type="application/octet-stream")
        self._presence = presence

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the head, then nothing, for as long as it takes."""
        del scope
        head = [(name, value) for name, value in self.raw_headers if name != b"content-length"]
        await send({"type": "http.response.start", "status": self.status_code, "headers": head})
        await send({"type": "http.response.body", "body": b"", "more_body": True})

        async def gone() -> None:
            while (await receive())["type"] != "http.disconnect":
                pass

        await self._presence.hold(gone)
        await send({"type": "http.response.body", "body": b"", "more_body": False})
