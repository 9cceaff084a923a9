"""The keep-out zones of a field, as far as lines may bend round them."""

from __future__ import annotations

from typing import Final

import shapely

from loftline.geometry import only_polygons
from loftline.units import PLAN_MARGIN_MM
from loftline.values import Area, Panel

_BESIDE = 1.0
"""Zones are looked for a little farther out than lines run off."""

GRID_MM: Final = 1e-4
"""Borders that should be the same differ by rounding: on a grid no sliver is left of them."""


def keep_outs_in(panel: Panel, part: str, outline: Area) -> Area:
    """What is taken out of a part's ground for keep-outs, with the planning margin.

    Darts are no part of it: they are sewn out, and lines end at them as at an edge.

    Args:
        panel: with its ground and what of it may be sewn.
        part: a part's name, or all.
        outline: its area.
    """
    zones = shapely.difference(panel.ground, panel.sewable, grid_size=GRID_MM)
    if panel.darts:
        wedges = [
            dart.zone.buffer(PLAN_MARGIN_MM, join_style="mitre", mitre_limit=50)
            for dart in panel.darts
        ]
        zones = shapely.difference(zones, shapely.union_all(wedges), grid_size=GRID_MM)
    if part != "all":
        others = shapely.union_all([other.area for other in panel.parts if other.name != part])
        own = shapely.difference(outline.buffer(panel.run_off + _BESIDE), others)
        zones = shapely.intersection(zones, own, grid_size=GRID_MM)
    return only_polygons(zones)
