"""Files written from a plan: stitch files, the pictures, the table of points, the document."""

from __future__ import annotations

from collections.abc import Iterable

from loftline.errors import ExportError
from loftline.values import Plan
from loftline.writers.batch import write_batch
from loftline.writers.board import draw_board
from loftline.writers.csv_points import points_table
from loftline.writers.json_document import json_document
from loftline.writers.stitch_files import FORMATS as STITCH_FORMATS, write_stitch_file
from loftline.writers.svg import draw_plan
from loftline.writers.svg.cutting import draw_cutting

__all__ = ["FORMATS", "draw_board", "draw_plan", "write_batch", "write_files"]

FORMATS: tuple[str, ...] = (*STITCH_FORMATS, "svg", "csv", "json")
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
    stem = plan.project.slug
    stitch_files = {ext: f"{stem}.{ext}" for ext in wanted if ext in STITCH_FORMATS}
    files: dict[str, bytes] = {}
    for ext in wanted:
        files[f"{stem}.{ext}"] = _write(ext, plan, stitch_files)
        if ext == "svg" and plan.report.cutting is not None:
            picture = draw_cutting(plan.project.name, plan.report.cutting, plan.project.units)
            files[f"{stem}-cutting.svg"] = picture.encode("utf-8")
    return files


def _write(ext: str, plan: Plan, stitch_files: dict[str, str]) -> bytes:
    if ext == "svg":
        return draw_plan(plan).encode("utf-8")
    if ext == "csv":
        return points_table(plan.sewn)
    if ext == "json":
        return json_document(plan, [stitch_files])
    return write_stitch_file(
        ext,
        plan.sewn,
        name=plan.project.name,
        at_cuts=plan.project.machine.at_cuts,
        thread_tex=plan.project.thread.needle.tex_value,
    )
