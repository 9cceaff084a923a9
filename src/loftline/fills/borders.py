"""Borders of regions, sewn once each."""

from __future__ import annotations

import math

import numpy as np
import shapely

from loftline.clips import Clip
from loftline.fills.cut_up import cut_up
from loftline.fills.fill_lines import FillLines
from loftline.fills.straight import LEAST_LINE_MM
from loftline.geometry import only_polygons
from loftline.values import Floats, Panel

_SAME_MM = 0.01


def borders(panel: Panel, filled: frozenset[str]) -> FillLines:
    """The sewn borders of a panel's regions.

    Where a later region with a design of its own lies over a border, the border is not sewn;
    where two borders run along each other, one is. Keep-outs, darts and folds that are closed
    to quilting interrupt them.

    Args:
        panel: for its regions.
        filled: names of the regions that have a design.

    Returns:
        Loops, or pieces of them, each border a family of its own.
    """
    curves: list[Floats] = []
    family: list[int] = []
    closed: list[bool] = []
    sewn: list[shapely.Geometry] = []
    shut = [fold.strip for fold in panel.folds if fold.strip is not None]
    for i, region in enumerate(panel.regions):
        if not region.sewn_border:
            continue
        over = [later.outline for later in panel.regions[i + 1 :] if later.name in filled]
        hidden = shapely.union_all([*(area.buffer(-_SAME_MM) for area in over), *shut, *sewn])
        free = only_polygons(shapely.difference(panel.sewable, hidden))
        border = np.asarray(shapely.get_coordinates(region.outline.exterior))
        pieces, _ = cut_up(border, Clip.to(free), closed=True)
        for piece, loop in pieces:
            inside = shapely.intersection(shapely.linestrings(piece), panel.outline)
            if shapely.length(inside) >= LEAST_LINE_MM:
                curves.append(piece)
                family.append(i)
                closed.append(loop)
        sewn.append(region.outline.exterior.buffer(_SAME_MM, cap_style="flat"))
    return FillLines(
        curves=tuple(curves),
        family=np.array(family, np.int64),
        angle=np.full(len(curves), math.nan),
        closed=np.array(closed, bool),
    )
