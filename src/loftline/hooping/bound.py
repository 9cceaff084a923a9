"""A proved least number of hoopings, for fields laid in any way upright or turned by a quarter.

Two arguments, both true of staggered fields too. Points of which no two fit into one field
need a field each (an independent set, found greedily). And no field holds more of the lines
than the richest place of its size: the whole length divided by that. A field that begins
between the corners of a grid lies within a window one cell larger each way, so the richest
window is a true upper bound.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from loftline.hooping.strips import Sewing
from loftline.values import Floats

_CELL_MM: Final = 2.0
_THINNED_MM: Final = 4.0
_LOOKS: Final = 16
_EXACT: Final = 1e-6


def least_hoopings(sewing: Sewing, field: tuple[float, float], *, turning: bool) -> int:
    """No arrangement of fields covers the lines with fewer than this."""
    if not len(sewing.points):
        return 0
    ways = [field, field[::-1]] if turning else [field]
    return max(_by_length(sewing, ways), _by_points(sewing.points, field, turning=turning))


def _by_length(sewing: Sewing, ways: list[tuple[float, float]]) -> int:
    place = np.floor((sewing.points - sewing.points.min(axis=0)) / _CELL_MM).astype(np.int64)
    shape = place.max(axis=0) + 1
    grid = np.zeros(shape + 1)
    np.add.at(grid, (place[:, 0] + 1, place[:, 1] + 1), sewing.weight)
    total = grid.cumsum(axis=0).cumsum(axis=1)
    richest = 0.0
    for width, height in ways:
        across, up = (math.ceil(side / _CELL_MM) + 1 for side in (width, height))
        across, up = min(across, int(shape[0])), min(up, int(shape[1]))
        window = total[across:, up:] - total[:-across, up:] - total[across:, :-up]
        richest = max(richest, float((window + total[:-across, :-up]).max()))
    return math.ceil(float(sewing.weight.sum()) / richest - 1e-9) if richest > 0 else 1


def _by_points(points: Floats, field: tuple[float, float], *, turning: bool) -> int:
    """The largest of some greedy sets of points that no field holds two of."""
    thin = np.unique(np.round(points / _THINNED_MM).astype(np.int64), axis=0, return_index=True)[1]
    rim = [points[:, 0].argmin(), points[:, 0].argmax(), points[:, 1].argmin()]
    left = points[np.union1d(thin, [*rim, points[:, 1].argmax()])]
    most = 1
    for look in range(_LOOKS):
        turn = 2 * math.pi * look / _LOOKS
        for bend in (0.0, 0.35):
            rank = left @ np.array([math.cos(turn), math.sin(turn)])
            rank = rank + bend * np.abs(left @ np.array([-math.sin(turn), math.cos(turn)]))
            most = max(most, _greedy(left[np.argsort(rank, kind="stable")], field, turning=turning))
    return most


def _greedy(points: Floats, field: tuple[float, float], *, turning: bool) -> int:
    count = 0
    while len(points):
        apart = np.abs(points - points[0])
        held = (apart <= np.asarray(field) + _EXACT).all(axis=1)
        if turning:
            held |= (apart <= np.asarray(field[::-1]) + _EXACT).all(axis=1)
        points = points[~held]
        count += 1
    return count
