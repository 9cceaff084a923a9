"""Whole plans inside a warm process; run with ``pytest tests/bench --benchmark-enable``.

The measured figures and where the time goes stand in docs/performance.md.
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.plan import make_plan
from loftline.project import Project, parse_project
from support_bench import CASES


def _project(name: str) -> Project:
    return parse_project({"format": 1, "name": name, "seed": 7, **CASES[name]})


@pytest.mark.parametrize("name", CASES)
def test_bench_plan(benchmark: BenchmarkFixture, name: str) -> None:
    project = _project(name)
    heavy = name.startswith(("large", "meander"))
    plan = benchmark.pedantic(  # type: ignore[no-untyped-call]
        make_plan, args=(project,), rounds=3 if heavy else 10, warmup_rounds=1
    )
    benchmark.extra_info.update(
        stitches=plan.report.stitches,
        runs=plan.report.runs,
        cost=round(plan.report.cost),
        least_cost=round(plan.report.least_cost),
    )
    assert plan.clean
