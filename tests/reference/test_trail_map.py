"""A map of hiking trails with two published tours.

``trail-map.csv`` holds the lengths of the second example of the PyPI package postman-problems
0.3 (MIT licence), its nodes numbered: 78 nodes, 133 trails, 121 of them required. The package
publishes both tours, in its README and in its tests.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from support_postman import Net, walked_cost

_MAP = Path(__file__).with_name("trail-map.csv")


def trails() -> Net:
    """The whole map, lengths in hundredths of a mile."""
    start, end, length, required = np.loadtxt(_MAP, np.int64, delimiter=",").T
    return Net(u=start, v=end, cost=length.astype(float), required=required == 1)


def test_the_required_trails_with_short_cuts() -> None:
    net = trails()
    walks = net.plan()
    assert walks.cost == pytest.approx(3212)
    assert walks.optimal
    assert walked_cost(net, walks, None) == pytest.approx(3212)


def test_the_required_trails_by_themselves() -> None:
    net = trails()
    must = net.required
    alone = Net(u=net.u[must], v=net.v[must], cost=net.cost[must], required=must[must])
    walks = alone.plan()
    assert walks.cost == pytest.approx(3325)
    assert walks.optimal
    assert walked_cost(alone, walks, None) == pytest.approx(3325)
