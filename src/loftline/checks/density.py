"""Needle holes that crowd: too many of them cut the fabric like a stamp."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, eye_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import SAME_PLACE_MM
from loftline.values import Floats, Ints, Kind, Sewn

from .segments import count_of

CROWD_RADIUS_MM = 0.4
CROWD = 4
"""More needle points than this within the radius of one of them (itself counted) crowd."""


def check_density(sewn: Sewn) -> tuple[Finding, ...]:
    """One finding on all places where needle points crowd, naming the worst.

    The needle points of a tie are meant to be close, so a tie counts once at any place,
    however many of its needle points lie there. All others count each time, in the same
    hole too. Crowded holes within the radius of each other are one place. O(n log n): needle
    points in one hole are counted together first, and on the grid of tenths no more than 49
    holes lie within the radius.
    """
    if not len(sewn):
        return ()
    holes, entered, tied = _holes(sewn)
    pairs = cKDTree(holes).query_pairs(CROWD_RADIUS_MM + SAME_PLACE_MM, output_type="ndarray")
    count = _count(sewn, entered, tied, pairs)
    crowded = count > CROWD
    if not crowded.any():
        return ()
    _, place_of = connected_components(
        _links(pairs[crowded[pairs].all(axis=1)], len(holes)), directed=False
    )
    places = len(np.unique(place_of[crowded]))
    worst = int(np.argmax(count))
    return (
        Finding(
            code="holes-crowded",
            severity="warning",
            where=f"near {place(holes[worst])}",
            message=f"more than {CROWD} needle holes lie within {CROWD_RADIUS_MM:g} mm of each "
            f"other at {count_of(places, 'place', 'places')}, the most {int(count[worst])}",
            remedy="take a wider spacing or other angles, so that fewer lines meet in one point",
        ),
    )


def _holes(sewn: Sewn) -> tuple[Floats, Ints, Ints]:
    """Distinct holes in mm, how often each is entered, and the hole of each tie's point."""
    left, low = sewn.x.min(), sewn.y.min()
    rows = int(sewn.y.max() - low) + 1
    key = (sewn.x - left) * rows + (sewn.y - low)
    keys, entered = np.unique(key, return_counts=True)
    holes = np.column_stack([keys // rows + left, keys % rows + low]) / 10
    return holes, entered, np.searchsorted(keys, key[sewn.kind == Kind.TIE])


def _count(sewn: Sewn, entered: Ints, tied: Ints, pairs: Ints) -> Ints:
    """Needle points near each hole, itself counted, each tie once."""
    size = len(entered)
    alone = entered - np.bincount(tied, minlength=size)
    count: Ints = (
        alone
        + np.bincount(pairs[:, 0], alone[pairs[:, 1]], size).astype(np.int64)
        + np.bincount(pairs[:, 1], alone[pairs[:, 0]], size).astype(np.int64)
    )
    if len(tied):
        tie = sewn.kind == Kind.TIE
        begins = tie.copy()
        begins[1:] &= ~tie[:-1] | (sewn.run[1:] != sewn.run[:-1])
        number = np.cumsum(begins)[tie] - 1
        holds = coo_array((np.ones(len(tied)), (tied, number)), (size, int(number[-1]) + 1))
        near = _links(pairs, size)
        reaches = (near + near.T + eye_array(size)).tocsr() @ holds.tocsr()
        count += np.diff(reaches.indptr)
    return count


def _links(pairs: Ints, size: int) -> coo_array:
    return coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), (size, size))
