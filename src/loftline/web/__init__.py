"""The page: a server on this machine alone, for the one who started it."""

from __future__ import annotations

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

from loftline.web.app import Desk, make_app
from loftline.web.document import Document
from loftline.web.guard import Guard
from loftline.web.planner import Planner

__all__ = ["Document", "Listening", "listening", "serve"]

_END_WITHIN_S: Final = 3


def serve(document: Document, say: Callable[[str], None], *, browser: bool = True) -> None:
    """Serve the page until Ctrl-C.

    Args:
        document: the project that is open.
        say: tells the address, once it answers.
        browser: whether the page is opened in a browser.
    """
    with contextlib.ExitStack() as stack:
        page = stack.enter_context(listening(document))
        if browser:
            stack.enter_context(_shown(page.address))
        say(page.address)
        page.run()


@dataclass(frozen=True, slots=True)
class Listening:
    """A page that answers as soon as it runs; whoever asks before waits.

    Attributes:
        address: of the page, with its secret.
        server: ends when its ``should_exit`` is set.
        planner: the thread that plans.
    """

    address: str
    server: uvicorn.Server
    planner: Planner
    _listener: socket.socket

    def run(self) -> None:
        """Answer until told to end, by Ctrl-C where this is the main thread."""
        self.server.run(sockets=[self._listener])


@contextlib.contextmanager
def listening(document: Document) -> Iterator[Listening]:
    """A page about a project, on a free port of this machine alone."""
    desk = Desk(document)
    token = secrets.token_urlsafe(16).replace("_", "-")
    with contextlib.closing(_listening()) as listener:
        port = listener.getsockname()[1]
        config = uvicorn.Config(
            Guard(make_app(desk), port=port, token=token),
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
            yield Listening(address, uvicorn.Server(config), desk.planner, listener)
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
