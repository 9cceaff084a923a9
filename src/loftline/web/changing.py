"""Looking at the project and changing it: the plan is told after each."""

from __future__ import annotations

import tomllib

from starlette.responses import JSONResponse, Response

from loftline.errors import Step
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
from loftline.trade.hardware import KINDS
from loftline.web.desk import BINARY, Ask, Desk, now, plan_of, word_of
from loftline.web.drawings import drawing_bytes
from loftline.web.edits import BadEdit, Tables
from loftline.web.forms import belongs, forms
from loftline.web.packing import Header, answer, plan_answer


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


def begin(desk: Desk, ask: Ask, step: Step) -> Response:
    """The plan as it stands, and the words that fields offer."""
    del ask
    return _told(desk, *now(desk, step), choices=choices())


def choices() -> Header:
    """The words that fields offer."""
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


def look(desk: Desk, ask: Ask, step: Step) -> Response:
    """A quick plan of a change that is not made yet, as while something is dragged."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = plan_of(desk, project, step, quick=True)
    return _told(desk, plan, project, tables, quick=True)


def change(desk: Desk, ask: Ask, step: Step) -> Response:
    """Make a change; one that leads to faults is not made."""
    tables, project = desk.document.tried(ask.get("edits"))
    plan = plan_of(desk, project, step)
    desk.document.take(tables, word_of(ask, "says"))
    return _told(desk, plan, project)


def undo(desk: Desk, ask: Ask, step: Step) -> Response:
    """Take the last change back."""
    del ask
    desk.document.undo()
    return _told(desk, *now(desk, step))


def redo(desk: Desk, ask: Ask, step: Step) -> Response:
    """Make the change again that was taken back."""
    del ask
    desk.document.redo()
    return _told(desk, *now(desk, step))


def size(desk: Desk, ask: Ask, step: Step) -> Response:
    """Look at another size."""
    desk.size = word_of(ask, "size")
    return _told(desk, *now(desk, step))


def fresh(desk: Desk, ask: Ask, step: Step) -> Response:
    """Begin a bag from a shape, as a change that can be undone."""
    shape = word_of(ask, "shape")
    if shape not in TEMPLATE_SHAPES or shape == "file":
        raise BadEdit("there is no such shape to start from")
    text = template(shape)
    project = parse_project(tomllib.loads(text))
    plan = plan_of(desk, project, step)
    desk.document.begin(text, word_of(ask, "says"))
    return _told(desk, plan, project)


def drawing(desk: Desk, ask: Ask, step: Step) -> Response:
    """Take a drawing: of the panel of a new bag, of this one's, or of a motif."""
    document, says = desk.document, word_of(ask, "says")
    data = ask.get("data")
    if not isinstance(data, str):
        raise BadEdit("data should be a drawing")
    fresh = ask.get("fresh") is True
    drawing = drawing_bytes(data)
    name = document.give(word_of(ask, "name"), drawing, fresh=fresh)
    if fresh:
        stem = name.rpartition(".")[0].replace("-", " ").capitalize()
        text = template_of(name, name=stem, unit=word_of(ask, "unit") or None)
        files: Files = {name: drawing}
        plan = plan_of(desk, parse_project(tomllib.loads(text), files=files), step)
        document.begin(text, says, files)
        return _told(desk, plan, parse_project(document.data, files=files), given=name)
    edits = ask.get("edits")
    place = ask.get("path")
    if not isinstance(edits, list) or not _takes_drawing(place):
        raise BadEdit("a drawing is given to the panel or to a motif")
    files = {**document.files, name: drawing}
    tables, project = document.tried([*edits, {"op": "set", "path": place, "value": name}], files)
    plan = plan_of(desk, project, step)
    document.take(tables, says, files)
    return _told(desk, plan, project, given=name)


def _takes_drawing(place: object) -> bool:
    """Whether a path is that of a key that names a drawing."""
    match place:
        case ["panel", "file"] | ["fills", int(), "motif"]:
            return True
        case _:
            return False


def save(desk: Desk, ask: Ask, step: Step) -> Response:
    """Write the project file; where it lies is not for the page to say."""
    del step
    document = desk.document
    project = parse_project(document.data, files=document.files)
    document.save(project.slug, over=ask.get("over") is True)
    return JSONResponse(_state(desk, project))


def load(desk: Desk, ask: Ask, step: Step) -> Response:
    """Take what the file on the disk holds now."""
    desk.document.load_again(word_of(ask, "says"))
    return _told(desk, *now(desk, step))
