"""Steps between lines, less those that begin where a border cut a line."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from loftline.geometry import ranges
from loftline.values import Bools, Floats, Network, Way

_SAME_MM: Final = 1.0


def without_border_steps(network: Network, tips: Floats, whole: Network) -> Network:
    """The network of one hooping without steps along its borders, where they would show.

    Lines that run on in another hooping are none to step between; only those that needed
    steps on the undivided panel do here.

    Args:
        network: of the hooping.
        tips: ``(t, 2)`` where its pieces of lines end because a border cut them.
        whole: of the undivided panel.
    """
    steps: Bools = np.asarray(network.way == Way.STEP)
    if not steps.any():
        return network
    drop = steps
    if (whole.way == Way.STEP).any():
        drop = np.zeros(len(network.u), bool)
        if len(tips):
            far, _ = cKDTree(tips).query(network.nodes)
            at_tip: Bools = np.asarray(far < _SAME_MM, np.bool_)
            drop = steps & np.asarray(at_tip[network.u] | at_tip[network.v])
    return _only(network, ~drop)


def _only(network: Network, keep: Bools) -> Network:
    size = np.diff(network.starts)[keep]
    return replace(
        network,
        u=network.u[keep],
        v=network.v[keep],
        way=network.way[keep],
        required=network.required[keep],
        line=network.line[keep],
        length=network.length[keep],
        cost=network.cost[keep],
        points=network.points[ranges(network.starts[:-1][keep], size)],
        starts=np.concatenate([[0], np.cumsum(size)]).astype(np.int64),
        once=None if network.once is None else network.once[keep],
        fill=None if network.fill is None else network.fill[keep],
    )
