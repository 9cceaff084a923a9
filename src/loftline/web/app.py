"""What the page may ask, and how: each question answered on the planner's thread, in words."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Awaitable, Callable, Container, Mapping
from importlib import resources
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loftline.errors import Cancelled, Fault, LoftlineError, ProjectError, Step
from loftline.web import changing, taking
from loftline.web.desk import TYPES, Ask, Desk, Handler, told_faults
from loftline.web.document import ChangedMeanwhile
from loftline.web.edits import BadEdit
from loftline.web.guard import Refused
from loftline.web.presence import Held, Presence

WORDS: Final = "words.js"


def make_app(desk: Desk, presence: Presence) -> Starlette:
    """The application behind the guard."""

    async def here(request: Request) -> Response:
        await request.body()
        return Held(presence)

    files = _static()
    routes = [Route(f"/{name}" if name else "/", _file(name, files)) for name in ("", *files)]
    routes += [
        Route(f"/ask/{name}", _asked(desk, handler), methods=["POST"])
        for name, handler in HANDLERS.items()
    ]
    app = Starlette(routes=[*routes, Route("/ask/here", here, methods=["POST"])])
    app.router.redirect_slashes = False
    return app


def _static() -> dict[str, bytes]:
    """Files of the page, read once; a request names one of them and nothing else."""
    folder = resources.files("loftline.web").joinpath("static")
    return {
        entry.name: entry.read_bytes()
        for entry in folder.iterdir()
        if entry.name.rpartition(".")[2] in TYPES
    }


def _file(name: str, files: Mapping[str, bytes]) -> Callable[[Request], Awaitable[Response]]:
    name = name or "index.html"

    async def serve(request: Request) -> Response:
        wanted = request.headers.get("accept-language", "")
        data = files[in_language(wanted, files) if name == WORDS else name]
        return Response(data, media_type=TYPES[name.rpartition(".")[2]])

    return serve


def in_language(wanted: str, files: Container[str]) -> str:
    """The catalogue of labels in the first language that a browser asks for and there is.

    Args:
        wanted: languages as a browser lists them, the best first (RFC 9110, 12.5.4).
        files: names of the page's files; ``words.nl.js`` would be the Dutch catalogue.

    >>> in_language("nl-BE,nl;q=0.9,en;q=0.8", {"words.js", "words.nl.js"})
    'words.nl.js'
    """
    for one in wanted.split(",")[:20]:
        tag = one.partition(";")[0].strip().casefold().partition("-")[0]
        if tag == "en":
            break
        if f"words.{tag}.js" in files:
            return f"words.{tag}.js"
    return WORDS


def _asked(desk: Desk, handler: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Read what is asked, do it on the planner's thread, tell faults in words."""

    def act(ask: Ask, step: Step) -> Response:
        seen = ask.get("revision")
        if handler in CHANGES and isinstance(seen, int) and seen != desk.document.revision:
            return JSONResponse({"changed_elsewhere": desk.document.revision})
        return handler(desk, ask, step)

    async def serve(request: Request) -> Response:
        try:
            ask = _read(await request.body())
            return await desk.planner.run(lambda step: act(ask, step), request.is_disconnected)
        except Cancelled:
            return Response(status_code=204)
        except Refused:
            raise  # the guard answers it
        except Exception as error:
            if os.environ.get("LOFTLINE_DEBUG") and not isinstance(error, LoftlineError | BadEdit):
                raise
            return _in_words(error)

    return serve


def _in_words(error: Exception) -> Response:
    """What went wrong, as a maker may read it."""
    match error:
        case BadEdit():
            return told_faults([Fault(where="", message=str(error))], status=422)
        case ProjectError():
            return told_faults(error.faults)
        case ChangedMeanwhile():
            gone = not error.path.exists()
            return JSONResponse({"changed_meanwhile": error.path.name, "gone": gone})
        case LoftlineError():
            return told_faults([Fault(where="", message=str(error))])
        case _:
            says = f"a mistake of loftline's own ({type(error).__name__}); nothing was changed"
            return told_faults([Fault(where="", message=says)], status=500)


def _read(body: bytes) -> Ask:
    """The JSON of a request: a table of finite numbers, not nested without end."""
    try:
        found = json.loads(body, parse_constant=_no_constant, parse_float=_finite)
    except (ValueError, RecursionError):
        raise BadEdit("what was posted cannot be read") from None
    if not isinstance(found, dict):
        raise BadEdit("what was posted should be a table")
    return found


def _no_constant(word: str) -> object:
    raise ValueError(word)


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(text)
    return number


HANDLERS: Final[Mapping[str, Handler]] = {
    "begin": changing.begin,
    "look": changing.look,
    "change": changing.change,
    "undo": changing.undo,
    "redo": changing.redo,
    "size": changing.size,
    "fresh": changing.fresh,
    "drawing": changing.drawing,
    "save": changing.save,
    "load": changing.load,
    "files": taking.files,
    "sheet": taking.sheet,
    "design": taking.design,
    "compare": taking.compare,
}

CHANGES: Final = frozenset(
    HANDLERS[name]
    for name in ("change", "undo", "redo", "size", "fresh", "drawing", "save", "load")
)
"""What is done only for a page that shows what the project holds: another tab may have changed
it meanwhile, and a change that names the third entry would meet another one."""
