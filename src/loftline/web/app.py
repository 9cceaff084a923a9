"""What the page may ask, and the answers: the same public functions as the command line."""

from __future__ import annotations

import io
import json
import math
import os
import tomllib
import zipfile
from collections.abc import Awaitable, Callable, Container, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import resources
from typing import Final
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loftline.errors import (
    Cancelled,
    Fault,
    Finding,
    LoftlineError,
    ProjectError,
    Step,
)
from loftline.export import make_files, make_size_files
from loftline.live import Live
from loftline.plan import Plan
from loftline.project import (
    FORMATS,
    ORDERS,
    PATTERN_KEYS,
    TEMPLATE_SHAPES,
    Project,
    motif_names,
    parse_project,
    template,
    template_of,
)
from loftline.project.drawn_table import Files
from loftline.sizes import make_plans
from loftline.trade.hardware import KINDS
from loftline.variants import MOST_VARIANTS, make_variants
from loftline.web.document import ChangedMeanwhile, Document
from loftline.web.drawings import drawing_bytes
from loftline.web.edits import BadEdit, Tables
from loftline.web.figures import figures
from loftline.web.forms import belongs, forms
from loftline.web.guard import Refused
from loftline.web.packing import Arrays, Header, answer, plan_answer
from loftline.web.planner import Planner
from loftline.web.presence import Held, Presence
from loftline.writers import draw_closed_face, draw_plan

TYPES: Final = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
BINARY: Final = "application/octet-stream"
WORDS: Final = "words.js"
MOST_COMPARED: Final = 6


@dataclass(slots=True)
class Desk:
    """The one project that is open, and its planner."""

    document: Document
    live: Live = field(default_factory=Live)
    planner: Planner = field(default_factory=Planner)
    size: str | None = None


Ask = Mapping[str, object]
Handler = Callable[[Desk, Ask, Step], Response]


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
            return _faults([Fault(where="", message=str(error))], status=422)
        case ProjectError():
            return _faults(error.faults)
        case ChangedMeanwhile():
            gone = not error.path.exists()
            return JSONResponse({"changed_meanwhile": error.path.name, "gone": gone})
        case LoftlineError():
            return _faults([Fault(where="", message=str(error))])
        case _:
            says = f"a mistake of loftline's own ({type(error).__name__}); nothing was changed"
            return _faults([Fault(where="", message=says)], status=500)


def _faults(faults: list[Fault] | tuple[Fault, ...], status: int = 200) -> Response:
    """Faults in words. A maker's own are an answer, and no error of the page's."""
    told = [{"where": fault.where, "message": fault.message} for fault in faults]
    return JSONResponse({"faults": told}, status_code=status)


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


def _word(ask: Ask, key: str, usual: str = "") -> str:
    value = ask.get(key, usual)
    if not isinstance(value, str) or len(value) > 200:
        raise BadEdit(f"{key} should be a word")
    return value


def _words(ask: Ask, key: str, most: int) -> tuple[str, ...]:
    value = ask.get(key, [])
    if not isinstance(value, list) or len(value) > most:
        raise BadEdit(f"{key} should be a list of words")
    return tuple(_word({key: item}, key) for item in value)


def _sized(desk: Desk, project: Project) -> Project:
    """The size that is looked at; the project itself where it has none."""
    if not project.sizes:
        return project
    sizes = dict(project.sized())
    name = desk.size if desk.size in sizes else next(iter(sizes))
    desk.size = name
    return sizes[name]


def _plan(desk: Desk, project: Project, step: Step, *, quick: bool = False) -> Plan:
    return desk.live.plan(_sized(desk, project), step, effort="quick" if quick else "full")


def _now(desk: Desk, step: Step) -> tuple[Plan, Project]:
    """The plan of what the document holds."""
    document = desk.document
    project = parse_project(document.data, files=document.files)
    return _plan(desk, project, step), project


def _state(desk: Desk, project: Project) -> Header:
    """What the page must know of the file besides the plan."""
    document = desk.document
    return {
        "revision": document.revision,
        "unsaved": document.unsaved,
        "undo": document.undo_says,
        "redo": document.redo_says,
        "file": None if document.path is None else document.path.name,
        "sizes": [size.name for size in project.sizes],
        "size": desk.size if project.sizes else None,
    }


def _told(
    desk: Desk,
    plan: Plan,
    project: Project,
    tables: Tables | None = None,
    **more: object,
) -> Response:
    """A plan, and the state of the file; ``tables`` are those it is of, if not the file's."""
    header, arrays = plan_answer(plan, desk.document.data if tables is None else tables)
    return Response(answer(header | _state(desk, project) | more, arrays), media_type=BINARY)


