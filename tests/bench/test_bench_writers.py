"""How long what is drawn and listed takes: a panel of 2.4 m with some 165,000 stitches."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.writers import write_files
from support_plans import big_plan


@pytest.mark.parametrize("ext", ["svg", "csv", "json"])
def test_writing_a_large_panel(benchmark: BenchmarkFixture, ext: str) -> None:
    plan = big_plan(spacing=200 if benchmark.disabled else 12)
    files = benchmark(write_files, plan, (ext,))
    assert all(files.values())
