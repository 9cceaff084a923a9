"""Whole plans inside a warm process; run with ``pytest tests/bench --benchmark-enable``.

The measured figures and where the time goes stand in docs/performance.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from loftline.plan import make_plan
from loftline.project import Project, parse_project

MAGNETS = [
    {"name": "left", "kind": "sew-in magnet", "diameter": 18, "at": [75, 378], "mate": True},
    {"name": "right", "kind": "sew-in magnet", "diameter": 18, "at": [175, 378], "mate": True},
]
LABEL = {"name": "label", "shape": "rectangle", "at": [125, 130], "width": 60, "height": 25}
POUCH = {
    "shape": "folded pouch",
    "width": 250,
    "body": 150,
    "flap": 110,
    "flap_inset": 3,
    "corner_radius": 45,
}
PANEL = {"shape": "rectangle", "width": 330, "height": 546, "corner_radius": 30}
TWO = [
    {"name": "a", "shape": "circle", "diameter": 27, "at": [110, 180]},
    {"name": "b", "shape": "circle", "diameter": 27, "at": [220, 380]},
]


def _twenty() -> list[dict[str, Any]]:
    rng = np.random.default_rng(5)
    places: list[tuple[float, float]] = []
    while len(places) < 20:
        x, y = (float(c) for c in rng.uniform(100, 2300, 2))
        if all(np.hypot(x - a, y - b) > 80 for a, b in places):
            places.append((round(x, 1), round(y, 1)))
    return [
        {"name": f"k{i}", "shape": "circle", "diameter": 27, "at": list(at)}
        for i, at in enumerate(places)
    ]


CASES: Mapping[str, dict[str, Any]] = {
    "demo": {
        "panel": POUCH,
        "hardware": MAGNETS,
        "keep_outs": [LABEL],
        "fills": [{"pattern": "channel", "angle": 45, "spacing": 12}],
    },
    "channel 12": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "channel", "angle": 45, "spacing": 12}],
    },
    "grid 20": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 20}],
    },
    "grid 6": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 6}],
    },
    "meander 8": {
        "panel": PANEL,
        "keep_outs": TWO,
        "fills": [{"pattern": "meander", "spacing": 8}],
    },
    "large grid 12": {
        "panel": PANEL | {"width": 2400, "height": 2400},
        "keep_outs": _twenty(),
        "fills": [{"pattern": "grid", "angle": 45, "spacing": 12}],
    },
}


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
