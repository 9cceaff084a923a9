"""The looks that judge random plans: each sees the fault it is there for, and they see enough."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings

import support_looks as looks
from loftline.plan import make_plan
from loftline.project import Project, parse_project
from loftline.project.panel_tables import PanelShape
from loftline.values import Plan
from loftline.writers import write_files
from support import projects
from support_looks import Thread
from support_shapes import SHAPES, grounds

PANEL = {
    "shape": "rectangle",
    "width": 160,
    "height": 120,
    "folds": [{"name": "fold", "from": [0, 60], "to": [160, 60], "closed_to": "both"}],
    "darts": [{"corner": "upper right", "unit": 20}],
}
POST = {
    "name": "post",
    "kind": "post",
    "at": [50, 30],
    "diameter": 12,
    "fitted": "before quilting",
    "sits": "above",
}
LABEL = {"name": "label", "shape": "rectangle", "at": [110, 30], "width": 20, "height": 10}


@pytest.fixture(scope="module")
def plan() -> Plan:
    foot = {"left": 5, "right": 5, "front": 8, "back": 8}
    document: dict[str, Any] = {
        "panel": PANEL,
        "hardware": [POST],
        "keep_outs": [LABEL | {"clearance": 0}],
        "fills": [{"pattern": "channel", "angle": 0, "spacing": 8}],
        "machine": {"guided": "hand", "foot": foot},
    }
    return make_plan(parse_project(document))


def thread_of(plan: Plan) -> Thread:
    (data,) = write_files(plan, ("dst",)).values()
    return looks.dst_thread(data, plan.sewn.origin)


def test_a_dst_file_is_read_as_it_was_sewn(plan: Plan) -> None:
    thread = thread_of(plan)
    sewn = np.column_stack([plan.sewn.x, plan.sewn.y]) / 10
    assert len(thread.runs) == plan.report.runs
    assert len(thread.runs) > 1
    assert np.allclose(np.concatenate(thread.runs), sewn)
    assert np.allclose(thread.moves[0][0], np.array(plan.sewn.origin) / 10)
    for move, before, run in zip(thread.moves[1:], thread.runs, thread.runs[1:], strict=False):
        assert np.allclose(move[[0, -1]], [before[-1], run[0]])


def test_the_looks_find_nothing_in_a_good_plan(plan: Plan) -> None:
    (data,) = write_files(plan, ("dst",)).values()
    looks.check_thread(plan, data)


def with_stitch(plan: Plan, start: tuple[float, float], end: tuple[float, float]) -> Thread:
    """The plan's thread with its last stitch in another place."""
    thread = thread_of(plan)
    spoilt = thread.runs[-1].copy()
    spoilt[-2:] = [start, end]
    return replace(thread, runs=(*thread.runs[:-1], spoilt))


@pytest.mark.parametrize(
    ("look", "start", "end"),
    [
        # the post's hard edge lies 6 mm from (50, 30), so at x = 44; 6.35 mm are kept from it
        (looks.check_clear, (37.7, 27.0), (37.7, 33.0)),
        # of the label nothing is kept: x from 100 to 120, y from 25 to 35
        (looks.check_clear, (99.0, 30.0), (100.2, 30.0)),
        # the foot reaches 8 mm ahead and 5 aside: its corner is the first to touch
        (looks.check_foot, (33.0, 26.0), (36.3, 26.0)),
        (looks.check_foot, (39.2, 20.0), (39.2, 23.0)),
        # the dart's seam allowance of 10 mm, its legs from (140, 120) and (160, 100)
        (looks.check_darts, (132.0, 110.0), (133.0, 110.0)),
        # the cloth ends 25 mm beyond the outline
        (looks.check_within, (-25.5, 10.0), (-24.0, 10.0)),
    ],
)
def test_a_look_sees_a_stitch_in_the_wrong_place(
    plan: Plan,
    look: Callable[[Plan, Thread], None],
    start: tuple[float, float],
    end: tuple[float, float],
) -> None:
    with pytest.raises(AssertionError):
        look(plan, with_stitch(plan, start, end))


@pytest.mark.parametrize(
    ("look", "start", "end"),
    [
        (looks.check_clear, (37.6, 27.0), (37.6, 33.0)),
        (looks.check_clear, (99.0, 30.0), (100.0, 30.0)),
        (looks.check_foot, (38.9, 20.0), (38.9, 23.0)),
        (looks.check_within, (-25.0, 10.0), (-24.0, 10.0)),
    ],
)
def test_a_look_lets_pass_what_is_just_far_enough(
    plan: Plan,
    look: Callable[[Plan, Thread], None],
    start: tuple[float, float],
    end: tuple[float, float],
) -> None:
    look(plan, with_stitch(plan, start, end))


@pytest.mark.parametrize("word", ["line", "travel", "double"])
def test_a_look_sees_a_stitch_across_a_closed_fold(plan: Plan, word: str) -> None:
    kind = plan.sewn.kind.copy()
    kind[-1] = looks.plan_kind(word)
    kind[-2] = looks.plan_kind("tie")  # what leads there is judged by its line
    crosses = replace(plan, sewn=replace(plan.sewn, kind=kind))
    looks.check_folds(crosses, with_stitch(plan, (20.0, 57.0), (20.0, 59.9)))
    with pytest.raises(AssertionError):
        looks.check_folds(crosses, with_stitch(plan, (20.0, 59.0), (20.0, 61.0)))


def test_a_look_sees_a_move_over_what_stands_above(plan: Plan) -> None:
    thread = thread_of(plan)
    moves = (*thread.moves, np.array([[20.0, 30.0], [80.0, 30.0]]))
    with pytest.raises(AssertionError):
        looks.check_moves(plan, replace(thread, moves=moves))


def test_every_shape_but_the_drawn_one_is_drawn_at_random() -> None:
    assert set(SHAPES) == set(get_args(PanelShape)) - {"file"}


def test_random_projects_hold_enough_of_everything() -> None:
    """Else the promises would be tested on bare panels, were everything refused."""
    seen: Counter[str] = Counter()

    def look(project: Project) -> None:
        panel = project.panel
        seen.update(f"{panel.shape} mate" for piece in project.hardware if piece.mate)
        seen.update(f"zone {zone.shape}" for zone in project.keep_outs)
        seen.update(type(piece.at).__name__ for piece in project.hardware)
        for dart in panel.darts:
            kind = "corner" if dart.corner else "fold" if dart.fold else "points"
            seen[f"dart by {kind}"] += 1
        seen.update(f"closed to {fold.closed_to}" for fold in panel.folds)
        seen.update(fill.pattern for fill in project.fills)
        seen["part"] += sum(fill.part != "all" for fill in project.fills)
        seen["foot"] += project.machine.foot is not None

    bounds = settings(
        max_examples=28,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    for shape in SHAPES:
        bounds(given(project=projects(on=grounds(shape)))(look))()
    folded = ("folded pouch", "flat sleeve", "strap", "rectangle", "polygon")
    wanted = [
        *(f"{shape} mate" for shape in folded),
        *(f"zone {shape}" for shape in ("circle", "rectangle", "polygon")),
        *(f"dart by {way}" for way in ("corner", "fold", "points")),
        *(f"closed to {what}" for what in ("quilting", "travel", "both")),
        *("tuple", "EdgePlace", "EdgeRow"),
        *("channel", "grid", "meander", "part", "foot"),
    ]
    assert not [thing for thing in wanted if seen[thing] < 3], seen
