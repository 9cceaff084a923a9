"""The page: a server on this machine alone, for the one who started it."""

from __future__ import annotations

import asyncio
import contextlib
import os
import secrets
import socket
import tempfile
import webbrowser
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from threading import Thread
from typing import Final

import uvicorn

from loftline.web.app import make_app
from loftline.web.desk import Desk
from loftline.web.document import Document
from loftline.web.guard import Guard
from loftline.web.planner import Planner
from loftline.web.presence import END_AFTER_S, Presence

__all__ = ["Document", "Listening", "listening", "serve"]

_END_WITHIN_S: Final = 3


def serve(document: Document, say: Callable[[str], None], *, browser: bool = True) -> bool:
    """Serve the page until Ctrl-C, or until no page is open any more and all is saved.

    Args:
        document: the project that is open.
        say: tells the address, once it answers.
        browser: whether the page is opened in a browser.

    Returns:
        Whether it ended by itself, since no page was open any more.
    """
    with contextlib.ExitStack() as stack:
        page = stack.enter_context(listening(document))
        if browser:
            stack.enter_context(_shown(page.address))
        say(page.address)
        page.run()
        return page.presence.left_alone


@dataclass(frozen=True, slots=True)
class Listening:
    """A page that answers as soon as it runs; whoever asks before waits.

    Attributes:
        address: of the page, with its secret.
        server: ends when its ``should_exit`` is set.
        planner: the thread that plans.
        presence: whether a page is open.
    """

    address: str
    server: uvicorn.Server
    planner: Planner
    presence: Presence
    _listener: socket.socket

    def run(self) -> None:
        """Answer until told to end, by Ctrl-C where this is the main thread."""
        serving = self.server.serve(sockets=[self._listener])
        try:
            asyncio.run(serving)
        finally:
            serving.close()  # Ctrl-C may come before it has begun


class _Server(uvicorn.Server):
    """A server that lets go of the pages first when it ends."""

    presence: Presence

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self.presence.over()
        await super().shutdown(sockets)


@contextlib.contextmanager
def listening(document: Document, *, alone_s: float = END_AFTER_S) -> Iterator[Listening]:
    """A page about a project, on a free port of this machine alone.

    Args:
        document: the project.
        alone_s: seconds after the last page was closed when it ends by itself, if nothing that
            was changed is left to save.
    """
    desk = Desk(document)

    def end() -> None:
        server.should_exit = True

    presence = Presence(end, lambda: not (document.revision and document.unsaved), after=alone_s)
    token = secrets.token_urlsafe(16).replace("_", "-")
    with contextlib.closing(_listening()) as listener:
        port = listener.getsockname()[1]
        config = uvicorn.Config(
            Guard(make_app(desk, presence), port=port, token=token),
            log_level="error",
            ws="none",
            http="h11",
            lifespan="off",
            interface="asgi3",
            server_header=False,
            limit_concurrency=64,
            timeout_graceful_shutdown=_END_WITHIN_S,
        )
        address = f"http://127.0.0.1:{port}/{token}/"
        try:
            server = _Server(config)
            server.presence = presence
            yield Listening(address, server, desk.planner, presence, listener)
        finally:
            desk.planner.close()


def _listening() -> socket.socket:
    """A socket that listens on this machine alone, on any free port.

    Small answers go out at once: accepted connections inherit that from the listener.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    listener.bind(("127.0.0.1", 0))
    listener.listen(128)
    return listener


@contextlib.contextmanager
def _shown(address: str) -> Iterator[None]:
    """Open the page by way of a file that only its owner reads.

    The address itself would stand in the list of running programs, for every user of the
    machine to see.
    """
    handle, name = tempfile.mkstemp(prefix="loftline-", suffix=".html")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            target = escape(address, quote=True)
            file.write(
                f'<!doctype html><meta charset="utf-8"><title>loftline</title>'
                f'<meta http-equiv="refresh" content="0;url={target}">'
            )
        # a browser within the terminal would keep the server waiting
        opener = Thread(target=_open, args=(Path(name).as_uri(),), daemon=True)
        opener.start()
        yield
        opener.join(1)
    finally:
        with contextlib.suppress(OSError):
            Path(name).unlink()


def _open(address: str) -> None:
    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)
