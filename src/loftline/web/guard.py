"""Who may ask what: every request passes here before anything looks at it.

The page is for the one who started it, on this machine. Other users, other pages in the same
browser, and names that are made to lead here are all turned away, each by a rule of its own:
the host's exact name (rebinding of names), a secret first segment of the path (guessing),
the page's own origin for whatever is posted (other pages), JSON alone (forms), and a size,
which is larger where a drawing is given.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

from loftline.project import MOST_DRAWING_BYTES

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BODY: Final = 256 * 1024
DRAWING: Final = "/ask/drawing"
MOST_DRAWING_BODY: Final = MOST_DRAWING_BYTES // 3 * 4 + 4096
"""A drawing in base64, and the words about it."""

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
)
HEADERS: Final = (
    ("content-security-policy", _POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
)


class Refused(Exception):  # noqa: N818 - an answer to the browser
    """A request that is turned away: the status and one sentence."""

    def __init__(self, status: int, says: str) -> None:
        super().__init__(says)
        self.status = status
        self.says = says


class Guard:
    """The rules, around an application that sees only what passes them.

    The application finds its paths without the secret segment.
    """

    def __init__(self, app: App, *, port: int, token: str) -> None:
        self._app = app
        self._hosts = frozenset({f"127.0.0.1:{port}", f"localhost:{port}"})
        self._token = token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                ours = [(name.encode(), value.encode()) for name, value in HEADERS]
                message["headers"] = [*message.get("headers", ()), *ours]
            await send(message)

        try:
            path = self._checked(scope)
            counted = _counted(receive, _most(path)) if scope["method"] == "POST" else receive
            await self._app({**scope, "path": path, "raw_path": path.encode()}, counted, sent)
        except Refused as refused:
            await _answer(sent, refused)

    def _checked(self, scope: Scope) -> str:
        """The path without its secret segment."""
        headers = _headers(scope)
        host = headers.get("host", "")
        if host not in self._hosts:
            raise Refused(421, "This address is not served here.")
        method = scope["method"]
        if method not in {"GET", "POST"}:
            raise Refused(405, "Only GET and POST are answered.")
        raw: bytes = scope.get("raw_path") or scope["path"].encode()
        first, slash, rest = raw.partition(b"?")[0].removeprefix(b"/").partition(b"/")
        if not hmac.compare_digest(first, self._token) or not slash:
            raise Refused(404, "There is nothing here.")
        if not rest.replace(b"-", b"").replace(b".", b"").replace(b"/", b"").isalnum() and rest:
            raise Refused(404, "There is nothing here.")
        path = "/" + rest.decode("ascii", "replace")
        if method == "POST":
            _posted(headers, f"http://{host}", _most(path))
        return path


def _most(path: str) -> int:
    """Bytes that may be posted."""
    return MOST_DRAWING_BODY if path == DRAWING else MOST_BODY


def _posted(headers: dict[str, str], origin: str, most: int) -> None:
    """Whether something may be posted: from the page itself, as JSON, of a decent size."""
    if headers.get("origin") != origin:
        raise Refused(403, "Only the page itself may ask this.")
    if headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        raise Refused(403, "Only the page itself may ask this.")
    if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
        raise Refused(415, "What is posted should be JSON.")
    length = headers.get("content-length")
    if length is None:
        raise Refused(411, "The length of what is posted is missing.")
    if not length.isascii() or not length.isdigit() or len(length) > 9 or int(length) > most:
        raise Refused(413, "That is too long.")


def _counted(receive: Receive, most: int) -> Receive:
    """The body, refused as soon as it is longer than it may be, whatever its header says."""
    total = 0

    async def counted() -> Message:
        nonlocal total
        message = await receive()
        if message["type"] == "http.request":
            total += len(message.get("body", b""))
            if total > most:
                raise Refused(413, "That is too long.")
        return message

    return counted


def _headers(scope: Scope) -> dict[str, str]:
    """Headers by small names; one that comes twice counts as neither."""
    found: dict[str, str] = {}
    twice: set[str] = set()
    for name, value in scope["headers"]:
        key = name.decode("latin-1").lower()
        if key in found:
            twice.add(key)
        found[key] = value.decode("latin-1")
    return {key: value for key, value in found.items() if key not in twice}


async def _answer(send: Send, refused: Refused) -> None:
    body = refused.says.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
    ]
    await send({"type": "http.response.start", "status": refused.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
