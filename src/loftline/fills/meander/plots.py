"""Plots: the pieces of ground that carry one curve each, with the tree each curve goes round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, Polygon

from loftline.fills.meander.care import Wish
from loftline.fills.meander.depth import Depth, depth_grid
from loftline.fills.meander.ground import cut_necks
from loftline.fills.meander.loop import Loop, from_points
from loftline.fills.meander.pace import Pace
from loftline.fills.meander.seeds import open_seeds, ridge_seeds
from loftline.fills.meander.tree import Mesh, prune, random_branches, triangulate
from loftline.values import Bools, Ints

END_DEPTH = 0.3
"""A finger ends no shallower than this, in spacings; necks are passed wherever seeds lie."""
LEAST_ROOM = 0.4
"""A plot that is nowhere deeper (in spacings) carries no meander ..."""
LEAST_AREA = 2.0
"""... nor one smaller than this, in square spacings."""
CELLS_A_SPACING = 8
FELT = 0.9
"""The edge is felt to this depth, in spacings."""
STEM = 0.3
"""An open curve comes in straight, so far, in spacings."""
TRIES = ((0.0, 0.95), (0.0, 3.0), (0.15, 3.0), (0.22, 3.0), (0.3, 3.0), (0.4, 3.0))
"""Tried in turn until each plot is held together by its seeds: half width of the necks at
which ground is cut, and depth to which its ridges are followed (in spacings)."""


@dataclass(frozen=True, slots=True)
class Stem:
    """Where an open curve comes in: a place on the edge, and the straight way in from there."""

    foot: complex
    inward: complex

    def points(self, pace: Pace) -> Loop:
        """From the edge to where the curve may bend."""
        far = STEM * float(pace.at(np.array([self.foot]))[0])
        return np.asarray(self.foot + self.inward * far * np.linspace(0.0, 1.0, 4))


Stems = tuple[Stem, Stem]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Ground for one curve.

    Attributes:
        ground: where the curve may lie.
        depth: its depths.
        mesh: its seeds and edge samples.
        branches: ``(k, 2)`` a random tree over its nodes.
        member: ``(n,)`` the nodes that belong to the tree.
        stems: entry and exit of an open curve.
    """

    ground: Polygon
    depth: Depth
    mesh: Mesh
    branches: Ints
    member: Bools
    stems: Stems | None = None


def plant(
    ground: Polygon, wish: Wish, ridges: float, stems: Stems | None
) -> tuple[Plot | None, bool]:
    """Seeds and a random tree for a plot.

    Args:
        ground: one piece of ground.
        wish: what is asked.
        ridges: how deep its ridges are followed, in spacings.
        stems: entry and exit of an open curve, on the edge of this piece.

    Returns:
        The plot, or ``None`` where it is too small or thin; and whether one tree holds all.
    """
    pace = wish.pace
    finest, coarsest = pace.finest, pace.coarsest
    if ground.area < LEAST_AREA * finest**2:
        return None, True
    deepest = max((ridges + 0.25) * coarsest, finest)
    depth = depth_grid(ground, finest / CELLS_A_SPACING, deepest, FELT * coarsest)
    if depth.table[:, 0].max() < LEAST_ROOM * finest:
        return None, True
    seeds = open_seeds(depth, pace, wish.seed)
    seeds = seeds + ridge_seeds(depth, pace, seeds.places, ridges, wish.seed)
    if len(seeds) == 0:
        return None, True
    ends = (stems[0].foot, stems[1].foot) if stems is not None else None
    mesh = triangulate(ground, seeds, pace, wish.seed, ends)
    branches, tree = random_branches(mesh, ground, pace, wish.seed)
    weak = np.zeros(mesh.nodes, bool)
    weak[: mesh.seeds] = depth.at(seeds.places)[0] < END_DEPTH * pace.at(seeds.places)
    branches, left = prune(branches, weak)
    if not left[: mesh.seeds].any():
        return None, True
    size = np.bincount(tree[left])
    largest = int(size.argmax()) if stems is None else int(tree[mesh.seeds])
    member = left & (tree == largest)
    if not member[: mesh.seeds].any():
        return None, True
    branches = branches[member[branches[:, 0]]]
    plot = Plot(
        ground=ground, depth=depth, mesh=mesh, branches=branches, member=member, stems=stems
    )
    return plot, int(np.count_nonzero(size)) == 1


def plots_of(ground: Polygon, wish: Wish, stems: Stems | None = None) -> list[Plot]:
    """Plots of a ground: one, unless necks too thin for two strands cut it.

    Where the last try leaves a plot with several trees, the largest is taken. Where the ground
    is cut, the stems go with the piece that both are nearest to, if there is one.
    """
    best: list[Plot] = []
    for cut, ridges in TRIES:
        pieces = cut_necks(ground, cut * wish.pace.finest)
        home = home_of(pieces, stems)
        planted = [
            plant(piece, wish, ridges, stems if index == home else None)
            for index, piece in enumerate(pieces)
        ]
        best = [plot for plot, _ in planted if plot is not None]
        if all(whole for _, whole in planted):
            break
    return best


def home_of(pieces: Sequence[Polygon], stems: Stems | None) -> int | None:
    """Which piece both stems lead to; ``None`` where each leads to another."""
    if stems is None or not pieces:
        return None
    first, last = (
        int(np.argmin([Point(stem.foot.real, stem.foot.imag).distance(p) for p in pieces]))
        for stem in stems
    )
    return first if first == last else None


def stems_into(part: Polygon, ground: Polygon, ends: tuple[complex, complex]) -> Stems | None:
    """Stems from the places of a part's outer edge nearest to two places, into its ground."""
    found = []
    for end in ends:
        foot = shapely.line_interpolate_point(
            part.exterior, shapely.line_locate_point(part.exterior, Point(end.real, end.imag))
        )
        near = shapely.get_coordinates(shapely.shortest_line(foot, ground.exterior))
        at, to = from_points(near)
        if at == to:
            return None
        found.append(Stem(complex(at), complex((to - at) / abs(to - at))))
    return found[0], found[1]
