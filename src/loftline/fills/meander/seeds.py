"""Seed points: the places a meander's fingers grow from.

Two kinds. In the open, points spread evenly but without rows: of places that chance puts into
the cells of one endless lattice, those are taken that no taken one is near (dart throwing,
Cook 1986), and drawn toward the middle of what is nearest to them (Lloyd 1982). In necks,
corners and strips, where no such point has room, points along the ridge: the places that have
two edges equally near. Each point hangs on what is near it only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from loftline.fills.meander.depth import Depth
from loftline.fills.meander.hashing import Names, chance, named
from loftline.fills.meander.loop import Loop, as_points
from loftline.fills.meander.near import near_pairs
from loftline.fills.meander.pace import Pace
from loftline.values import Bools, Floats

OPEN_DEPTH = 0.6
"""From this depth on (in spacings) there is room for seeds in the open."""
HELD_DEPTH = 0.5
"""A seed drawn toward the edge beyond this depth is dropped."""
SEED_DISTANCE = 1.7
"""No two seeds in the open start nearer to each other: room for a finger with its two sides
and the gaps beside it."""
LATTICE = 0.45
"""Side of a lattice cell, in spacings; each holds one place."""
DARTS = 0.4
"""Share of the places that may become seeds; the others say what is nearest to a seed."""
LEAST_DEPTH = 0.15
"""No seed lies nearer to the edge; see :func:`tree.triangulate` for why that matters."""
LLOYD_PASSES = 2
RIDGE_SLOPE = 0.8
"""Depth grows by 1 per unit away from a single edge; well below that two edges pull."""
STEEP = 0.5
MOST_STEPS = 64
"""Of one cell each, uphill; at least half of each counts, so 4 spacings are climbed."""
RIDGE_ROOM = 0.7
"""Every place on the ridge has a seed nearer than this share of its depth. The disc of that
depth holds no edge, and the points of a triangulation within one disc hang together: so do
the seeds along a ridge."""
_RIDGE = 1 << 40
"""Sets the names of seeds along ridges apart from those in the open."""


@dataclass(frozen=True, slots=True)
class Seeds:
    """Seeds and their names, by which chance knows them."""

    places: Loop
    names: Names

    def __len__(self) -> int:
        return len(self.places)

    def take(self, which: Bools) -> Seeds:
        """Some of them."""
        return Seeds(self.places[which], self.names[which])

    def __add__(self, other: Seeds) -> Seeds:
        return Seeds(
            np.concatenate([self.places, other.places]), np.concatenate([self.names, other.names])
        )


NONE = Seeds(np.empty(0, np.complex128), np.empty(0, np.uint64))


def scattered(depth: Depth, pace: Pace, seed: int) -> Seeds:
    """Random places where an area is deep: one for each cell, fewer where lines lie wider."""
    side = LATTICE * pace.finest
    corner = depth.origin / side
    size = np.array([depth.columns, depth.rows]) * depth.cell / side
    columns, rows = np.meshgrid(
        int(np.floor(corner.real)) + np.arange(int(size[0]) + 2),
        int(np.floor(corner.imag)) + np.arange(int(size[1]) + 2),
    )
    column, row = columns.ravel(), rows.ravel()
    names = named(seed, column, row)
    places = np.empty(len(names), np.complex128)
    places.real = (column + chance(names, 0)) * side
    places.imag = (row + chance(names, 1)) * side
    spacing = pace.at(places)
    kept = depth.at(places)[0] >= OPEN_DEPTH * spacing
    if pace.graded:
        kept &= chance(names, 2) < (pace.finest / spacing) ** 2
    return Seeds(places[kept], names[kept])


def open_seeds(depth: Depth, pace: Pace, seed: int) -> Seeds:
    """Evenly spread random seeds where an area is deep."""
    samples = scattered(depth, pace, seed)
    if not len(samples):
        return NONE
    darts = samples.take(chance(samples.names, 3) < DARTS)
    seeds = darts.take(spread_out(darts, SEED_DISTANCE * pace.at(darts.places)))
    if not len(seeds):
        return samples.take(np.arange(len(samples)) == 0)
    places = seeds.places
    for _ in range(LLOYD_PASSES):
        _, owner = cKDTree(as_points(places)).query(as_points(samples.places))
        share = np.bincount(owner, minlength=len(places))
        moved = places.copy()
        owned = share > 0
        for axis in ("real", "imag"):
            total = np.bincount(owner, getattr(samples.places, axis), len(places))
            getattr(moved, axis)[owned] = total[owned] / share[owned]
        places = moved
    # the middle of a cell bent round a keep-out may lie inside that keep-out
    roomy = depth.at(places)[0] >= HELD_DEPTH * pace.at(places)
    return Seeds(places[roomy], seeds.names[roomy])


def spread_out(darts: Seeds, room: Floats) -> Bools:
    """Which darts are taken when none may have a taken one within its room.

    Chance gives each its turn. All that come before their neighbours are taken at once, what
    is near them is dropped, and so on: the same as one after the other.
    """
    first, second = near_pairs(darts.places, room)
    turn = chance(darts.names, 4)
    late = turn[first] > turn[second]
    first, second = np.where(late, second, first), np.where(late, first, second)
    taken = np.zeros(len(darts), bool)
    open_ = np.ones(len(darts), bool)
    while open_.any():
        waits = np.zeros(len(darts), bool)
        waits[second] = True
        now = open_ & ~waits
        taken |= now
        open_ &= ~now
        open_[second[now[first]]] = False
        live = open_[first] & open_[second]
        first, second = first[live], second[live]
    return taken


def ridge_seeds(depth: Depth, pace: Pace, taken: Loop, up_to: float, seed: int) -> Seeds:
    """Seeds along the ridge of the shallow places, the deepest first.

    Args:
        depth: depths of the area.
        pace: wanted distance between neighbouring lines.
        taken: seeds that are there already; new ones keep away from them.
        up_to: how deep the ridge is followed, in spacings.
        seed: for their names.

    Returns:
        Seeds, none shallower than :data:`LEAST_DEPTH` spacings.
    """
    table = depth.table
    slope = np.hypot(table[:, 1], table[:, 2])
    knots = np.flatnonzero(
        (table[:, 0] > LEAST_DEPTH * pace.finest - depth.cell)
        & (table[:, 0] < up_to * pace.coarsest)
        & (slope < RIDGE_SLOPE)
    )
    if len(knots) == 0:
        return NONE
    # one Newton step across the ridge: the slope there falls from 1 to -1 within a cell
    places = depth.places(knots) + depth.cell * (table[knots, 1] + 1j * table[knots, 2])
    places = np.concatenate([places, *ascents(depth, places, up_to * pace.coarsest)])
    reach, spacing = depth.to_edge(places), pace.at(places)
    keep = (reach >= LEAST_DEPTH * spacing) & (reach < up_to * spacing)
    places, reach = places[keep], reach[keep]
    order = np.argsort(-reach, kind="stable")
    places = thin_out(places[order], RIDGE_ROOM * reach[order], taken)
    cell = np.round(as_points(places) / (0.25 * pace.finest)).astype(np.int64)
    return Seeds(places, named(seed, cell[:, 0] + _RIDGE, cell[:, 1]))


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
