"""A walk bettered place by place: regions are taken out of it and swept by themselves.

Where the front of a whole network is too wide for a sweep, that of some dozens of its nodes
seldom is. For networks that are too large for a relaxation, which would tell where to look.
"""

from __future__ import annotations

import numpy as np

from loftline.errors import Step
from loftline.runs.fronts import find_front
from loftline.runs.regions import around, nearby_of
from loftline.runs.rural import Rural
from loftline.runs.sweep import sweep
from loftline.values import Ints

_REGION = 60
"""Nodes of a region; three times as many take four times as long and gain hardly more."""

_STATES = 300
"""To look at for each edge of a region."""

_WORK = 8_000_000
"""Edges of the whole times regions: taking one out goes over all edges."""

_ROUNDS = 2


def mended(rural: Rural, walked: Ints, effort: float, rng: np.random.Generator, step: Step) -> Ints:
    """The walk, or a cheaper one.

    Args:
        rural: the task.
        walked: ``(m,)`` a walk of it.
        effort: 1 is the usual.
        rng: for the order of the regions.
        step: progress callback.
    """
    left = int(effort * _WORK / max(1, len(rural.u)))
    cost = int(rural.cost @ walked)
    graph = nearby_of(rural)
    nodes = np.unique(rural.u[rural.origin >= 0])
    for turn in range(_ROUNDS):
        seen = np.zeros(rural.size, bool)
        for node in rng.permutation(nodes).tolist():
            if seen[node]:
                continue
            if left <= 0:
                return walked
            left -= 1
            step("joining", turn, _ROUNDS)
            seen[node] = True
            region = around(rural, walked, node, _REGION, graph)
            front = None if region is None else find_front(region.rural)
            if region is None or front is None:
                continue
            seen[rural.u[region.free]] = seen[rural.v[region.free]] = True
            work = _STATES * len(region.rural.u)
            found = sweep(region.rural, front, region.cost, work=work, step=step).walked
            if found is None:
                continue
            better = region.put_back(walked, found)
            price = int(rural.cost @ better)
            if price < cost and rural.even(better) and rural.joined(better):
                walked, cost = better, price
    return walked
