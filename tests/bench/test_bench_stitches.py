"""Needle points on long paths; run with ``pytest tests/bench --benchmark-enable``.

The measured figures stand in docs/performance.md.
"""

from __future__ import annotations

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.plan import make_plan
from loftline.project import parse_project
from loftline.stitches.path import Path, lay_path
from loftline.stitches.placing import place_stitches
from loftline.values import Floats
from support_bench import CASES
from support_stitches import path_of, path_of_chains


def wandering(step: float, length: float = 400_000) -> Floats:
    """One line that never goes straight, its bends as tight as a meander's at 8 mm spacing."""
    along = np.arange(0.0, length, step)
    turn = 1.9 * np.sin(along / 6.1) + 0.9 * np.sin(along / 13.7) + along / 300
    return np.column_stack([np.cumsum(np.cos(turn)), np.cumsum(np.sin(turn))]) * step


def chains(count: int = 200_000, length: float = 29.0) -> Floats:
    """Straight lines to and fro, one behind the other."""
    y = np.repeat(np.arange(count), 2) * 5.0
    x = np.tile([0.0, length, length, 0.0], count // 2)
    return np.column_stack([x, y])


@pytest.mark.parametrize("step", [0.25, 0.6])
def test_bench_curves(benchmark: BenchmarkFixture, step: float) -> None:
    path = path_of(wandering(step, _size(benchmark, 400_000)), 2.5)
    placed = benchmark(place_stitches, path)
    benchmark.extra_info["stitches"] = len(placed.x)
    assert len(placed.x) > path.along[-1] / 2.5


def test_bench_straight_chains(benchmark: BenchmarkFixture) -> None:
    path = path_of_chains(chains(_size(benchmark, 200_000)), 2.5)
    placed = benchmark(place_stitches, path)
    benchmark.extra_info["stitches"] = len(placed.x)
    # 12 stitches of 2.42 mm on each line
    assert len(placed.x) == 13 * len(path.points) // 2


def _size(benchmark: BenchmarkFixture, size: int) -> int:
    """The size, or little of it when nothing is timed."""
    return size // 100 if benchmark.disabled else size


def _grid(name: str) -> Path:
    project = parse_project({"format": 1, "name": "x", "seed": 7, **CASES[name]})
    plan = make_plan(project, effort="quick")
    return lay_path(plan.network, plan.runs, np.full(len(plan.network.u), 3.0))


def test_bench_crossings(benchmark: BenchmarkFixture) -> None:
    path = _grid("grid 20" if benchmark.disabled else "large grid 12")
    placed = benchmark(place_stitches, path)
    benchmark.extra_info["stitches"] = len(placed.x)
    assert len(placed.x) > 6_000
