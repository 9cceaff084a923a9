"""What each command does: read, call the stages, show, answer with an exit code."""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import re
import tomllib
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from loftline.cli.comparing import compare as _compare
from loftline.cli.inspecting import inspect as _inspect
from loftline.cli.one_size import one_size
from loftline.cli.progress import ProgressBar
from loftline.cli.screen import Screen
from loftline.cli.typed import UsageError, read_formats, read_sheets
from loftline.cli.words import FORMATS
from loftline.errors import LoftlineError, ProjectError
from loftline.project import (
    DRAWING,
    Project,
    json_schema,
    parse_project,
    read_project,
    slug_of,
    template,
)

if TYPE_CHECKING:
    from loftline.values import Plan

CLEAN, STOP, BAD_INPUT = 0, 1, 2
DEMO_FOLDER = Path("loftline-demo")
DEMO_FILE = "spoke-pouch.toml"


def run(options: argparse.Namespace) -> int:
    """Run the command that was typed.

    Args:
        options: as :func:`loftline.cli.parser.parse` answers.

    Returns:
        The exit code: 0, 1 or 2.

    Raises:
        UsageError: when an option's value does not fit.
    """
    screen = Screen()
    commands: dict[str, Callable[[Screen, argparse.Namespace], int]] = {
        "new": _new,
        "plan": _plan,
        "check": _check,
        "compare": _compare,
        "inspect": _inspect,
        "swatch": _swatch,
        "demo": _demo,
        "open": _open,
    }
    try:
        return commands[options.command](screen, options)
    except ProjectError as error:
        words = (getattr(options, word, None) for word in ("project", "file"))
        screen.faults(str(next((word for word in words if word), DEMO_FILE)), error)
        return BAD_INPUT
    except LoftlineError as error:
        screen.complaint(f"loftline: {str(error).rstrip('.')}.")
        return BAD_INPUT


def demo_text() -> str:
    """The built-in project file."""
    return resources.files("loftline").joinpath("demo.toml").read_text(encoding="utf-8")


def _new(screen: Screen, options: argparse.Namespace) -> int:
    if options.schema:
        screen.verbatim(json.dumps(json_schema(), indent=2, ensure_ascii=False))
        return CLEAN
    path = Path(options.file)
    words = re.sub(r"[-_\s]+", " ", "".join(c for c in path.stem if c.isprintable())).strip()
    name = words[:1].upper() + words[1:] if re.search("[a-zA-Z]", words) else None
    stem = path.stem if path.stem.isprintable() else "panel"
    drawing = path.with_name(f"{stem}-drawing.svg")  # the picture of the plan is called stem.svg
    if not _write_new(path, template(options.shape, name=name, drawing=drawing.name)):
        screen.complaint(f"loftline: {path} is already there and was left alone.")
        return BAD_INPUT
    if options.shape == "file":
        fresh = _write_new(drawing, DRAWING)
        says = "is written too, to draw over" if fresh else "was there already and is used"
        screen.say(f"{drawing} {says}.")
    screen.say(f"{path} is written. Change it, then: loftline check {path}")
    return CLEAN


def _plan(screen: Screen, options: argparse.Namespace) -> int:
    asked = read_formats(options.format) if options.format is not None else None
    sheets = read_sheets(options.paper, options.sheets)
    folder = Path(options.out)
    if os.path.isfile(folder):  # noqa: PTH113 - pathlib fails on a name too long
        raise UsageError(f"--out {folder} is a file; name a folder.")
    project = read_project(Path(options.file))
    if sheets:
        other = project.sheets.model_copy(update=sheets)
        project = project.model_copy(update={"sheets": other})
        asked = _with_pdf(asked, project)
    if project.panel.file is not None and "svg" in (asked or FORMATS):
        drawing = Path(options.file).parent / project.panel.file
        _spare(drawing, folder, project.slug)
        for i, (name, size) in enumerate(project.sized() if project.sizes else ()):
            _spare(drawing, folder / slug_of(name, f"size-{i + 1}"), size.slug)
    if project.sizes:
        return _plan_sizes(screen, project, folder, asked, orders=options.orders)
    return _plan_into(screen, project, folder, asked, orders=options.orders)


def _with_pdf(asked: tuple[str, ...] | None, project: Project) -> tuple[str, ...]:
    """Who says what the sheets shall be wants them written."""
    from loftline.export import usual_formats  # noqa: PLC0415 - as above

    formats = usual_formats(project) if asked is None else asked
    return tuple(dict.fromkeys([*formats, "pdf"]))


def _plan_sizes(
    screen: Screen,
    project: Project,
    folder: Path | None,
    formats: tuple[str, ...] | None,
    *,
    orders: bool,
) -> int:
    """All sizes of a project; without a folder nothing is written."""
    from loftline.export import export_sizes  # noqa: PLC0415 - as above
    from loftline.sizes import make_plans  # noqa: PLC0415 - as above

    exported = None
    with ProgressBar() as bar:
        batch = make_plans(project, step=bar.step)
        if folder is not None:
            exported = export_sizes(batch, folder, formats, step=bar.step)
    found = () if exported is None else exported.findings
    known = {finding.message for size in batch.sizes for finding in size.plan.findings}
    screen.batch(batch, [finding for finding in found if finding.message not in known])
    for size in batch.sizes if orders else ():
        screen.say("")
        screen.say(f"Size {size.name}")
        _orders(screen, size.plan)
    if exported is not None:
        screen.files(exported.paths)
    clean = batch.clean and (exported is None or exported.clean)
    return CLEAN if clean else STOP


