"""Paths to lay stitches on, and what is measured of the stitches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from loftline.geometry import distance_along
from loftline.stitches.path import Path
from loftline.values import Floats, Ints, Kind, Sewn


def path_of(points: Floats | Sequence[tuple[float, float]], stitch: float) -> Path:
    """One run along one line."""
    array = np.array(points, float)
    n = len(array)
    starts = np.array([0, n])
    return Path(
        points=array,
        starts=starts,
        kind=np.zeros(n, np.int64),
        line=np.zeros(n, np.int64),
        stitch=np.full(n, stitch),
        joint=np.arange(n) == 0,
        node=np.concatenate([[0], np.full(n - 2, -1), [1]]),
        along=distance_along(array, starts),
        sewn=np.full(n, -1),
        sewn_to=np.full(n, -1),
        share=np.tile([0.0, 1.0], (n, 1)),
    )


def path_of_chains(points: Floats, stitch: float) -> Path:
    """Lines of two points, a run each."""
    n = len(points)
    starts = np.arange(0, n + 1, 2)
    return Path(
        points=points,
        starts=starts,
        kind=np.zeros(n, np.int64),
        line=np.repeat(np.arange(n // 2), 2),
        stitch=np.full(n, stitch),
        joint=np.arange(n) % 2 == 0,
        node=np.arange(n),
        along=distance_along(points, starts),
        sewn=np.full(n, -1),
        sewn_to=np.full(n, -1),
        share=np.tile([0.0, 1.0], (n, 1)),
    )


def close_holes(sewn: Sewn, within: float = 0.5) -> tuple[npt.NDArray[np.float64], Ints]:
    """Needle points of different stitches nearer than so many mm, those of ties apart.

    Returns:
        Their distances, and the pairs, ``(k, 2)``.
    """
    where = np.flatnonzero(sewn.kind != Kind.TIE)
    if not len(where):
        return np.empty(0), np.empty((0, 2), np.int64)
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    pairs = where[cKDTree(xy[where]).query_pairs(within - 1e-6, output_type="ndarray")]
    next_to = (np.diff(pairs, axis=1)[:, 0] == 1) & (sewn.run[pairs[:, 0]] == sewn.run[pairs[:, 1]])
    pairs = pairs[~next_to]
    return np.hypot(*(xy[pairs[:, 0]] - xy[pairs[:, 1]]).T), pairs