def _begin(desk: Desk, ask: Ask, step: Step) -> Response:
    """The plan as it stands, and the words that fields offer."""
    del ask
    return _told(desk, *_now(desk, step), choices=_choices())


def _choices() -> Header:
    return {
        "patterns": {name: list(keys) for name, keys in PATTERN_KEYS.items()},
        "orders": list(ORDERS),
        "formats": list(FORMATS),
        "motifs": list(motif_names()),
        "kinds": [kind.name for kind in KINDS],
        "shapes": [shape for shape in TEMPLATE_SHAPES if shape != "file"],
        "forms": forms(),
        "belongs": belongs(),
    }


def _look(desk: Desk, ask: Ask, step: Step) -> Response:
    """A quick plan of a change that is not made yet, as while something is dragged."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = _plan(desk, project, step, quick=True)
    return _told(desk, plan, project, tables, quick=True)


def _change(desk: Desk, ask: Ask, step: Step) -> Response:
    """Make a change; one that leads to faults is not made."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = _plan(desk, project, step)
    desk.document.take(tables, _word(ask, "says"))
    return _told(desk, plan, project)


def _undo(desk: Desk, ask: Ask, step: Step) -> Response:
    del ask
    desk.document.undo()
    return _told(desk, *_now(desk, step))


def _redo(desk: Desk, ask: Ask, step: Step) -> Response:
    del ask
    desk.document.redo()
    return _told(desk, *_now(desk, step))


def _size(desk: Desk, ask: Ask, step: Step) -> Response:
    """Look at another size."""
    desk.size = _word(ask, "size")
    return _told(desk, *_now(desk, step))


def _fresh(desk: Desk, ask: Ask, step: Step) -> Response:
    """Begin a bag from a shape, as a change that can be undone."""
    shape = _word(ask, "shape")
    if shape not in TEMPLATE_SHAPES or shape == "file":
        raise BadEdit("there is no such shape to start from")
    text = template(shape)
    project = parse_project(tomllib.loads(text))
    plan = _plan(desk, project, step)
    desk.document.begin(text, _word(ask, "says"))
    return _told(desk, plan, project)


def _drawing(desk: Desk, ask: Ask, step: Step) -> Response:
    """Take a drawing: of the panel of a new bag, of this one's, or of a motif."""
    document, says = desk.document, _word(ask, "says")
    data = ask.get("data")
    if not isinstance(data, str):
        raise BadEdit("data should be a drawing")
    fresh = ask.get("fresh") is True
    drawing = drawing_bytes(data)
    name = document.give(_word(ask, "name"), drawing, fresh=fresh)
    if fresh:
        stem = name.rpartition(".")[0].replace("-", " ").capitalize()
        text = template_of(name, name=stem, unit=_word(ask, "unit") or None)
        files: Files = {name: drawing}
        plan = _plan(desk, parse_project(tomllib.loads(text), files=files), step)
        document.begin(text, says, files)
        return _told(desk, plan, parse_project(document.data, files=files), given=name)
    edits = ask.get("edits")
    place = ask.get("path")
    if not isinstance(edits, list) or not _takes_drawing(place):
        raise BadEdit("a drawing is given to the panel or to a motif")
    files = {**document.files, name: drawing}
    tables, project = document.tried([*edits, {"op": "set", "path": place, "value": name}], files)
    plan = _plan(desk, project, step)
    document.take(tables, says, files)
    return _told(desk, plan, project, given=name)


def _takes_drawing(place: object) -> bool:
    """Whether a path is that of a key that names a drawing."""
    match place:
        case ["panel", "file"] | ["fills", int(), "motif"]:
            return True
        case _:
            return False


def _save(desk: Desk, ask: Ask, step: Step) -> Response:
    """Write the project file; where it lies is not for the page to say."""
    del step
    document = desk.document
    project = parse_project(document.data, files=document.files)
    document.save(project.slug, over=ask.get("over") is True)
    return JSONResponse(_state(desk, project))


def _load(desk: Desk, ask: Ask, step: Step) -> Response:
    """Take what the file on the disk holds now."""
    desk.document.load_again(_word(ask, "says"))
    return _told(desk, *_now(desk, step))


