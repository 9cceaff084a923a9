"""Fields: the free region that each fill covers."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString
from shapely.ops import split

from loftline.fills.creases import creased_edges
from loftline.geometry import only_polygons
from loftline.project import Project
from loftline.values import Area, Field, Panel

_FAR = 1e5
"""Longer than any panel: folds are drawn out this far to part the overhang too."""

_BESIDE = 1.0
"""Drawn parts take the overhang beside them a little farther than lines run off."""


def make_fields(project: Project, panel: Panel) -> tuple[Field, ...]:
    """One field per ``[[fills]]`` entry, in file order.

    A part's field takes the overhang beside the part with it, so that its lines run off
    the edge like any others; towards a neighbouring part it ends at the fold, and before it
    where the fold is closed to quilting.
    """
    strips = [fold.strip for fold in panel.folds if fold.strip is not None]
    closed = shapely.union_all(strips) if strips else None
    areas: dict[str, tuple[Area, Area]] = {"all": (panel.sewable, panel.outline)}
    if any(fill.part != "all" for fill in project.fills):
        drawn = project.panel.shape == "file"
        areas.update(_drawn_cells(panel) if drawn else _cells(panel))
    creases = creased_edges(panel)
    fields = []
    for index, fill in enumerate(project.fills):
        region, outline = areas[fill.part]
        if closed is not None:
            region = only_polygons(shapely.difference(region, closed))
        x0, y0, x1, y1 = outline.bounds
        fields.append(
            Field(
                index=index,
                part=fill.part,
                region=region,
                outline=outline,
                centre=((x0 + x1) / 2, (y0 + y1) / 2),
                creases=creases,
            )
        )
    return tuple(fields)


def _drawn_cells(panel: Panel) -> dict[str, tuple[Area, Area]]:
    """Drawn parts may lie anywhere: each takes the strip beside it beyond the outline."""
    beyond = shapely.difference(panel.ground, panel.outline)
    cells = {}
    for part in panel.parts:
        beside = shapely.intersection(beyond, part.area.buffer(panel.run_off + _BESIDE))
        cell = shapely.intersection(shapely.union(part.area, beside), panel.sewable)
        cells[part.name] = (only_polygons(cell), part.area)
    return cells


def _cells(panel: Panel) -> dict[str, tuple[Area, Area]]:
    pieces: list[shapely.Geometry] = [panel.ground]
    for fold in panel.folds:
        a, b = np.asarray(fold.start), np.asarray(fold.end)
        reach = (b - a) / np.hypot(*(b - a)) * _FAR
        line = LineString([a - reach, b + reach])
        pieces = [part for piece in pieces for part in split(piece, line).geoms]
    overlap = np.array([shapely.area(shapely.intersection(p.area, pieces)) for p in panel.parts])
    owner = overlap.argmax(axis=0)
    cells = {}
    for i, part in enumerate(panel.parts):
        own = [piece for piece, o in zip(pieces, owner, strict=True) if o == i]
        cell = shapely.intersection(shapely.union_all(own), panel.sewable)
        cells[part.name] = (only_polygons(cell), part.area)
    return cells
