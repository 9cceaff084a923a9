"""Designs and sizes on the screen: the words of their tables."""

from __future__ import annotations

from dataclasses import replace

from loftline.cli.sample_figures import SAMPLE_HEADS, sample_rows
from loftline.errors import Finding
from loftline.values import Sample
from support_plans import tiny_plan


def sample(**more: object) -> Sample:
    plan = tiny_plan()
    report = replace(plan.report, **more)  # type: ignore[arg-type]
    return Sample(name="grid, 12 mm apart", plan=replace(plan, report=report))


def cell(head: str, of: Sample) -> str:
    (row,) = sample_rows([of], "mm")
    return dict(zip(SAMPLE_HEADS, row, strict=True))[head]


def test_the_least_cost_is_told_beside_the_cost() -> None:
    found = sample(cost=900.0, least_cost=700.0, optimal=False)
    assert cell("costs", found) == "900 mm, least 700 mm"


def test_a_cost_that_is_proved_is_called_the_least() -> None:
    assert cell("costs", sample(cost=900.0, least_cost=900.0, optimal=True)) == "900 mm, the least"


def test_a_least_that_reads_alike_is_told_by_the_difference() -> None:
    found = sample(cost=900.3, least_cost=899.6, optimal=False)
    assert cell("costs", found) == "900 mm, least 1 mm less"


def test_the_maker_s_own_design_is_marked() -> None:
    assert cell("design", replace(sample(), yours=True)) == "grid, 12 mm apart (yours)"


def test_a_design_that_cannot_be_exported_is_marked() -> None:
    stop = Finding(code="field-exceeded", severity="error", where="panel", message="too large")
    found = sample()
    found = replace(found, plan=replace(found.plan, findings=(stop,)))
    assert cell("design", found) == "grid, 12 mm apart (stop: check it)"


def test_without_ground_to_quilt_there_is_no_widest_place() -> None:
    assert cell("widest place without a line", sample(extra={})) == "-"
