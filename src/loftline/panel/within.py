"""The panel as one placing in the hoop sees it: ways only where the needle can reach."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import shapely

from loftline.geometry import only_polygons
from loftline.panel.ways import make_ways, shut_to_travel
from loftline.project import Project
from loftline.values import Panel

_ROUNDING_MM: Final = 0.1
_BEYOND_MM: Final = 10.0


def panel_within(project: Project, panel: Panel, place: tuple[float, float, float, float]) -> Panel:
    """The same panel with its ways closed wherever they leave a field.

    A border between hoopings is no way: travel along it would show.

    Args:
        project: how far the foam reaches.
        panel: the whole.
        place: x0, y0, x1, y1 of the field on it, mm.
    """
    x0, y0, x1, y1 = panel.ground.bounds
    around = shapely.box(
        min(x0, place[0]) - _BEYOND_MM,
        min(y0, place[1]) - _BEYOND_MM,
        max(x1, place[2]) + _BEYOND_MM,
        max(y1, place[3]) + _BEYOND_MM,
    )
    # needle points lie on whole tenths
    reached = shapely.box(
        place[0] + _ROUNDING_MM,
        place[1] + _ROUNDING_MM,
        place[2] - _ROUNDING_MM,
        place[3] - _ROUNDING_MM,
    )
    shut = shut_to_travel(
        panel.folds, panel.outline, panel.ground, project.layers.foam_to, panel.seam_allowance
    )
    beyond = only_polygons(shapely.difference(around, reached))
    ways = make_ways(panel.sewable, panel.ground, panel.edge, panel.folds, [*shut, beyond])
    return replace(panel, ways=ways)
