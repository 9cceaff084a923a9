"""The command ``compare``: several designs of one bag side by side."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, cast

from loftline.cli.cores import all_cores
from loftline.cli.one_size import one_size
from loftline.cli.progress import ProgressBar
from loftline.cli.screen import Screen
from loftline.cli.typed import UsageError, read_items, read_words
from loftline.cli.words import ORDERS, PATTERNS
from loftline.project import Order, Project, motif_names, read_project
from loftline.units import parse_angle, parse_length

if TYPE_CHECKING:
    from loftline.values import Sample


def compare(screen: Screen, options: argparse.Namespace) -> int:
    """Plan every combination that was typed, show what each takes, write the board.

    Args:
        screen: where the answer is shown.
        options: as typed.

    Returns:
        The exit code: 0, or 1 where something says stop in every design.
    """
    patterns = read_words("--pattern", options.pattern, (*PATTERNS, *motif_names()))
    orders = read_words("--order", options.order, ORDERS)
    angles = _angles(options.angle)
    folder = None if options.out is None else Path(options.out)
    if folder is not None and os.path.isfile(folder):  # noqa: PTH113 - pathlib fails on a name too long
        raise UsageError(f"--out {folder} is a file; name a folder.")
    project = one_size(read_project(Path(options.file)), options.size)
    if folder is not None and project.panel.file is not None:
        _spare(Path(options.file).parent / project.panel.file, folder, project.slug)
    spacings = _spacings(options.spacing, project)
    if not (patterns or orders or angles or spacings):
        raise UsageError(
            "Say what to compare: --pattern, --spacing, --angle or --order, each with a list."
        )
    from loftline.variants import compare_plans, make_variants  # noqa: PLC0415 - heavy

    variants = make_variants(
        project,
        patterns=patterns,
        spacings=spacings,
        angles=angles,
        orders=cast("tuple[Order, ...]", orders),
        part=options.part,
    )
    with ProgressBar() as bar, all_cores() as cores:
        samples = compare_plans(variants, bar.step, runner=cores.run)
    screen.samples(project.name, samples, project.units)
    if folder is not None:
        _board(screen, project, samples, folder)
    return 0 if any(sample.plan.clean for sample in samples) else 1


def _spare(drawing: Path, folder: Path, slug: str) -> None:
    """Refuse to put the board over the drawing that the panel comes from."""
    board = folder / f"{slug}-board.svg"
    if os.path.exists(board) and board.samefile(drawing):  # noqa: PTH110 - name too long
        raise UsageError(
            f"--out {folder}: the board {board.name} would take the place of your drawing there; "
            "name another folder."
        )


def _board(screen: Screen, project: Project, samples: Sequence[Sample], folder: Path) -> None:
    from loftline.export import export_board  # noqa: PLC0415 - heavy

    board = export_board(project, samples, folder)
    screen.files(board.paths)
    for finding in board.findings:
        screen.say(f"  {finding.message}; {finding.remedy}.")


def _spacings(text: str | None, project: Project) -> tuple[float, ...]:
    """Millimetres; a bare number is in the units of the project file."""
    return _each("--spacing", text, lambda item: parse_length(item, project.units))


def _angles(text: str | None) -> tuple[float, ...]:
    return _each("--angle", text, parse_angle)


def _each(option: str, text: str | None, read: Callable[[str], float]) -> tuple[float, ...]:
    found = []
    for item in read_items(option, text):
        try:
            found.append(read(item))
        except ValueError as error:
            raise UsageError(f"{option}: {error}.") from None
    return tuple(dict.fromkeys(found))
