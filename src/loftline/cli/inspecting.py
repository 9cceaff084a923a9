"""The command ``inspect``: what a stitch file holds, and whether it would strike hardware."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from loftline.cli.one_size import one_size
from loftline.cli.progress import ProgressBar
from loftline.cli.screen import Screen
from loftline.cli.typed import UsageError, read_items
from loftline.project import Project, read_project
from loftline.units import Unit, format_length, parse_length

if TYPE_CHECKING:
    from loftline.inspection import Inspection, Laid, Nearness
    from loftline.values import Plan, Point


def inspect(screen: Screen, options: argparse.Namespace) -> int:
    """Read a stitch file, lay it on the project's panel, show what it would meet and holds.

    Args:
        screen: where the answer is shown.
        options: as typed.

    Returns:
        The exit code: 0, or 1 where it would strike or something else says stop.
    """
    path = Path(options.file)
    folder = None if options.out is None else Path(options.out)
    if folder is not None and os.path.isfile(folder):  # noqa: PTH113 - pathlib fails on a name too long
        raise UsageError(f"--out {folder} is a file; name a folder.")
    if options.project is None:
        for word in ("size", "hooping", "zero"):
            if getattr(options, word) is not None:
                raise UsageError(f"--{word} says something of a project: add --project.")
    data = _bytes(path)
    from loftline.inspection import (  # noqa: PLC0415 - heavy
        draw_inspection,
        inspect_file,
        lay_on,
        size_of,
    )

    found = inspect_file(path.name, data)
    plan, laid = None, None
    units: Unit = "mm"
    if options.project is not None:
        project = read_project(Path(options.project))
        size, because = options.size, "you say so"
        if project.sizes and size is None:
            size, because = size_of(path.name, project)
        project = one_size(project, size)
        units = project.units
        zero = _zero(options.zero, project)
        plan = _plan(project)
        hooping = _hooping(options.hooping, len(plan.hoopings))
        laid = lay_on(found, plan, hooping=hooping, zero=zero)
        rows = _strike_rows(laid, plan, units)
        if size is not None:
            rows.insert(1, ("assumed", f"size {size}, {because}"))
        screen.block("Would it strike the hardware?", rows)
        screen.findings(laid.findings)
    else:
        says = "nothing is known of the bag; --project FILE lays the file on its panel"
        screen.block("Would it strike the hardware?", [("unknown", says)])
    screen.block(f"What {path.name} holds", _rows(found, units))
    if folder is not None:
        from loftline.export.placing import place_all  # noqa: PLC0415 - heavy

        name = f"{path.stem}-{found.ext}-inspected.svg"
        picture = draw_inspection(found, plan, laid)
        screen.files(place_all(folder, {name: picture.encode("utf-8")}))
    return 1 if laid is not None and _stops(laid) else 0


def _bytes(path: Path) -> bytes:
    """A file's bytes, no more than a reader takes and one."""
    from loftline.readers import GREATEST_BYTES  # noqa: PLC0415 - heavy

    try:
        if not os.path.isfile(path):  # noqa: PTH113 - pathlib fails on a name too long
            why = "is no file" if os.path.exists(path) else "is not there"  # noqa: PTH110 - as above
            raise UsageError(f"{path} {why}; name a stitch file.")
        with path.open("rb") as file:
            return file.read(GREATEST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name cannot be one of a file"
        raise UsageError(f"{path} could not be read: {why}.") from error


def _plan(project: Project) -> Plan:
    from loftline.plan import make_plan  # noqa: PLC0415 - heavy

    with ProgressBar() as bar:
        return make_plan(project, step=bar.step)


def _zero(text: str | None, project: Project) -> Point | None:
    """Where the maker says that the file's zero lies."""
    places = read_items("--zero", text)
    if not places:
        return None
    if len(places) != 2:
        raise UsageError(f"--zero {text}: write two lengths, as in --zero 125,205.")
    try:
        x, y = (parse_length(_plain(place), project.units) for place in places)
    except ValueError as error:
        raise UsageError(f"--zero {text}: {error}.") from error
    return (x, y)


def _plain(text: str) -> float | str:
    """A number where it is one, which is then in the project's units."""
    try:
        return float(text)
    except ValueError:
        return text


def _hooping(text: str | None, count: int) -> int | None:
    if text is None:
        return None
    if not (text.isascii() and text.isdecimal() and 1 <= int(text[:9]) <= count):
        there = "there is only hooping 1" if count == 1 else f"there are hoopings 1 to {count}"
        raise UsageError(f"--hooping {text}: {there}.")
    return int(text) - 1


def _stops(laid: Laid) -> bool:
    return bool(laid.strikes) or any(one.severity == "error" for one in laid.findings)


def _strike_rows(laid: Laid, plan: Plan, units: Unit) -> list[tuple[str, str]]:
    """The answer, then what is assumed, then each keep-out."""
    struck = laid.strikes
    names = ", ".join(f'"{one.name}"' for one in struck)
    hard = [one for one in laid.near if one.hardware]
    if struck:
        rows = [("yes", f"it would strike {names}: do not sew it")]
    elif not hard:
        rows = [("no", "no hardware is on the panel while it is quilted")]
    elif any(one.too_near for one in hard):
        rows = [("no", "but it comes nearer to hardware than must be kept")]
    else:
        rows = [("no", "it keeps away from all hardware that is on the panel while it is quilted")]
    count = len(plan.hoopings)
    which = f"hooping {laid.hooping + 1} of {count}, " if count > 1 else ""
    lies = f"{which}the file's zero at {_place(laid.zero, units)} of the panel"
    rows.append(("assumed", f"{lies}: {laid.because}"))
    if plan.project.quilting.sewn_from == "back":
        rows.append(("sewn from", "the back: the file is turned over, left to right"))
    return [*rows, *((one.name, _near_words(one, units)) for one in laid.near)]


def _near_words(one: Nearness, units: Unit) -> str:
    where = f"near {_place(one.at, units)}"
    said = []
    if one.stitches:
        count = "a stitch lies" if one.stitches == 1 else f"{one.stitches:,} stitches lie"
        said.append(f"{count} on it, {where}")
    if one.foot:
        said.append("the foot touches it, and it stands above the fabric")
    if one.moved_over:
        said.append("the frame moves over it between runs, and it stands above the fabric")
    if not one.stitches:
        edge = "its hard edge" if one.hardware else "its edge"
        nearest = f"nearest stitch {format_length(one.nearest, units, 2)} from {edge}"
        kept = f"{format_length(one.kept, units, 2)} must be kept"
        said.append(f"{nearest}, {where}; {kept}" if one.too_near else f"{nearest}; {kept}")
    return "; ".join(said)


def _rows(found: Inspection, units: Unit) -> Sequence[tuple[str, str]]:
    stitches = found.points - found.runs
    (x0, y0), (x1, y1) = found.low, found.high
    size = f"{format_length(x1 - x0, units)} wide, {format_length(y1 - y0, units)} high"
    rows = [
        ("Stitches", f"{stitches:,}, sewn length {format_length(found.length, 'm')}"),
        ("Needle points", f"{found.points:,}"),
        ("Runs", f"{found.runs:,}, {found.runs - 1:,} thread cuts between them"),
        ("Size", f"{size}, from {_place(found.low, units)} to {_place(found.high, units)}"),
    ]
    (a, b), (c, d) = found.reach
    if a < min(x0, 0) or b < min(y0, 0) or c > max(x1, 0) or d > max(y1, 0):
        reach = f"from {_place((a, b), units)} to {_place((c, d), units)}"
        rows.append(("Frame moves", f"{reach}, moves between runs included"))
    if stitches:
        longest = format_length(found.longest, units, 2)
        rows += [
            ("Longest stitch", f"{longest}, from {_place(found.longest_at, units)}"),
            ("Shortest stitch", format_length(found.shortest, units, 2)),
        ]
    return [*rows, ("Places", "from the file's zero, x to the right and y up")]


def _place(at: Point, units: Unit) -> str:
    x, y = (format_length(value, units).removesuffix(f" {units}") for value in at)
    return f"({x}, {y}) {units}"
