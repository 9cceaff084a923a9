"""The desk: the one project that is open, and what is read of a question about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from starlette.responses import JSONResponse, Response

from loftline.errors import Fault, Step
from loftline.live import Live
from loftline.plan import Plan
from loftline.project import Project, parse_project
from loftline.web.document import Document
from loftline.web.edits import BadEdit
from loftline.web.planner import Planner

TYPES: Final = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
BINARY: Final = "application/octet-stream"


@dataclass(slots=True)
class Desk:
    """The one project that is open, and its planner."""

    document: Document
    live: Live = field(default_factory=Live)
    planner: Planner = field(default_factory=Planner)
    size: str | None = None


Ask = Mapping[str, object]
Handler = Callable[[Desk, Ask, Step], Response]


def word_of(ask: Ask, key: str, usual: str = "") -> str:
    """A word of a question, of at most 200 letters."""
    value = ask.get(key, usual)
    if not isinstance(value, str) or len(value) > 200:
        raise BadEdit(f"{key} should be a word")
    return value


def words_of(ask: Ask, key: str, most: int) -> tuple[str, ...]:
    """A list of words of a question."""
    value = ask.get(key, [])
    if not isinstance(value, list) or len(value) > most:
        raise BadEdit(f"{key} should be a list of words")
    return tuple(word_of({key: item}, key) for item in value)


def sized(desk: Desk, project: Project) -> Project:
    """The size that is looked at; the project itself where it has none."""
    if not project.sizes:
        return project
    sizes = dict(project.sized())
    name = desk.size if desk.size in sizes else next(iter(sizes))
    desk.size = name
    return sizes[name]


def plan_of(desk: Desk, project: Project, step: Step, *, quick: bool = False) -> Plan:
    """The plan of the size that is looked at."""
    return desk.live.plan(sized(desk, project), step, effort="quick" if quick else "full")


def now(desk: Desk, step: Step) -> tuple[Plan, Project]:
    """The plan of what the document holds."""
    document = desk.document
    project = parse_project(document.data, files=document.files)
    return plan_of(desk, project, step), project


def told_faults(faults: list[Fault] | tuple[Fault, ...], status: int = 200) -> Response:
    """Faults in words. A maker's own are an answer, and no error of the page's."""
    told = [{"where": fault.where, "message": fault.message} for fault in faults]
    return JSONResponse({"faults": told}, status_code=status)
