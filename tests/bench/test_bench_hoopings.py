"""A panel divided into many hoopings, from the project to the needle points."""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.plan import make_plan
from loftline.project import parse_project

POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
    "seam_allowance": 8,
}
SQUARE = {"shape": "rectangle", "width": 1000, "height": 1000}


@pytest.mark.parametrize(
    ("panel", "pattern", "hoop", "count"),
    [
        (POUCH, "channel", [130, 180], 8),
        (SQUARE, "grid", [200, 300], 24),
        (SQUARE, "channel", [130, 180], 54),
    ],
    ids=["pouch", "grid", "channel"],
)
def test_bench_hoopings(
    benchmark: BenchmarkFixture, panel: dict[str, object], pattern: str, hoop: list[int], count: int
) -> None:
    fill = {"pattern": pattern, "angle": 45, "spacing": 12}
    tables = {"format": 1, "panel": panel, "fills": [fill], "machine": {"hoop": hoop}}
    project = parse_project(tables)
    plan = benchmark(make_plan, project)
    assert len(plan.hoopings) == count
