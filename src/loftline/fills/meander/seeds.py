"""Seed points: the places a meander's fingers grow from.

Two kinds. In the open, points spread evenly but without rows (random points drawn toward the
middle of their cells, after Lloyd 1982). In necks, corners and strips, where no such point
has room, points along the ridge: the places that have two edges equally near.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import cKDTree

from loftline.fills.meander.depth import Depth
from loftline.fills.meander.loop import Loop, as_points
from loftline.values import Floats

OPEN_DEPTH = 0.6
"""From this depth on (in spacings) there is room for seeds in the open."""
HELD_DEPTH = 0.5
"""A seed drawn toward the edge beyond this depth is dropped."""
SEED_DISTANCE = 2.2
"""Between seeds in the open: a finger with its two sides and the gaps beside it."""
LEAST_DEPTH = 0.15
"""No seed lies nearer to the edge; see :func:`tree.triangulate` for why that matters."""
SAMPLES_A_SEED = 30
LLOYD_PASSES = 3
RIDGE_SLOPE = 0.8
"""Depth grows by 1 per unit away from a single edge; well below that two edges pull."""
STEEP = 0.5
MOST_STEPS = 64
"""Of one cell each, uphill; at least half of each counts, so 4 spacings are climbed."""
RIDGE_ROOM = 0.7
"""Every place on the ridge has a seed nearer than this share of its depth. The disc of that
depth holds no edge, and the points of a triangulation within one disc hang together: so do
the seeds along a ridge."""


def open_seeds(depth: Depth, spacing: float, rng: np.random.Generator) -> Loop:
    """Evenly spread random seeds where the area is deep.

    Args:
        depth: depths of the area.
        spacing: wanted distance between neighbouring lines.
        rng: source of every random choice.

    Returns:
        Complex places, about one to ``0.866 (2.2 spacing)²`` of the deep area.
    """
    knots = np.flatnonzero(depth.table[:, 0] >= OPEN_DEPTH * spacing)
    a = SEED_DISTANCE * spacing
    count = round(len(knots) * depth.cell**2 / (math.sqrt(0.75) * a * a))
    if len(knots) == 0:
        return np.empty(0, np.complex128)
    count = max(count, 1)
    picked = rng.integers(len(knots), size=SAMPLES_A_SEED * count)
    jitter = rng.uniform(-0.5, 0.5, (2, len(picked))) * depth.cell
    samples = depth.places(knots[picked]) + jitter[0] + 1j * jitter[1]
    seeds = samples[:count].copy()
    for _ in range(LLOYD_PASSES):
        _, owner = cKDTree(as_points(seeds)).query(as_points(samples))
        share = np.bincount(owner, minlength=count)
        owned = share > 0
        seeds.real[owned] = np.bincount(owner, samples.real, count)[owned] / share[owned]
        seeds.imag[owned] = np.bincount(owner, samples.imag, count)[owned] / share[owned]
    # the middle of a cell bent round a keep-out may lie inside that keep-out
    roomy: Loop = seeds[depth.at(seeds)[0] >= HELD_DEPTH * spacing]
    return roomy


def ridge_seeds(depth: Depth, spacing: float, taken: Loop, up_to: float) -> Loop:
    """Seeds along the ridge of the shallow places, the deepest first.

    Args:
        depth: depths of the area.
        spacing: wanted distance between neighbouring lines.
        taken: seeds that are there already; new ones keep away from them.
        up_to: how deep the ridge is followed, in spacings.

    Returns:
        Complex places, none shallower than :data:`LEAST_DEPTH` spacings.
    """
    table = depth.table
    slope = np.hypot(table[:, 1], table[:, 2])
    knots = np.flatnonzero(
        (table[:, 0] > LEAST_DEPTH * spacing - depth.cell)
        & (table[:, 0] < up_to * spacing)
        & (slope < RIDGE_SLOPE)
    )
    if len(knots) == 0:
        return np.empty(0, np.complex128)
    # one Newton step across the ridge: the slope there falls from 1 to -1 within a cell
    places = depth.places(knots) + depth.cell * (table[knots, 1] + 1j * table[knots, 2])
    places = np.concatenate([places, *ascents(depth, places, up_to * spacing)])
    reach = depth.to_edge(places)
    keep = (reach >= LEAST_DEPTH * spacing) & (reach < up_to * spacing)
    places, reach = places[keep], reach[keep]
    order = np.argsort(-reach, kind="stable")
    return thin_out(places[order], RIDGE_ROOM * reach[order], taken)


def ascents(depth: Depth, places: Loop, up_to: float) -> list[Loop]:
    """Where one comes by, climbing from each steep place until it is deep or level.

    Ridges that rise as steeply as the ground beside them, as behind the mouth of a neck,
    cannot be told by their slope: they are found by following them up.
    """
    passed = []
    for _ in range(MOST_STEPS):
        reach, slope = depth.at(places)
        steep = (np.abs(slope) > STEEP) & (reach < up_to)
        if not steep.any():
            break
        places = places[steep] + depth.cell * slope[steep] / np.abs(slope[steep])
        passed.append(places)
    return passed


def thin_out(places: Loop, room: Floats, taken: Loop) -> Loop:
    """Keep places in order, dropping each that has a kept or taken one within its own room.

    Args:
        places: the places.
        room: room of each; no place has more of it than those before it.
        taken: places that count as kept.
    """
    if len(places) == 0:
        return places
    spots = as_points(places)
    free = np.ones(len(places), dtype=bool)
    if len(taken):
        free = cKDTree(as_points(taken)).query(spots)[0] >= room
    index = cKDTree(spots)
    kept = []
    for i in range(len(places)):
        if free[i]:
            kept.append(i)
            near = np.array(index.query_ball_point(spots[i], room[i]))
            free[near[np.abs(places[near] - places[i]) < room[near]]] = False
    return places[kept]
