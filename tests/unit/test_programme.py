"""The linear programme: solved in portions, between which the work may be stopped."""

from __future__ import annotations

import pytest

from loftline.errors import Cancelled
from loftline.runs import programme
from loftline.runs.cuts import first_cuts
from loftline.runs.programme import GoingOn, Solution, make_programme
from loftline.runs.task import Task
from support_postman import neighbours


def solved(pauses: list[int]) -> Solution:
    """The first relaxation of a network; a pause is put down each time."""
    net = neighbours(120, 0.35, 3)
    rural = Task(net.u, net.v, net.cost, net.required, None, None).rural()
    cuts = first_cuts(rural)
    made = make_programme(rural.cost[rural.column] / 1000)
    assert isinstance(made, GoingOn)
    made.add(cuts.sign, cuts.least)
    found = made.solve(lambda: pauses.append(len(pauses)))
    assert found is not None
    return found


def test_portions_lead_to_the_same_least(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("highspy")
    net = neighbours(120, 0.35, 3)
    rural = Task(net.u, net.v, net.cost, net.required, None, None).rural()
    cost = rural.cost[rural.column] / 1000
    at_once: list[int] = []
    whole = solved(at_once)
    monkeypatch.setattr(programme, "_PORTION", 7)
    in_portions: list[int] = []
    parts = solved(in_portions)
    assert len(at_once) == 0
    assert len(in_portions) > 3
    assert cost @ parts.x == pytest.approx(cost @ whole.x)


def test_a_programme_can_be_stopped_between_portions(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("highspy")
    monkeypatch.setattr(programme, "_PORTION", 7)

    class Stopping(list[int]):
        def append(self, item: int) -> None:
            super().append(item)
            if len(self) == 2:
                raise Cancelled

    pauses = Stopping()
    with pytest.raises(Cancelled):
        solved(pauses)
    assert len(pauses) == 2


def test_portions_end_at_last(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("highspy")
    monkeypatch.setattr(programme, "_PORTION", 7)
    monkeypatch.setattr(programme, "_MOST_PORTIONS", 2)
    with pytest.raises(programme.Unsolved):
        solved([])
