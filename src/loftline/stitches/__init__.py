"""Stitches: needle points of every run, with ties, and the moves between runs."""

from __future__ import annotations

import numpy as np
import shapely

from loftline.geometry import inside_seams
from loftline.project import Project
from loftline.stitches.handing_over import hand_over_aside
from loftline.stitches.moves import clear_origin, closer_obstacles, obstacles, route
from loftline.stitches.path import Path, lay_path
from loftline.stitches.placing import place_stitches
from loftline.stitches.ties import FEWEST_HOLES, MOST, with_ties
from loftline.trade.fabrics import keeps_holes
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Ints, Network, Panel, Runs, Sewn

__all__ = ["make_sewn"]

_ROUNDING_MM = 0.15
"""Rounding both ends to tenths can lengthen a stitch by 0.14 mm."""


def make_sewn(project: Project, panel: Panel, network: Network, runs: Runs) -> Sewn:
    """Turn runs into needle points.

    Args:
        project: stitch length, longest stitch, and whether the cloth keeps its holes.
        panel: for what sits above, which moves go round.
        network: the edges.
        runs: which of them are sewn, in order.

    Returns:
        Needle points in whole tenths of a millimetre; the origin is the centre of their
        extents, beside what sits above when the centre lies under it.
    """
    if not len(runs.edges):
        none = np.empty(0, np.int64)
        return Sewn(
            x=none, y=none, run=none, kind=none, via=np.empty((0, 2), np.int64), via_run=none
        )
    path = hand_over_aside(lay_path(network, runs, _longest(project, network)))
    placed = place_stitches(path)
    outer = project.layers.outer
    most = FEWEST_HOLES if keeps_holes(outer.kind, told=outer.keeps_holes) else MOST
    by_hand = project.machine.guided == "hand"
    placed, kind = with_ties(
        path,
        placed,
        most,
        forward=by_hand and project.machine.foot_kind == "walking foot",
        wanted=_inside(panel, path) if by_hand else None,
    )
    area = obstacles(panel.keep_outs)
    origin = clear_origin(_centre(placed.x, placed.y), area)
    points = np.column_stack([placed.x, placed.y])
    fresh = np.flatnonzero(np.append(True, np.diff(placed.run) > 0))
    begin = np.concatenate([[origin], points[fresh[1:] - 1]])
    via, move = route(_mm(begin), _mm(points[fresh]), area, closer_obstacles(panel.keep_outs))
    return Sewn(
        x=placed.x,
        y=placed.y,
        run=placed.run,
        kind=kind,
        via=via,
        via_run=placed.run[fresh][move],
        origin=origin,
    )


def _longest(project: Project, network: Network) -> Floats:
    """Longest stitch on each edge of the network, mm: that of its design, or of the quilting."""
    usual = project.quilting.stitch_length
    lengths = [*(fill.stitch_length or usual for fill in project.fills), usual]
    own = np.minimum(lengths, project.machine.longest_stitch - _ROUNDING_MM)
    return np.full(len(network.u), own[-1]) if network.fill is None else own[network.fill]


def _inside(panel: Panel, path: Path) -> Bools | None:
    """Which run ends are caught in no seam, and so need a tie; ``None`` for all."""
    if panel.seam_allowance <= 0:
        return None
    finished = inside_seams(panel.outline, panel.seam_allowance)
    shapely.prepare(finished)
    at = np.column_stack([path.starts[:-1], path.starts[1:] - 1])
    x, y = path.points[at].transpose(2, 0, 1)
    return np.asarray(shapely.intersects_xy(finished, x, y), np.bool_)


def _mm(tenths: Ints) -> Floats:
    return np.asarray(tenths * NEEDLE_GRID_MM, np.float64)


def _centre(x: Ints, y: Ints) -> tuple[int, int]:
    return (int(x.min() + x.max()) // 2, int(y.min() + y.max()) // 2)
