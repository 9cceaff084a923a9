"""Plans of a bag that is being changed: what is kept must be what would be made afresh."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Any

import numpy as np
import pytest

from loftline.live import Live
from loftline.plan import Plan, make_plan
from loftline.project import Project, parse_project


def demo(**changes: object) -> Project:
    """The built-in pouch with other tables."""
    text = resources.files("loftline").joinpath("demo.toml").read_text(encoding="utf-8")
    return parse_project({**tomllib.loads(text), **changes})


def same(one: Plan, two: Plan) -> bool:
    """Whether two plans sew the same and say the same."""
    needle = all(
        np.array_equal(getattr(one.sewn, name), getattr(two.sewn, name))
        for name in ("x", "y", "run", "kind")
    )
    return needle and one.findings == two.findings and one.report == two.report


STAGES = ("panel", "lines", "network", "runs", "stitches", "gaps")

CHANGES: Mapping[str, Mapping[str, Any]] = {
    "thread": {"thread": {"waste": 0.3}},
    "speed": {"machine": {"stitches_per_minute": 400}},
    "longest stitch": {"machine": {"longest_stitch": 3.1}},
    "by hand": {"machine": {"guided": "hand"}},
    "stitch length": {"quilting": {"stitch_length": 2.5}},
    "order": {"quilting": {"order": "one way"}},
    "edge": {"quilting": {"edge": "seam allowance"}},
    "price of a cut": {"costs": {"cut": 400}},
    "design": {"fills": [{"pattern": "grid", "spacing": 25}]},
    "closures": {"hardware": []},
    "foam": {"layers": {"foam": {"kind": "foam", "thickness": 5}}},
    "cutting": {"cutting": {"cloth_width": {"outer": 900}}},
    "shrinking": {"quilting": {"allow_for_draw_in": True}},
    "swatch": {"swatch": {"before": [100, 100], "after": [98, 98]}},
    "seed": {"seed": 9},
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_changed_bag_is_planned_as_if_afresh(change: str) -> None:
    live = Live()
    live.plan(demo())
    changed = demo(**CHANGES[change])
    assert same(live.plan(changed), make_plan(changed))


def test_going_back_is_as_it_was() -> None:
    live = Live()
    first = live.plan(demo())
    live.plan(demo(seed=9))
    assert live.plan(demo()) is first


def test_another_waste_of_thread_leaves_the_stitches_as_they_were() -> None:
    live = Live()
    live.plan(demo())
    live.plan(demo(thread={"waste": 0.3}))
    assert live.made == dict.fromkeys(STAGES, 1)


def test_another_order_leaves_the_lines_as_they_were() -> None:
    live = Live()
    live.plan(demo())
    live.plan(demo(quilting={"order": "one way", "stitch_length": 3, "edge": "overhang"}))
    assert (live.made["network"], live.made["runs"]) == (1, 2)


def test_a_quick_plan_has_no_cutting_list() -> None:
    assert Live().plan(demo(), effort="quick").report.cutting is None


def test_a_full_plan_after_a_quick_one_has_it() -> None:
    live = Live()
    live.plan(demo(), effort="quick")
    assert live.plan(demo()).report.cutting is not None
