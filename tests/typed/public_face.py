"""Never run: mypy reads it to prove that the public face is typed as users see it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import assert_type

import loftline
from loftline import Fault, Finding, Panel, Plan, Project, ProjectError, Report, Sewn
from loftline.errors import Severity


def from_file_to_files(file: Path, folder: Path) -> tuple[Path, ...]:
    project = loftline.read_project(file)
    assert_type(project, Project)
    assert_type(loftline.parse_project({"format": 1}), Project)
    plan = loftline.make_plan(project)
    assert_type(plan, Plan)
    assert_type(plan.panel, Panel)
    assert_type(plan.sewn, Sewn)
    assert_type(plan.report, Report)
    assert_type(plan.findings, tuple[Finding, ...])
    assert_type(plan.findings[0].severity, Severity)
    assert_type(loftline.__version__, str)
    return loftline.export(plan, folder, ("dst", "svg")).paths


def all_faults(data: Mapping[str, object]) -> tuple[Fault, ...]:
    try:
        loftline.parse_project(data)
    except ProjectError as error:
        return error.faults
    except loftline.LoftlineError:
        pass
    return ()


def with_progress(project: Project) -> Plan:
    def step(name: str, done: int, total: int) -> None:
        print(name, done, total)  # noqa: T201 - what a user would do

    return loftline.make_plan(project, step=step)


def in_three_sizes(file: Path, folder: Path) -> tuple[Path, ...]:
    batch = loftline.make_plans(loftline.read_project(file))
    assert_type(batch, loftline.Batch)
    assert_type(batch.bags, int)
    return loftline.export_sizes(batch, folder, ("dst",)).paths


def side_by_side(project: Project, folder: Path) -> tuple[Path, ...]:
    variants = loftline.make_variants(project, patterns=("channel", "grid"), spacings=(10.0, 12.0))
    assert_type(variants, tuple[loftline.Variant, ...])
    samples = loftline.compare_plans(variants, effort="quick")
    assert_type(samples, tuple[loftline.Sample, ...])
    assert_type(samples[0].widest_gap, float | None)
    return loftline.export_board(project, samples, folder).paths
