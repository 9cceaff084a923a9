"""From a plan to files in a folder, each read back before any of them is put in place."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from loftline.checks import check_sewn
from loftline.compare import compare, compare_table, to_panel
from loftline.errors import Finding, FormatLimit, Step, StitchFileError, does_nothing
from loftline.export.placing import place_all
from loftline.export.png import NoPngError, as_png
from loftline.mirror import as_sewn, mirrored_sewn
from loftline.project import Project
from loftline.readers import READERS, read_points, read_stitch_file
from loftline.values import Batch, Hooping, Plan, Sample
from loftline.writers import draw_board, stitch_file_name, write_batch, write_files
from loftline.writers.stitch_files import limit

__all__ = ["Exported", "export", "export_board", "export_sizes", "make_files", "make_size_files"]

DRAWN = ("svg", "csv", "json")
"""Written beside the stitch files when no formats are named."""


def usual_formats(project: Project) -> tuple[str, ...]:
    """What is written when no formats are named.

    Who guides the panel by hand sews from the full-size sheets, so she gets them unasked.
    """
    sheets = ("pdf",) if project.machine.guided == "hand" else ()
    return tuple(dict.fromkeys([*project.machine.formats, *DRAWN, *sheets]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What an export did.

    Attributes:
        paths: the files written; empty when a finding is an error.
        findings: what came up on the way: formats skipped, files that differ.
    """

    paths: tuple[Path, ...]
    findings: tuple[Finding, ...]

    @property
    def clean(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)


def export(
    plan: Plan,
    folder: str | os.PathLike[str],
    formats: Sequence[str] | None = None,
    step: Step = does_nothing,
) -> Exported:
    """Write a plan's files into a folder: all of them, or none.

    Every stitch file is decoded by a reader that shares nothing with its writer, compared
    with the plan, and put through the same checks as the plan; only then do the files
    replace older ones. A format that cannot hold the plan is left out with a warning.

    Args:
        plan: with no finding of severity ``error``, else nothing is written.
        folder: made if it is not there.
        formats: file endings; ``None``: those of :func:`usual_formats`.
        step: progress callback.

    Returns:
        Paths written and findings.

    Raises:
        ExportError: when the files cannot be put in place; the folder is as it was.
        Cancelled: when ``step`` says so; the folder is as it was.
    """
    if not plan.clean:
        return Exported(paths=(), findings=_errors(plan.findings))
    files, findings = _made(plan, formats, step)
    if _errors(findings) or not files:
        return Exported(paths=(), findings=findings)
    step("export", 0, 1)
    paths = place_all(Path(folder), files)
    return Exported(paths=paths, findings=findings)


def make_files(
    plan: Plan, formats: Sequence[str], step: Step = does_nothing
) -> tuple[Mapping[str, bytes], tuple[Finding, ...]]:
    """The files of a plan in memory, each stitch file read back and checked.

    Args:
        plan: the plan.
        formats: file endings.
        step: progress callback.

    Returns:
        Bytes by file name, none where a finding is an error, and what came up.
    """
    if not plan.clean:
        return {}, _errors(plan.findings)
    files, findings = _made(plan, formats, step)
    return ({} if _errors(findings) else files), findings


def export_sizes(
    batch: Batch,
    folder: str | os.PathLike[str],
    formats: Sequence[str] | None = None,
    step: Step = does_nothing,
) -> Exported:
    """Write all sizes of a bag: the files of each into a folder of its own, or nothing at all.

    Args:
        batch: from :func:`loftline.make_plans`, with no finding of severity ``error``.
        folder: holds a folder for each size and, about all of them, the kit list (csv), the
            totals (json), all outlines at full size (pdf) and the picture of the cutting list
            (svg), as the formats ask.
        formats: as for :func:`export`.
        step: progress callback.

    Returns:
        Paths written and findings; those of one size name it.

    Raises:
        ExportError: when the files cannot be put in place; the folder is as it was.
        Cancelled: when ``step`` says so; the folder is as it was.
    """
    usual = usual_formats(batch.sizes[0].plan.project)
    files, findings = make_size_files(batch, usual if formats is None else tuple(formats), step)
    if not files:
        return Exported(paths=(), findings=findings)
    step("export", 0, 1)
    return Exported(paths=place_all(Path(folder), files), findings=findings)


def make_size_files(
    batch: Batch, formats: Sequence[str], step: Step = does_nothing
) -> tuple[Mapping[str, bytes], tuple[Finding, ...]]:
    """The files of all sizes in memory, each stitch file read back and checked.

    Args:
        batch: all sizes.
        formats: file endings.
        step: progress callback.

    Returns:
        Bytes by folder and file name, none where a finding is an error, and what came up.
    """
    files: dict[str, bytes] = {}
    findings: tuple[Finding, ...] = ()
    for size in batch.sizes:
        own: Mapping[str, bytes] = {}
        found = _errors(size.plan.findings)
        if not found:
            own, found = _made(size.plan, formats, step)
        findings += tuple(replace(f, where=f"{size.name}: {f.where}") for f in found)
        files |= {f"{size.folder}/{name}": data for name, data in own.items()}
    if _errors(findings) or not files:
        return {}, findings
    return files | write_batch(batch, formats), findings


