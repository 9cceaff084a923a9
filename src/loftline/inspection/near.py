"""How near the needle, the foot and the moving frame come to what a panel keeps clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely

from loftline.checks import check_foot
from loftline.checks.moves import machine_moves
from loftline.errors import Finding
from loftline.units import SAME_PLACE_MM
from loftline.values import Floats, KeepOut, Plan, Point, Sewn


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearness:
    """How near the needle and the moving frame come to one keep-out.

    Attributes:
        name: the keep-out's.
        hardware: whether there is something hard; else a drawn zone.
        stitches: how many stitches lie on it.
        moved_over: whether a move between runs passes over it, and it stands above the fabric.
        foot: whether the foot of the project's machine would touch it while sewing.
        nearest: from its hard edge to the nearest stitch, mm.
        kept: what must be kept, mm.
        at: where on the panel that is, mm.
    """

    name: str
    hardware: bool
    stitches: int
    moved_over: bool
    foot: bool
    nearest: float
    kept: float
    at: Point

    @property
    def struck(self) -> bool:
        """Whether needle or foot would meet it."""
        return self.stitches > 0 or self.moved_over or self.foot

    @property
    def too_near(self) -> bool:
        """Whether less is kept free than must be."""
        return self.nearest < self.kept - SAME_PLACE_MM


def foot_strikes(
    plan: Plan, keep_outs: Sequence[KeepOut], sewn: Sewn, turn: int
) -> tuple[Finding, ...]:
    """What the foot strikes that stands above; it looks along the hoop, from either side."""
    foot = plan.project.machine.foot
    if foot is None:
        return ()
    side, ahead = max(foot.left, foot.right), max(foot.front, foot.back)
    if turn % 180:
        side, ahead = ahead, side
    panel = replace(plan.panel, keep_outs=tuple(keep_outs))
    return check_foot(panel, sewn, left=side, right=side, front=ahead, back=ahead, turned=False)


def _under_foot(plan: Plan, sewn: Sewn, turn: int) -> set[str]:
    """Names of what the foot strikes."""
    zones = plan.panel.keep_outs
    return {zone.name for zone in zones if foot_strikes(plan, (zone,), sewn, turn)}


def nearness(plan: Plan, sewn: Sewn, turn: int) -> tuple[Nearness, ...]:
    """How near what is sewn comes to each keep-out of a plan.

    Args:
        plan: of the bag.
        sewn: needle points in panel coordinates.
        turn: how the hoop lies on the panel, degrees counter-clockwise.

    Returns:
        One for each keep-out: what is struck first, then by how much of what must be kept is
        left. O((n + z) log n) for n needle points and z keep-outs.
    """
    foot = _under_foot(plan, sewn, turn)
    places = np.column_stack((sewn.x, sewn.y)) / 10
    follower = np.arange(len(places))
    follower[:-1] += sewn.run[1:] == sewn.run[:-1]
    stitches = _strokes(places, places[follower])
    tree = shapely.STRtree(stitches)
    moves = machine_moves(sewn)
    ways = _strokes(moves[:, 0], moves[:, 1])
    found = []
    for zone in plan.panel.keep_outs:
        shapely.prepare(zone.outline)
        nearest = stitches[int(tree.nearest(zone.outline))]
        at = shapely.get_coordinates(shapely.shortest_line(nearest, zone.outline))[0]
        found.append(
            Nearness(
                name=zone.name,
                hardware=zone.hardware,
                stitches=len(tree.query(zone.outline, predicate="intersects")),
                foot=zone.name in foot,
                moved_over=zone.lies == "above"
                and bool(shapely.intersects(zone.outline, ways).any()),
                nearest=float(shapely.distance(nearest, zone.outline)),
                kept=zone.reach,
                at=(float(at[0]), float(at[1])),
            )
        )
    return tuple(sorted(found, key=lambda one: (not one.struck, one.nearest - one.kept)))


def _strokes(start: Floats, end: Floats) -> npt.NDArray[np.object_]:
    """Lines, and points where start and end are one: those without length are not measured."""
    lines = np.asarray(shapely.linestrings(np.stack((start, end), axis=1)))
    still = (start == end).all(axis=1)
    lines[still] = shapely.points(start[still])
    return lines
