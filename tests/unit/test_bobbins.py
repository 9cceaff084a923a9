"""Where a full bobbin goes in."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.estimates.bobbins import make_bobbins
from loftline.estimates.report import make_report
from loftline.project import Project
from loftline.trade.bobbins import BOBBINS
from loftline.values import Bobbins, Floats, Kind, Sewn
from support_sewn import lines, panel, project, row, runs, sewn


def with_bobbin(metres: float, copies: int = 1) -> Project:
    return project(copies=copies, thread={"bobbin": {"metres": metres}})


def one_mm_each(plan: Sewn) -> Floats:
    """A millimetre of bobbin thread for each stitch."""
    used = np.ones(len(plan))
    used[np.append(True, np.diff(plan.run) != 0)] = 0
    return used


def found(metres: float, plan: Sewn, copies: int = 1, tail: float = 0.0) -> Bobbins:
    return make_bobbins(with_bobbin(metres, copies), plan, one_mm_each(plan), tail)


THREE_RUNS = sewn(row(300), row(300, y=12), row(300, y=24))  # 100 stitches each


def test_one_bobbin_is_enough() -> None:
    bobbins = found(0.3, THREE_RUNS)
    assert bobbins.changes == ()
    assert bobbins.left == pytest.approx(0)


def test_a_full_bobbin_goes_in_before_the_run_that_would_not_end() -> None:
    (change,) = found(0.299, THREE_RUNS).changes
    assert (change.bag, change.run, change.point) == (1, 2, None)


def test_what_is_left_is_told() -> None:
    assert found(0.299, THREE_RUNS).left == pytest.approx(199)


def test_what_is_left_of_one_bag_is_sewn_into_the_next() -> None:
    # 300 mm a bag, 450 mm a bobbin: it lasts to the middle of the second bag's second run
    changes = found(0.45, THREE_RUNS, copies=3).changes
    assert [(change.bag, change.run) for change in changes] == [(2, 1), (3, 2)]


def test_tails_are_gone_with_the_run_they_belong_to() -> None:
    # 100 mm and two tails of 25 mm for each run: 450 mm in all
    assert found(0.45, THREE_RUNS, tail=25).changes == ()
    (change,) = found(0.449, THREE_RUNS, tail=25).changes
    assert change.run == 2


def test_a_run_longer_than_a_bobbin_is_stopped_where_the_needle_travels() -> None:
    kinds = np.full(301, int(Kind.LINE))
    kinds[80:91] = int(Kind.TRAVEL)
    plan = sewn(row(900), kind=[Kind(kind) for kind in kinds])
    first, second, third = found(0.1, plan).changes
    assert (first.run, first.point, first.on_travel) == (0, 90, True)
    assert first.at == (270.0, 0.0)
    # then 100 stitches on, within a line
    assert (second.point, second.on_travel) == (190, False)
    assert (third.point, third.on_travel) == (290, False)


def test_no_bobbin_is_ever_asked_for_more_than_it_holds() -> None:
    rng = np.random.default_rng(3)
    for _ in range(200):
        plan = sewn(*(row(3 * int(n), y=9 * i) for i, n in enumerate(rng.integers(1, 60, 7))))
        copies, metres = int(rng.integers(1, 6)), float(rng.uniform(0.02, 0.3))
        tail = float(rng.uniform(0, 9))
        bobbins = found(metres, plan, copies, tail)
        used, first = one_mm_each(plan), np.append(True, np.diff(plan.run) != 0)
        used[first] += 2 * tail
        upto = np.cumsum(np.tile(used, copies))
        starts = np.append(0.0, np.cumsum(used))[np.flatnonzero(first)]
        one = float(used.sum())
        marks = [0.0]
        for change in bobbins.changes:
            inside = starts[change.run] if change.point is None else np.cumsum(used)[change.point]
            marks.append((change.bag - 1) * one + float(inside))
        marks.append(float(upto[-1]))
        assert (np.diff(marks) <= metres * 1000 + 1e-3).all()
        assert (np.diff(marks) > 0).all()


def test_a_line_is_never_interrupted_where_a_run_or_a_way_is_in_reach() -> None:
    rng = np.random.default_rng(11)
    within_a_line = 0
    for _ in range(200):
        counts = rng.integers(2, 90, 4)
        kinds = [
            Kind.TRAVEL if rng.random() < 0.03 else Kind.LINE
            for _ in range(int((counts + 1).sum()))
        ]
        plan = sewn(*(row(3 * int(n), y=9 * i) for i, n in enumerate(counts)), kind=kinds)
        metres = float(rng.uniform(0.015, 0.12))
        first = np.append(True, np.diff(plan.run) != 0)
        upto = np.cumsum(one_mm_each(plan))
        before = -1
        for change in found(metres, plan).changes:
            start = int(np.flatnonzero(first)[change.run])
            if change.point is None:
                before = start - 1
                continue
            # the run alone takes more than what is on a full bobbin
            assert upto[plan.run == change.run].max() - upto[start] > metres * 1000
            if not change.on_travel:
                within_a_line += 1
                reach = slice(max(before, start) + 1, change.point + 1)
                assert int(Kind.TRAVEL) not in plan.kind[reach]
            before = change.point
    assert within_a_line > 20


def test_an_untold_bobbin_is_the_usual_one() -> None:
    bobbins = make_bobbins(project(), THREE_RUNS, one_mm_each(THREE_RUNS), 0)
    assert (bobbins.told, bobbins.metres) == (False, BOBBINS[0].metres(25))


def test_the_report_says_where() -> None:
    given = project(copies=2, thread={"bobbin": {"metres": 2}}, layers={"sewn_thickness": 2})
    # 3 + 2 mm a stitch, 100 stitches and 100 mm of tails: 600 mm a run
    report = make_report(given, panel(), lines(), runs(), THREE_RUNS)
    said = next(
        sentence for sentence in report.advice if "bobbin" in sentence and "wind" in sentence
    )
    assert "wind 2" in said
    assert "before run 1 of bag 2" not in said
    assert "before bag 2" in said
