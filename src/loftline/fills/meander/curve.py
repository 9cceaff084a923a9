"""One plot of ground, one closed curve: the steps in order, and the proof of what they give.

Nothing that a step yields is believed. Each is checked exactly (simple, inside, apart from the
other curves), and where the check fails the curve goes on as it was before the step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, LineString, MultiLineString, Polygon

from loftline.fills.meander.depth import Depth, depth_grid
from loftline.fills.meander.ground import cut_necks
from loftline.fills.meander.loop import (
    Loop,
    closed_points,
    from_points,
    is_proved,
    length,
    resample,
)
from loftline.fills.meander.relax import COARSE, FINE, GENTLE, Settling, relax
from loftline.fills.meander.rounding import FLOW_PASSES, flow, refine
from loftline.fills.meander.seeds import open_seeds, ridge_seeds
from loftline.fills.meander.tree import Mesh, outline, prune, random_branches, triangulate
from loftline.values import Bools, Ints

PASSES = COARSE.passes + FINE.passes + FLOW_PASSES
"""How often :func:`wander` calls its ``tick``."""

END_DEPTH = 0.3
"""A finger ends no shallower than this, in spacings; necks are passed wherever seeds lie."""
LEAST_ROOM = 0.4
"""A plot that is nowhere deeper (in spacings) carries no meander ..."""
LEAST_AREA = 2.0
"""... nor one smaller than this, in square spacings."""
FULLNESS = 1.05
"""Length the loop settles to, in ground / spacing: rounding shortens it again, and the ground
is a little less than the region."""
SLIVER = 0.1
"""What hangs over the edge is cut off up to this area, in square spacings."""
LEAST_LEFT = 0.8
"""Share of its length that rounding must leave a loop."""
STEP = 0.04
"""Between points of the finished curve, in spacings ..."""
STEPS = (0.25, 0.5)
"""... but no less and no more than this, in mm."""
TRIES = ((0.0, 0.95), (0.0, 3.0), (0.15, 3.0), (0.22, 3.0), (0.3, 3.0), (0.4, 3.0))
"""Tried in turn until each plot is held together by its seeds: half width of the necks at
which ground is cut, and depth to which its ridges are followed (in spacings)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Ground for one closed curve.

    Attributes:
        ground: where the curve may lie.
        depth: its depths.
        mesh: its seeds and edge samples.
        branches: ``(k, 2)`` a random tree over seeds.
        member: ``(n,)`` the seeds that belong to the tree.
    """

    ground: Polygon
    depth: Depth
    mesh: Mesh
    branches: Ints
    member: Bools


def plant(
    ground: Polygon, spacing: float, ridges: float, rng: np.random.Generator
) -> tuple[Plot | None, bool]:
    """Seeds and a random tree for a plot.

    Args:
        ground: one piece of ground.
        spacing: wanted distance between neighbouring lines.
        ridges: how deep its ridges are followed, in spacings.
        rng: source of every random choice.

    Returns:
        The plot, or ``None`` where it is too small or thin; and whether one tree holds all.
    """
    if ground.area < LEAST_AREA * spacing**2:
        return None, True
    depth = depth_grid(ground, spacing, ridges + 0.25)
    if depth.table[:, 0].max() < LEAST_ROOM * spacing:
        return None, True
    roomy = open_seeds(depth, spacing, rng)
    seeds = np.concatenate([roomy, ridge_seeds(depth, spacing, roomy, ridges)])
    if len(seeds) == 0:
        return None, True
    mesh = triangulate(ground, seeds, spacing)
    branches, tree = random_branches(mesh, ground, spacing, rng)
    weak = depth.at(seeds)[0] < END_DEPTH * spacing
    branches, left = prune(branches, weak)
    if not left.any():
        return None, True
    size = np.bincount(tree[left])
    largest = int(size.argmax())
    member = left & (tree == largest)
    branches = branches[member[branches[:, 0]]]
    plot = Plot(ground=ground, depth=depth, mesh=mesh, branches=branches, member=member)
    return plot, int(np.count_nonzero(size)) == 1


def plots_of(ground: Polygon, spacing: float, rng: np.random.Generator) -> list[Plot]:
    """Plots of a ground: one, unless necks too thin for two strands cut it.

    Where the last try leaves a plot with several trees, the largest is taken.
    """
    best: list[Plot] = []
    for cut, ridges in TRIES:
        pieces = cut_necks(ground, cut * spacing)
        planted = [plant(piece, spacing, ridges, rng) for piece in pieces]
        best = [plot for plot, _ in planted if plot is not None]
        if all(whole for _, whole in planted):
            break
    return best


def tuck(loop: Loop, ground: Polygon, spacing: float) -> Loop:
    """Cut off what of a loop hangs over the edge of the ground, if that is next to nothing."""
    points = closed_points(loop)
    if ground.covers(LineString(points)) or not LinearRing(points).is_simple:
        return loop
    shape = Polygon(points)
    kept = shape.intersection(ground)
    if not isinstance(kept, Polygon) or kept.interiors:
        return loop
    if kept.area < shape.area - SLIVER * spacing**2:
        return loop
    return from_points(shapely.get_coordinates(kept.exterior))


def wander(
    plot: Plot,
    part: Polygon,
    others: Sequence[Loop],
    spacing: float,
    rng: np.random.Generator,
    tick: Callable[[], None],
) -> Loop | None:
    """The closed curve of a plot: each step is taken only if its result is proved good.

    Args:
        plot: the plot.
        part: what the curve must stay in.
        others: curves of the same part that it must not meet.
        spacing: wanted distance between neighbouring lines.
        rng: source of every random choice.
        tick: called once a pass, about :data:`PASSES` times.

    Returns:
        The curve, simple, inside the part and apart from the others; ``None`` where no step
        gave one.
    """
    ground, depth = plot.ground, plot.depth
    fixed = MultiLineString([closed_points(loop) for loop in others])

    def good(loop: Loop) -> bool:
        return is_proved(loop, part) and not fixed.intersects(LineString(closed_points(loop)))

    raw = outline(plot.mesh, plot.branches, plot.member)
    settle = Settling(
        wanted=FULLNESS * ground.area / spacing, spacing=spacing, turn=rng.uniform(0, 2 * np.pi, 4)
    )
    best = raw if good(raw) else None
    for first in (COARSE, GENTLE):
        loop, tension = relax(raw, depth, settle, first, 0.0, tick)
        loop = tuck(loop, ground, spacing)
        if good(loop):
            fine, _ = relax(loop, depth, settle, FINE, tension, tick)
            fine = tuck(fine, ground, spacing)
            best = fine if good(fine) else loop
            break
    if best is None:
        return None
    loop = tuck(flow(best, depth, spacing, tick), ground, spacing)
    # where all of a loop is a tight bend, rounding would shrink it to nothing
    best = loop if good(loop) and length(loop) > LEAST_LEFT * length(best) else best
    loop = refine(best, 2)
    best = loop if good(loop) else best
    loop = resample(best, min(max(STEP * spacing, STEPS[0]), STEPS[1]))
    return loop if good(loop) else best
