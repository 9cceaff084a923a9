"""Files written from a plan: stitch files, pictures, sheets, the points, the document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from loftline.errors import ExportError
from loftline.mirror import as_sewn
from loftline.values import Plan
from loftline.writers.batch import write_batch
from loftline.writers.board import draw_board
from loftline.writers.csv_points import points_table
from loftline.writers.json_document import json_document
from loftline.writers.stitch_files import FORMATS as STITCH_FORMATS, write_stitch_file
from loftline.writers.svg import draw_closed_face, draw_plan
from loftline.writers.svg.cutting import draw_cutting
from loftline.writers.svg.hoopings import draw_hoopings

__all__ = [
    "FORMATS",
    "draw_board",
    "draw_closed_face",
    "draw_plan",
    "stitch_file_name",
    "write_batch",
    "write_files",
]

FORMATS: tuple[str, ...] = (*STITCH_FORMATS, "svg", "pdf", "csv", "json")
"""File endings that :func:`write_files` knows."""


def write_files(plan: Plan, formats: Iterable[str]) -> dict[str, bytes]:
    """The files of a plan, in memory.

    Args:
        plan: the plan; at least one needle point if a stitch file is asked for.
        formats: file endings without their dot; one that comes twice is written once.

    Returns:
        Bytes by file name, in the order of the formats, the picture of the cutting list after
        that of the plan; the same plan gives the same bytes.

    Raises:
        FormatLimit: when a format cannot hold the plan.
        ExportError: when an ending is unknown, or a stitch file would hold nothing.
    """
    wanted = tuple(dict.fromkeys(formats))
    for ext in wanted:
        if ext not in FORMATS:
            raise ExportError(f'".{ext}" files are not written; there are {", ".join(FORMATS)}')
    stem, lying = plan.project.slug, as_sewn(plan)
    stitch_files = [
        {ext: stitch_file_name(plan, number, ext) for ext in wanted if ext in STITCH_FORMATS}
        for number in range(len(plan.hoopings))
    ]
    files: dict[str, bytes] = {}
    for ext in wanted:
        if ext in STITCH_FORMATS:
            for number, names in enumerate(stitch_files):
                files[names[ext]] = _stitches(ext, lying, number)
            continue
        if ext == "pdf":
            from loftline.writers.sheets import write_sheets  # noqa: PLC0415 - a large library

            files |= write_sheets(plan)
            continue
        files[f"{stem}.{ext}"] = _write(ext, plan, stitch_files)
        if ext == "svg" and plan.report.cutting is not None:
            picture = draw_cutting(plan.project.name, plan.report.cutting, plan.project.units)
            files[f"{stem}-cutting.svg"] = picture.encode("utf-8")
        if ext == "svg" and len(plan.hoopings) > 1:
            files[f"{stem}-hoopings.svg"] = draw_hoopings(plan).encode("utf-8")
    return files


def stitch_file_name(plan: Plan, number: int, ext: str) -> str:
    """Name of the stitch file of a placing in the hoop, counted from 0.

    Only where there are several it has a number, from 1.
    """
    several = f"-{number + 1}" if len(plan.hoopings) > 1 else ""
    return f"{plan.project.slug}{several}.{ext}"


def _write(ext: str, plan: Plan, stitch_files: Sequence[Mapping[str, str]]) -> bytes:
    if ext == "svg":
        return draw_plan(plan).encode("utf-8")
    if ext == "csv":
        return points_table(plan.sewn)
    if ext == "json":
        return json_document(plan, stitch_files)
    raise ExportError(f'".{ext}" files are not written')


def _stitches(ext: str, plan: Plan, number: int) -> bytes:
    """The stitch file of one placing, in the hoop's own directions, of a panel as it lies."""
    return write_stitch_file(
        ext,
        plan.sewn.in_hoop(plan.hoopings[number]),
        name=plan.project.name,
        number=number + 1 if len(plan.hoopings) > 1 else None,
        at_cuts=plan.project.machine.at_cuts,
        thread_tex=plan.project.threaded.needle.tex_value,
        stitches_per_minute=plan.project.machine.stitches_per_minute,
        outer_up=plan.panel.seen_from == "outer",
    )