def _spare(drawing: Path, folder: Path, slug: str) -> None:
    """Refuse to put a picture of the plan over the drawing that the panel comes from."""
    sheets = (f"-templates-{kind}" for kind in ("panel", "quilting", "guide-lines"))
    for name in (f"{slug}{end}.svg" for end in ("", "-cutting", *sheets)):
        picture = folder / name
        if os.path.exists(picture) and picture.samefile(drawing):  # noqa: PTH110 - name too long
            raise UsageError(
                f"--out {folder}: the picture {name} would take the place of your drawing there; "
                "name another folder."
            )


def _check(screen: Screen, options: argparse.Namespace) -> int:
    project = read_project(Path(options.file))
    if project.sizes and options.size is None:
        return _plan_sizes(screen, project, None, None, orders=options.orders)
    project = one_size(project, options.size)
    from loftline.plan import make_plan  # noqa: PLC0415 - a file with faults needs no stage

    with ProgressBar() as bar:
        plan = make_plan(project, step=bar.step)
    screen.plan(plan)
    if options.orders:
        _orders(screen, plan)
    return CLEAN if plan.clean else STOP


def _swatch(screen: Screen, options: argparse.Namespace) -> int:
    folder = Path(options.out)
    if os.path.isfile(folder):  # noqa: PTH113 - pathlib fails on a name too long
        raise UsageError(f"--out {folder} is a file; name a folder.")
    if not re.fullmatch(r"[0-9]{1,4}", options.design):
        raise UsageError(f"--design {options.design}: write the number of a design, such as 1.")
    project = read_project(Path(options.file))
    from loftline.swatch import swatch_project  # noqa: PLC0415 - as above

    piece = swatch_project(project, int(options.design))
    code = _plan_into(screen, piece, folder, (*project.machine.formats, "svg"), piece=True)
    if code == CLEAN:
        stitch = piece.fills[0].stitch_length or piece.quilting.stitch_length
        usual = project.fills[0].stitch_length or project.quilting.stitch_length
        down = project.quilting.sewn_from == "back"
        screen.swatch(stitch, project.units, to_write=stitch != usual, outer_down=down)
    return code


def _demo(screen: Screen, _options: argparse.Namespace) -> int:
    if DEMO_FOLDER.is_file():
        raise UsageError(f"{DEMO_FOLDER} is a file here; the demo needs a folder of that name.")
    text = demo_text()
    code = _plan_into(screen, parse_project(tomllib.loads(text)), DEMO_FOLDER, FORMATS)
    if code == CLEAN:
        path = DEMO_FOLDER / DEMO_FILE
        _write_new(path, text)
        screen.say(f"  {path}, the project file: change it and plan it again")
        screen.say("")
        screen.say(f"Open {DEMO_FOLDER / 'spoke-pouch.svg'} in a browser to see the plan.")
    return code


def _open(screen: Screen, options: argparse.Namespace) -> int:
    from loftline.web import Document, serve  # noqa: PLC0415 - heavy, and only for this command

    if options.file is None:
        document = Document.fresh(demo_text(), Path.cwd())
    else:
        document = Document.read(Path(options.file))

    def say(address: str) -> None:
        screen.say(f"The page is at {address}")
        screen.say("It is for this computer alone. Ctrl-C here ends it; ten minutes after you")
        screen.say("close the page it ends by itself, if nothing is left to save.")

    alone = False
    with contextlib.suppress(KeyboardInterrupt):
        alone = serve(document, say, browser=not options.no_browser)
    if alone:
        screen.say("No page has been open for ten minutes, and nothing is left to save.")
    if document.revision and document.unsaved:
        screen.say("What was changed and not saved is gone.")
    screen.say("The page is closed.")
    return CLEAN


def _orders(screen: Screen, plan: Plan) -> None:
    from loftline.cli.cost_figures import undivided_words  # noqa: PLC0415 - as above
    from loftline.plan import price_orders, price_undivided  # noqa: PLC0415 - as above

    with ProgressBar() as bar:
        prices = price_orders(plan, step=bar.step)
        undivided = price_undivided(plan, step=bar.step)
    units, more = plan.project.units, []
    if undivided is not None:
        more.append(undivided_words(len(plan.hoopings), plan.report, undivided, units))
    screen.orders(prices, units, *more)


def _plan_into(
    screen: Screen,
    project: Project,
    folder: Path,
    formats: tuple[str, ...] | None,
    *,
    orders: bool = False,
    piece: bool = False,
) -> int:
    """Plan and write; of a test ``piece`` only what one needs to sew it is shown."""
    from loftline.export import export  # noqa: PLC0415 - as above
    from loftline.plan import make_plan  # noqa: PLC0415 - as above

    with ProgressBar() as bar:
        plan = make_plan(project, step=bar.step)
        exported = export(plan, folder, formats, step=bar.step)
    known = set(plan.findings)
    more = tuple(finding for finding in exported.findings if finding not in known)
    if piece:
        screen.test_piece(plan, more)
    else:
        screen.plan(plan, more)
    if orders:
        _orders(screen, plan)
    screen.files(exported.paths)
    return CLEAN if exported.clean and plan.clean else STOP


def _write_new(path: Path, text: str) -> bool:
    """Write a file that is not there yet; ``False`` when it is."""
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        return False
    except FileNotFoundError as error:
        raise UsageError(f"{path} could not be written: there is no such folder.") from error
    except OSError as error:
        raise UsageError(f"{path} could not be written: {error.strerror or error}.") from error
    return True
