"""Checks and report on a million stitches and 55 keep-outs."""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.checks import check_sewn
from loftline.estimates import make_report
from loftline.values import Kind, Panel, Sewn
from support_sewn import lines, panel, project, runs, snap

SIDE = 1000


@pytest.fixture(scope="module")
def stitched() -> tuple[Panel, Sewn]:
    """Rows 3.4 mm apart to and fro over 3 x 3.4 m, in a hundred runs; keep-outs in the way."""
    rng = np.random.default_rng(1)
    along = np.arange(SIDE) * 30
    x = np.concatenate([along if i % 2 == 0 else along[::-1] for i in range(SIDE)])
    y = np.repeat(np.arange(SIDE) * 34, SIDE)
    plan = Sewn(
        x=x,
        y=y,
        run=np.repeat(np.arange(100), SIDE * SIDE // 100),
        kind=np.full(SIDE * SIDE, int(Kind.LINE)),
        via=np.empty((0, 2), np.int64),
        via_run=np.empty(0, np.int64),
    )
    places = rng.uniform(100, 2900, (55, 2)).tolist()
    return panel(*(snap((x, y), sits="above") for x, y in places)), plan


def test_bench_checks(benchmark: BenchmarkFixture, stitched: tuple[Panel, Sewn]) -> None:
    on, plan = stitched
    found = benchmark(check_sewn, on, plan, longest_stitch=7, field=(4000, 4000))
    assert len(found) >= 55


def test_bench_report(benchmark: BenchmarkFixture, stitched: tuple[Panel, Sewn]) -> None:
    on, plan = stitched
    found = benchmark(make_report, project(), on, lines(), runs(), plan)
    assert found.stitches == SIDE * SIDE - 100
