"""Several designs of one bag: combinations, names, faults, the same answer on every core."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

import loftline
from loftline.cli.commands import demo_text
from loftline.cli.cores import all_cores
from loftline.errors import Cancelled, ProjectError
from loftline.project import Project, changed_fill, parse_project
from loftline.variants import Variant, compare_plans, make_variants, plan_variant
from loftline.writers import draw_plan

MAT: dict[str, Any] = {
    "name": "Tyre lever mat",
    "panel": {"shape": "rectangle", "width": 120, "height": 90},
    "fills": [{"pattern": "channel", "angle": 45, "spacing": 15}],
}


def mat(**more: object) -> Project:
    return parse_project({**MAT, **more})


def names(variants: tuple[Variant, ...]) -> list[str]:
    return [variant.name for variant in variants]


def says(project: Project, **choices: Any) -> str:  # noqa: ANN401 - options
    with pytest.raises(ProjectError) as caught:
        make_variants(project, **choices)
    return str(caught.value)


def test_every_combination_comes_once_after_the_project_as_it_is() -> None:
    found = names(make_variants(mat(), patterns=["grid", "channel"], spacings=[10, 12]))
    expected = [
        "as in the file",
        "grid, 10 mm apart",
        "grid, 12 mm apart",
        "channel, 10 mm apart",
        "channel, 12 mm apart",
    ]
    assert found == expected


def test_the_combination_that_is_the_project_is_called_by_its_name_and_marked() -> None:
    variants = make_variants(mat(), spacings=[12, 15])
    found = {variant.name: variant.yours for variant in variants}
    assert found == {"channel, 15 mm apart": True, "channel, 12 mm apart": False}


def test_angles_of_a_meander_are_one_design() -> None:
    variants = make_variants(mat(), patterns=["meander"], angles=[30, 45])
    assert names(variants) == ["as in the file", "meander"]


def test_a_spacing_is_told_in_the_units_of_the_file() -> None:
    assert names(make_variants(mat(units="in"), spacings=[12.7]))[1] == "channel, 0.5 in apart"


def test_a_motif_of_ours_is_called_by_its_name() -> None:
    variant = make_variants(mat(), patterns=["clamshell"], spacings=[10, 12])[1]
    assert variant.name == "clamshell"
    assert variant.project.fills[0].pattern == "motif"


def test_an_order_changes_only_the_order() -> None:
    variant = make_variants(mat(), orders=["one way"])[1]
    assert variant.project.quilting.order == "one way"
    assert variant.project.fills == mat().fills


TWO_PARTS = {
    "panel": {"shape": "flat sleeve", "width": 120, "body": 90},
    "fills": [
        {"part": "front", "pattern": "channel", "spacing": 15},
        {"part": "back", "pattern": "grid", "spacing": 20},
    ],
}


def test_only_the_fills_of_the_part_change() -> None:
    variant = make_variants(mat(**TWO_PARTS), patterns=["meander"], part="front")[1]
    assert [fill.pattern for fill in variant.project.fills] == ["meander", "grid"]


def test_all_fills_change_where_no_part_is_named() -> None:
    variant = make_variants(mat(**TWO_PARTS), spacings=[12])[1]
    assert variant.name == "channel and grid, 12 mm apart"
    assert [fill.spacing for fill in variant.project.fills] == [12, 12]


def fill(**keys: object) -> Any:  # noqa: ANN401 - a fill
    return mat(fills=[keys]).fills[0]


def test_a_fill_that_keeps_its_pattern_keeps_all_else() -> None:
    wavy = fill(pattern="channel", spacing=12, wave_height=5, wave_length=40)
    changed = changed_fill(wavy, spacing=14)
    assert (changed.spacing, changed.wave_height, changed.wave_length) == (14, 5, 40)


def test_another_pattern_keeps_part_spacing_and_angle_alone() -> None:
    wavy = fill(pattern="channel", angle=30, spacing=12, wave_height=5, wave_length=40)
    changed = changed_fill(wavy, pattern="grid")
    assert (changed.spacing, changed.angles, changed.wave_height) == (12, (30, 120), None)


def test_the_families_of_a_grid_turn_together() -> None:
    diamond = fill(pattern="grid", setting="diamond")
    assert changed_fill(diamond, angle=45).angles == (45, 165)


def test_a_pattern_of_the_same_name_changes_nothing() -> None:
    triangles = fill(pattern="grid", setting="triangle", spacing=20)
    assert changed_fill(triangles, pattern="grid") == triangles


@pytest.mark.parametrize(
    ("choices", "told"),
    [
        ({"spacings": [0.5]}, "channel, 0.5 mm apart: fills[0].spacing: found 0.5; should be at"),
        ({"patterns": ["nettle"]}, "nettle: fills[0].pattern: found"),
        ({"orders": ["from an edge"]}, "needs from_edge"),
        ({"part": "flap", "spacings": [9]}, 'no fill covers the part "flap"; fills cover all'),
        ({"spacings": list(range(5, 30))}, "these are 25 combinations; at most 24"),
    ],
)
def test_a_combination_that_cannot_be_is_told(choices: dict[str, Any], told: str) -> None:
    assert told in says(mat(), **choices)


def test_a_spacing_finer_than_is_planned_is_told() -> None:
    large = mat(panel={"shape": "rectangle", "width": 3000, "height": 3000})
    assert "space the lines wider" in says(large, spacings=[1.0])


def test_a_wave_too_low_for_its_pattern_is_told_with_the_name_of_the_design() -> None:
    """A pair may be half the spacing wide at most (rule of the fill)."""
    paired = mat(fills=[{"pattern": "channel", "spacing": 15, "paired": 6}])
    assert "channel, 10 mm apart: fills[0].paired: found" in says(paired, spacings=[10])


# planning


def test_a_sample_is_the_plan_of_its_project() -> None:
    variant = make_variants(mat(), patterns=["grid"])[1]
    (sample,) = compare_plans([variant])
    assert sample.plan.report == loftline.make_plan(variant.project).report


def test_the_gap_of_channels_is_their_spacing() -> None:
    samples = compare_plans(make_variants(mat(), spacings=[10, 15]))
    assert [round(sample.widest_gap or 0) for sample in samples] == [15, 10]


def test_progress_counts_the_designs_and_may_stop_the_work() -> None:
    told: list[tuple[int, int]] = []

    def step(name: str, done: int, total: int) -> None:
        assert name == "designs"
        told.append((done, total))
        if done == 1:
            raise Cancelled

    with pytest.raises(Cancelled):
        compare_plans(make_variants(mat(), spacings=[10, 12]), step)
    assert told == [(0, 3), (1, 3)]


def test_all_cores_give_the_same_answer_as_one() -> None:
    variants = make_variants(mat(), patterns=["channel", "meander", "grid"])
    alone = compare_plans(variants)
    with all_cores(2, worth=0.0) as cores:
        together = compare_plans(variants, runner=cores.run)
    assert [s.name for s in together] == [s.name for s in alone]
    for one, other in zip(alone, together, strict=True):
        assert draw_plan(other.plan) == draw_plan(one.plan)
        assert other.plan.report == one.plan.report


def test_small_jobs_start_no_process() -> None:
    with all_cores(2) as cores:
        assert list(cores.run(len, ["a", "bb", "ccc"])) == [1, 2, 3]
        assert multiprocessing.active_children() == []


def test_no_jobs_have_no_answers() -> None:
    with all_cores(2, worth=0.0) as cores:
        assert list(cores.run(len, [])) == []


def test_faults_come_whole_from_another_process() -> None:
    outside = mat(hardware=[{"kind": "eyelet", "at": [500, 500]}])
    variants = [Variant(name=name, project=outside) for name in ("far", "off")]
    variants.insert(0, Variant(name="near", project=mat()))
    with pytest.raises(ProjectError) as caught, all_cores(2, worth=0.0) as cores:
        compare_plans(variants, runner=cores.run)
    with pytest.raises(ProjectError) as expected:
        plan_variant((variants[1], "full"))
    assert caught.value.faults == expected.value.faults


def test_no_process_is_left_when_the_work_is_stopped() -> None:
    def step(_name: str, done: int, _total: int) -> None:
        if done == 2:  # the first of another process
            assert multiprocessing.active_children()
            raise KeyboardInterrupt

    variants = make_variants(mat(), spacings=[10, 11, 12, 13])
    with pytest.raises(KeyboardInterrupt), all_cores(2, worth=0.0) as cores:
        compare_plans(variants, step, runner=cores.run)
    for child in multiprocessing.active_children():
        child.join(20)
    assert multiprocessing.active_children() == []


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no process groups here")
def test_ctrl_c_stops_all_processes_of_the_command(tmp_path: Path) -> None:
    (tmp_path / "pouch.toml").write_text(demo_text(), encoding="utf-8")
    words = ["compare", "pouch.toml", "--pattern", "meander,grid", "--spacing", "3,3.5,4,4.5,5"]
    running = subprocess.Popen(  # noqa: S603 - our own words
        [sys.executable, "-m", "loftline", *words],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        with pytest.raises(subprocess.TimeoutExpired):
            running.wait(3)
        os.killpg(running.pid, signal.SIGINT)
        _, errors = running.communicate(timeout=60)
    finally:
        running.kill()
    assert running.returncode == 130
    assert errors == "loftline: Stopped.\n"


def test_a_pouch_of_the_demo_is_compared_in_its_own_units() -> None:
    project = parse_project(tomllib.loads(demo_text()))
    assert names(make_variants(project, angles=[30]))[1] == "channel, 30°"
