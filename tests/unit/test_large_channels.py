"""Channels are planned at their least cost whatever their number, if not across too much."""

from __future__ import annotations

import numpy as np
import pytest

from loftline.runs import plan_runs
from loftline.runs.solving import _MOST_EDGES
from support_bench import drawn, laid_out, ordered, square, strip


def test_more_than_twenty_thousand_edges_are_proved_the_least() -> None:
    network, runs = ordered(*drawn(strip(19_200, 120)))
    assert len(network.u) > 20_000
    assert runs.optimal


@pytest.mark.nightly
def test_many_keep_outs_are_mended_region_by_region() -> None:
    # 120 on 1.2 m: too many beside each other for a sweep, too many edges for a relaxation
    fill = {"pattern": "channel", "angle": 20, "spacing": 3}
    panel, lines = laid_out(square(1200, 120) | {"fills": [fill]})
    network, runs = ordered(panel, lines)
    assert len(network.u) > _MOST_EDGES
    without = plan_runs(network, seed=7, effort=0.0)
    assert runs.cost < 0.95 * without.cost
    once = runs.edges[network.required[runs.edges] & ~runs.repeat]
    assert np.array_equal(np.sort(once), np.flatnonzero(network.required))
