"""Which places lie near each other, where "near" may change from place to place."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from loftline.fills.meander.loop import Loop, as_points
from loftline.values import Floats, Ints

BAND = 1.3
"""Reach changes by at most this factor within what is searched at once."""


def near_pairs(places: Loop, reach: Floats) -> tuple[Ints, Ints]:
    """Pairs of places nearer to each other than the larger of their reaches.

    Args:
        places: ``(n,)``.
        reach: ``(n,)`` more than 0.

    Returns:
        Indices of the one and the other, each pair once. O(n log n).
    """
    if not len(places):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    least, most = float(reach.min()), float(reach.max())
    if most <= least * (1 + 1e-9):
        pairs = cKDTree(as_points(places)).query_pairs(most, output_type="ndarray")
        return np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1])
    band = np.floor(np.log(reach / least) / np.log(BAND)).astype(np.int64)
    found = []
    for number in range(int(band.max()) + 1):
        top = least * BAND ** (number + 1)
        own = np.flatnonzero(band == number)
        rest = np.flatnonzero(band <= number)
        if not len(own):
            continue
        # the pair belongs to the band of the farther reaching of the two
        tree = cKDTree(as_points(places[rest]))
        pairs = rest[_of_band(tree, cKDTree(as_points(places[own])), own, rest, top)]
        found.append(pairs)
    pairs = np.concatenate(found)
    size = np.abs(places[pairs[:, 0]] - places[pairs[:, 1]])
    pairs = pairs[size < np.maximum(reach[pairs[:, 0]], reach[pairs[:, 1]])]
    return np.ascontiguousarray(pairs[:, 0]), np.ascontiguousarray(pairs[:, 1])


def _of_band(rest_tree: cKDTree, own_tree: cKDTree, own: Ints, rest: Ints, top: float) -> Ints:
    """Pairs with at least one place of the band, as indices into the rest."""
    near = own_tree.sparse_distance_matrix(rest_tree, top, output_type="ndarray")
    own_at = np.searchsorted(rest, own)
    first, second = own_at[near["i"]], near["j"].astype(np.int64)
    is_own = np.zeros(len(rest), bool)
    is_own[own_at] = True
    once = (first < second) | ~is_own[second]
    pairs: Ints = np.stack([first[once], second[once]], axis=1)[first[once] != second[once]]
    return pairs
