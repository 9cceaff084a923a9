"""Needle holes side by side, in cloth that keeps every hole."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Kind, Sewn

from .segments import count_of

APART_MM = 0.5
"""Two holes of a needle of 0.9 mm so near are one slit."""

_SIDE_BY_SIDE = (Kind.LINE, Kind.TRAVEL, Kind.DOUBLE)


def check_holes(sewn: Sewn) -> tuple[Finding, ...]:
    """One note on all holes of different stitches nearer than half a millimetre.

    Ties are meant to be close and do not count, nor do the two ends of one stitch, nor what is
    picked out again, crosses and loose lines that hold the panel. For cloth in
    which every hole stays, such as waxed or coated cloth; any other closes again.

    Returns:
        One finding at most; O(n log n) in the needle points.
    """
    free = np.flatnonzero(np.isin(sewn.kind, _SIDE_BY_SIDE))
    if len(free) < 2:
        return ()
    points = np.column_stack([sewn.x[free], sewn.y[free]]) / 10
    pairs = cKDTree(points).query_pairs(APART_MM - SAME_PLACE_MM, output_type="ndarray")
    number, run = free[pairs], sewn.run[free][pairs]
    pairs = pairs[(np.diff(number, axis=1)[:, 0] > 1) | (run[:, 0] != run[:, 1])]
    if not len(pairs):
        return ()
    links = coo_array((np.ones(len(pairs)), pairs.T), (len(points), len(points)))
    _, label = connected_components(links, directed=False)
    places = len(np.unique(label[pairs[:, 0]]))
    apart = np.hypot(*(points[pairs[:, 0]] - points[pairs[:, 1]]).T)
    nearest = points[pairs[int(np.argmin(apart)), 0]]
    return (
        Finding(
            code="holes-close",
            severity="note",
            where=f"near {place(nearest)}",
            message=f"at {count_of(places, 'place', 'places')} needle holes of different stitches "
            f"lie within {format_length(APART_MM)} of each other, and this cloth keeps its holes",
            remedy="take a fine needle; another spacing, stitch length or sewing order lays the "
            "holes otherwise",
        ),
    )
