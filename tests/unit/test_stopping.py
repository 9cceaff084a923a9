"""Work on the network and its runs can be stopped at every progress step."""

from __future__ import annotations

import pytest

from loftline.errors import Cancelled
from loftline.runs import RULES, Practice, make_network, plan_runs
from loftline.runs.orders import plan_by_habit
from loftline.values import ClosedEdge
from support_bench import laid_out, square

NAMES = {"network", "runs", "links", "trails"}


class Stop:
    """A progress callback that raises at a given step and notes the names it heard."""

    def __init__(self, at: int) -> None:
        self.at = at
        self.heard: list[str] = []

    def __call__(self, name: str, done: int, total: int) -> None:
        assert 0 <= done <= total
        self.heard.append(name)
        if len(self.heard) - 1 == self.at:
            raise Cancelled


def test_every_step_can_be_the_last() -> None:
    panel, lines = laid_out(square(300, 2))

    def work(step: Stop) -> None:
        plan_runs(make_network(panel, lines, step), seed=7, step=step)

    whole = Stop(-1)
    work(whole)
    assert set(whole.heard) >= NAMES
    for at in range(len(whole.heard)):
        stop = Stop(at)
        with pytest.raises(Cancelled):
            work(stop)
        assert stop.heard == whole.heard[: at + 1]


@pytest.mark.parametrize("order", sorted(RULES))
def test_an_order_by_habit_can_be_stopped_at_every_step(order: str) -> None:
    panel, lines = laid_out(square(300, 2))
    network = make_network(panel, lines)
    edge = ClosedEdge(name="bottom", at=(150, 0), inward=(0, 1))

    def work(step: Stop) -> None:
        plan_by_habit(network, lines, order, Practice(closed_edge=edge), step=step)

    whole = Stop(-1)
    work(whole)
    assert "orders" in whole.heard
    for at in range(len(whole.heard)):
        stop = Stop(at)
        with pytest.raises(Cancelled):
            work(stop)
        assert stop.heard == whole.heard[: at + 1]
