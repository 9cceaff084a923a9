"""Regions of a walk swept by themselves: no dearer, still a walk, and mostly cheaper."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.errors import Cancelled, does_nothing
from loftline.runs.mending import mended
from loftline.runs.rural import Rural
from loftline.runs.starts import tree_walk
from loftline.runs.task import Task
from loftline.values import Ints
from support_postman import neighbours


def begun(seed: int) -> tuple[Rural, Ints]:
    """Lines in many pieces, and a first walk that joins them along a tree."""
    net = neighbours(150, 0.3, seed)
    ends = np.full(int(max(net.u.max(), net.v.max())) + 1, 15.0)
    rural = Task(net.u, net.v, net.cost, net.required, ends, None).rural()
    walked = tree_walk(rural, rural.cost.astype(float))
    assert walked is not None
    return rural, walked


@pytest.mark.parametrize("seed", range(6))
def test_a_mended_walk_is_a_walk_and_cheaper(seed: int) -> None:
    rural, walked = begun(seed)
    better = mended(rural, walked, 1.0, np.random.default_rng(seed), does_nothing)
    assert rural.even(better)
    assert rural.joined(better)
    assert (better <= rural.most).all()
    assert rural.cost @ better < rural.cost @ walked


def test_the_same_seed_mends_alike() -> None:
    rural, walked = begun(2)
    one, other = (
        mended(rural, walked, 1.0, np.random.default_rng(5), does_nothing) for _ in range(2)
    )
    assert np.array_equal(one, other)


def test_without_effort_the_walk_stays() -> None:
    rural, walked = begun(2)
    same = mended(rural, walked, 0.0, np.random.default_rng(0), does_nothing)
    assert np.array_equal(same, walked)


def test_mending_can_be_stopped() -> None:
    def stop(name: str, done: int, total: int) -> None:
        raise Cancelled(name, done, total)

    rural, walked = begun(2)
    with pytest.raises(Cancelled):
        mended(rural, walked, 1.0, np.random.default_rng(0), stop)
