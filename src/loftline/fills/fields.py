"""Fields: the free region that each fill covers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.ops import split

from loftline.fills.bendable import GRID_MM, keep_outs_in
from loftline.fills.creases import creased_edges
from loftline.fills.matched import closed_centre, lay_on_closed, on_closed
from loftline.geometry import inside_seams, only_polygons
from loftline.project import FillSpec, Project
from loftline.values import Area, Field, Panel

_FAR = 1e5
"""Longer than any panel: folds are drawn out this far to part the overhang too."""

_BESIDE = 1.0
"""Drawn parts take the overhang beside them a little farther than lines run off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cells:
    """Where lines may lie and what is covered: of the whole, of each part, of each region.

    Attributes:
        covers: of each fill's word what it covers before regions are taken out.
        taken: of each fill's word the regions on top of it that have a design of their own.
        parts: of each part where lines may lie, and its own area.
    """

    covers: Mapping[str, tuple[Area, Area]]
    taken: Mapping[str, shapely.Geometry]
    parts: Mapping[str, tuple[Area, Area]]


def make_fields(project: Project, panel: Panel) -> tuple[Field, ...]:
    """One field per ``[[fills]]`` entry, in file order.

    A part's field takes the overhang beside the part with it, so that its lines run off
    the edge like any others; towards a neighbouring part it ends at the fold, and before it
    where the fold is closed to quilting. A field ends at regions that have a design of their
    own, a region's at later ones that lie over it. A design that is matched on the closed bag
    is laid there, part by part.
    """
    cells = _all_cells(project, panel)
    strips = [fold.strip for fold in panel.folds if fold.strip is not None]
    closed = shapely.union_all(strips) if strips else None
    finished = inside_seams(panel.outline, panel.seam_allowance)
    creases = creased_edges(panel)
    fields = []
    for index, fill in enumerate(project.fills):
        region, outline = cells.covers[fill.part]
        x0, y0, x1, y1 = outline.bounds
        taken = cells.taken[fill.part]
        if not shapely.is_empty(taken):
            region, outline = (
                only_polygons(shapely.difference(area, taken)) for area in (region, outline)
            )
        if closed is not None:
            region = only_polygons(shapely.difference(region, closed))
        field = Field(
            index=index,
            part=fill.part,
            region=region,
            outline=outline,
            centre=((x0 + x1) / 2, (y0 + y1) / 2),
            creases=creases,
            keep_outs=_to_bend_round(fill, panel, outline),
            finished=only_polygons(shapely.intersection(outline, finished)),
            around=_around(fill, panel),
            units=project.units,
        )
        if fill.match == "closed" and fill.at_side_seam == "chevron":
            field = _on_closed(field, fill, panel, cells)
        fields.append(field)
    return tuple(fields)


def started(fill: FillSpec, panel: Panel, index: int) -> FillSpec:
    """A fill's entry with the place of the flat panel that it starts at, where it names an edge."""
    start = panel.starts[index] if panel.starts else None
    return fill if start is None else fill.model_copy(update={"start_at": start})


def _on_closed(field: Field, fill: FillSpec, panel: Panel, cells: _Cells) -> Field:
    laid = lay_on_closed(panel, field, cells.parts)
    if not laid:
        return field
    start = started(fill, panel, field.index).start
    centre = closed_centre(panel) if start is None else on_closed(panel, start)
    return replace(field, laid=laid, centre=centre)


def _to_bend_round(fill: FillSpec, panel: Panel, outline: Area) -> Area:
    """The keep-out zones in a field, where its lines bend round them; else nothing."""
    if fill.at_keep_outs != "bend":
        return Polygon()
    if fill.part not in {region.name for region in panel.regions}:
        return keep_outs_in(panel, fill.part, outline)
    every = keep_outs_in(panel, "all", panel.outline)
    return only_polygons(shapely.intersection(every, outline, grid_size=GRID_MM))


def _around(fill: FillSpec, panel: Panel) -> Area | None:
    """What an echo goes round: a region, a piece's zone, or where no needle may go."""
    if fill.echo_of is None:
        return None
    for region in panel.regions:
        if region.name == fill.echo_of:
            return region.outline
    for zone in panel.keep_outs:
        if zone.name == fill.echo_of:
            return zone.outline.buffer(zone.reach) if zone.zone is None else zone.zone
    return next(piece.outline for piece in panel.pieces if piece.name == fill.echo_of)


def _all_cells(project: Project, panel: Panel) -> _Cells:
    parts: dict[str, tuple[Area, Area]] = {}
    matched = any(fill.match == "closed" for fill in project.fills)
    if panel.parts and (matched or any(fill.part != "all" for fill in project.fills)):
        drawn = project.panel.shape == "file"
        parts = _drawn_cells(panel) if drawn else _cells(panel)
    covers = {"all": (panel.sewable, panel.outline), **parts}
    filled = {fill.part for fill in project.fills}
    own = [region for region in panel.regions if region.name in filled]
    taken = dict.fromkeys(covers, shapely.union_all([region.outline for region in own]))
    for i, region in enumerate(own):
        covers[region.name] = (
            only_polygons(shapely.intersection(panel.sewable, region.outline)),
            only_polygons(shapely.intersection(panel.outline, region.outline)),
        )
        taken[region.name] = shapely.union_all([later.outline for later in own[i + 1 :]])
    return _Cells(covers=covers, taken=taken, parts=parts)


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