def export_board(
    project: Project, samples: Sequence[Sample], folder: str | os.PathLike[str]
) -> Exported:
    """Write the sample board, ``NAME-board.svg``, and the same as png.

    Args:
        project: its name and units.
        samples: from :func:`loftline.compare_plans`.
        folder: made if it is not there.

    Returns:
        Paths written; a note where no png could be drawn.

    Raises:
        ExportError: when the files cannot be put in place; the folder is as it was.
    """
    picture = draw_board(project.name, samples, project.units)
    files = {f"{project.slug}-board.svg": picture.encode("utf-8")}
    findings: tuple[Finding, ...] = ()
    try:
        files[f"{project.slug}-board.png"] = as_png(picture)
    except NoPngError as error:
        findings = (
            Finding(
                code="png-skipped",
                severity="note",
                where="png file",
                message=f"no png file was written: {error}",
                remedy="open the svg file in a browser",
            ),
        )
    return Exported(paths=place_all(Path(folder), files), findings=findings)


def _made(
    plan: Plan, formats: Sequence[str] | None, step: Step
) -> tuple[Mapping[str, bytes], tuple[Finding, ...]]:
    """The files of a plan in memory, read back and checked, and what came up."""
    wanted = usual_formats(plan.project) if formats is None else tuple(formats)
    files, findings = _write(plan, tuple(dict.fromkeys(wanted)), step)
    lying = as_sewn(plan)
    sewn_by = {
        stitch_file_name(plan, number, ext): hooping
        for ext in READERS
        for number, hooping in enumerate(lying.hoopings)
    }
    for number, (name, data) in enumerate(files.items()):
        step("checks", number, len(files))
        if name in sewn_by:
            findings += _read_back(plan, lying, sewn_by[name], name, data)
        elif name == f"{plan.project.slug}.csv":
            findings += _table_back(plan, name, data)
    return files, findings


def _write(
    plan: Plan, formats: tuple[str, ...], step: Step
) -> tuple[Mapping[str, bytes], tuple[Finding, ...]]:
    """The files' bytes, and a warning for each format left out."""
    skipped: dict[str, str] = {}
    lying = as_sewn(plan)
    for ext in formats:
        if ext in READERS:
            for hooping in lying.hoopings:
                own = lying.sewn.in_hoop(hooping)
                reason = limit(ext, own, at_cuts=plan.project.machine.at_cuts)
                if reason is not None:
                    skipped[ext] = reason
                    break
    while True:
        kept = tuple(ext for ext in formats if ext not in skipped)
        step("writers", 0, 1)
        try:
            files = write_files(plan, kept)
        except FormatLimit as error:
            if error.ext in skipped:
                raise  # it was not asked for again, so leaving it out again would not help
            skipped[error.ext] = error.reason
        else:
            return files, tuple(_skipped(ext, reason) for ext, reason in skipped.items())


def _skipped(ext: str, reason: str) -> Finding:
    return Finding(
        code="format-skipped",
        severity="warning",
        where=f"{ext} file",
        message=f"no {ext} file was written: {reason}",
        remedy="ask for another format, or for a hoop that the format knows",
    )


def _read_back(
    plan: Plan, lying: Plan, hooping: Hooping, name: str, data: bytes
) -> tuple[Finding, ...]:
    """What our own reader and the checks say about the file of one placing in the hoop.

    Args:
        plan: whose keep-outs hold.
        lying: the plan as the panel lies under the needle.
        hooping: of the latter.
        name: of the file.
        data: its bytes.
    """
    try:
        read = read_stitch_file(name.rpartition(".")[2], data)
    except StitchFileError as error:
        return (_unreadable(name, error),)
    planned = lying.sewn.in_hoop(hooping)
    there = to_panel(read, planned).turned(hooping.turn)
    if lying is not plan:
        there = mirrored_sewn(there, lying.panel)
    return (
        *compare(planned, read, file=name),
        *_errors(
            check_sewn(
                plan.panel,
                there,
                longest_stitch=plan.project.machine.longest_stitch,
                field=hooping.seen,
            )
        ),
    )


def _table_back(plan: Plan, name: str, data: bytes) -> tuple[Finding, ...]:
    """The same for the table of needle points."""
    try:
        return compare_table(plan.sewn, read_points(data), file=name)
    except StitchFileError as error:
        return (_unreadable(name, error),)


def _unreadable(name: str, error: StitchFileError) -> Finding:
    return Finding(
        code="file-differs",
        severity="error",
        where=name,
        message=f"{name} cannot be read back: {error}",
        remedy="this is a fault of loftline: nothing was written, please report it",
    )


def _errors(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.severity == "error")