def _files(desk: Desk, ask: Ask, step: Step) -> Response:
    """Chosen files, of one size or of all; read back and checked first.

    One file comes by itself where no zip is asked for; several always come in one.
    """
    formats = _words(ask, "formats", len(FORMATS))
    with_project = ask.get("project") is True
    if any(word not in FORMATS for word in formats) or not (formats or with_project):
        raise BadEdit("choose at least one kind of file")
    document = desk.document
    project = parse_project(document.data, files=document.files)
    files, findings = _made(desk, project, formats, step, all_sizes=ask.get("sizes") is True)
    if formats and not files:
        return _faults([Fault(where=f.where, message=f.message) for f in findings])
    if with_project:
        own = document.as_files(project.slug)
        taken = own.keys() & files.keys()  # a drawing may be called what the picture is
        files |= {f"project/{name}": data for name, data in own.items()} if taken else own
    says = [finding.message for finding in findings]
    if ask.get("zip") is not True and len(files) == 1:
        ((name, data),) = files.items()
        return _download(name, data, says)
    return _download(f"{project.slug}.zip", _zipped(files), says)


def _made(
    desk: Desk, project: Project, formats: Sequence[str], step: Step, *, all_sizes: bool
) -> tuple[dict[str, bytes], Sequence[Finding]]:
    """Files by name, in a folder for each size where all are asked for; and what came up."""
    if not formats:
        return {}, ()
    if all_sizes and project.sizes:
        files, findings = make_size_files(make_plans(project, step), formats, step)
    else:
        files, findings = make_files(_plan(desk, project, step), formats, step)
    return dict(files), findings


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """Files in one; no clock, so the same files give the same bytes."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return whole.getvalue()


def _download(name: str, data: bytes, says: list[str]) -> Response:
    """Bytes to save, their name (the project's slug, plain ASCII), and what came up."""
    headers = {"x-file-name": name, "x-file-says": quote(json.dumps(says))}
    return Response(data, media_type=BINARY, headers=headers)


def _sheet(desk: Desk, ask: Ask, step: Step) -> Response:
    """The picture of the plan with its key, or of one face of the closed bag."""
    plan, _ = _now(desk, step)
    face = ask.get("face")
    if face is None:
        drawn = draw_plan(plan)
    elif not isinstance(face, int) or face < 0:
        raise BadEdit("the faces of the closed bag are numbered")
    elif face >= len(plan.panel.closed):
        return Response(status_code=204)  # the bag was changed meanwhile: nothing to show
    else:
        drawn = draw_closed_face(plan, face)
    return Response(drawn, media_type=TYPES["svg"])


def _design(desk: Desk, ask: Ask, step: Step) -> Response:
    """How one quilting design would look on the maker's own panel, quickly planned."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = _plan(desk, project, step, quick=True)
    header, arrays = plan_answer(plan, tables)
    kept: Arrays = {name: arrays[name] for name in (*_SMALL,)}
    small = {"outline_bounds": header["outline_bounds"], "figures": figures(plan)}
    return Response(answer(small, kept), media_type=BINARY)


_SMALL: Final = ("points", "run", "kind", "outline", "outline_starts", "hard", "hard_starts")


def _compare(desk: Desk, ask: Ask, step: Step) -> Response:
    """Two to six designs side by side: names, numbers, lines."""
    document = desk.document
    project = _sized(desk, parse_project(document.data, files=document.files))
    patterns = _words(ask, "patterns", MOST_COMPARED - 1)
    variants = make_variants(project, patterns=patterns)[: min(MOST_VARIANTS, MOST_COMPARED)]
    samples: list[Header] = []
    arrays: Arrays = {}
    for i, variant in enumerate(variants):
        step("designs", i, len(variants))
        plan = desk.live.plan(variant.project, step, effort="quick")
        own, found = plan_answer(plan, document.data)
        samples.append(
            {
                "name": variant.name,
                "yours": variant.yours,
                "figures": own["figures"],
                "outline_bounds": own["outline_bounds"],
                "findings": sum(1 for f in plan.findings if f.severity != "note"),
            }
        )
        arrays |= {f"{name}_{i}": found[name] for name in _SMALL}
    return Response(answer({"samples": samples}, arrays), media_type=BINARY)


HANDLERS: Final[Mapping[str, Handler]] = {
    "begin": _begin,
    "look": _look,
    "change": _change,
    "undo": _undo,
    "redo": _redo,
    "size": _size,
    "fresh": _fresh,
    "drawing": _drawing,
    "save": _save,
    "load": _load,
    "files": _files,
    "sheet": _sheet,
    "design": _design,
    "compare": _compare,
}

CHANGES: Final = frozenset({_change, _undo, _redo, _size, _fresh, _drawing, _save, _load})
"""What is done only for a page that shows what the project holds: another tab may have changed
it meanwhile, and a change that names the third entry would meet another one."""
