"""The widest place without a line, against what the batting asks for and against the wish."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import Polygon

from loftline.errors import Finding
from loftline.geometry import only_polygons, place, rings
from loftline.project import Project
from loftline.trade.battings import find_batting
from loftline.units import format_length
from loftline.values import Area, Floats, Lines, Panel, Point

WIDER_THAN_WISHED: Final = 2.5
"""Of the spacing: a wider gap is told (common practice, no source). A meander leaves up to 1.9
of it here and there, lines that bend round hardware up to 3 before and behind it."""

TOLD_BEFORE: Final = 1.2
"""Of the spacing: so wide a gap is the spacing itself."""

_SAMPLE_MM: Final = 1.0
"""Between points on lines: on a gap of 4 mm it errs by 0.06 mm."""

_CELLS: Final = 2_500
_KEPT: Final = 3_000
_EXACT: Final = 0.01
"""Of the gap found: cells that could better it by less are not looked into."""

_LEAST_CELL_MM: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The widest circle that holds no line.

    Attributes:
        at: its centre.
        width: its diameter, mm.
    """

    at: Point
    width: float


def widest_gap(panel: Panel, lines: Lines) -> Gap | None:
    """Measure the widest circle inside the outline that no line enters.

    The outline holds like a line, since it ends in a seam; the edge of a keep-out does not:
    the circle may lie over it, but its centre may not, as nothing is quilted there. The plane
    is halved into squares, and those go whose circle cannot be wider than the best so far: a
    distance grows by no more than the way (branch and bound, a textbook method).

    Returns:
        The gap to 1 % or 0.1 mm; ``None`` without any ground to quilt.
    """
    zones = [zone.outline.buffer(zone.reach) for zone in panel.keep_outs]
    zones += [dart.zone for dart in panel.darts]
    free: Area = panel.outline
    if zones:
        free = only_polygons(shapely.difference(panel.outline, shapely.union_all(zones)))
    if free.is_empty:
        return None
    held = cKDTree(_samples(panel.outline, lines))
    return _search(free, held)


def _samples(outline: Polygon, lines: Lines) -> Floats:
    """Points on the outline and on all lines, close together."""
    edges = [shapely.linestrings(ring) for ring in rings(outline)]
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
    drawn = np.asarray(shapely.linestrings(lines.points, indices=owner), dtype=object)
    # a line of no length has no pieces to cut
    drawn = drawn[shapely.length(drawn) > 0]
    fine = shapely.segmentize(np.concatenate([edges, drawn]), _SAMPLE_MM)
    return np.asarray(shapely.get_coordinates(fine), np.float64)


def _search(free: Area, held: cKDTree) -> Gap:
    shapely.prepare(free)
    border = cKDTree(
        np.concatenate(
            [
                shapely.get_coordinates(shapely.segmentize(shapely.linestrings(r), _SAMPLE_MM))
                for r in rings(free)
            ]
        )
    )
    x0, y0, x1, y1 = free.bounds
    cell = max(math.sqrt((x1 - x0) * (y1 - y0) / _CELLS), _LEAST_CELL_MM)
    across = np.arange(x0 + cell / 2, x1 + cell / 2, cell)
    upward = np.arange(y0 + cell / 2, y1 + cell / 2, cell)
    centre = np.stack(np.meshgrid(across, upward), axis=-1).reshape(-1, 2)
    inner = free.representative_point()
    best = np.array([inner.x, inner.y])
    radius = float(held.query(best)[0])
    while len(centre):
        reach = cell * math.sqrt(0.5)
        inside = shapely.contains_xy(free, *centre.T)
        centre = centre[inside | (border.query(centre, distance_upper_bound=reach)[0] < reach)]
        inside = shapely.contains_xy(free, *centre.T)
        far = np.asarray(held.query(centre)[0], np.float64)
        if inside.any():
            k = int(np.argmax(np.where(inside, far, -1.0)))
            if far[k] > radius:
                best, radius = centre[k], float(far[k])
        if cell < _LEAST_CELL_MM:
            break
        hopeful = np.flatnonzero(far + reach > radius * (1 + _EXACT))
        hopeful = hopeful[np.argsort(-far[hopeful], kind="stable")][:_KEPT]
        cell /= 2
        corners = cell / 2 * np.array([(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)])
        centre = (centre[hopeful][:, None] + corners).reshape(-1, 2)
    return Gap(at=(float(best[0]), float(best[1])), width=2 * radius)


def check_gap(project: Project, panel: Panel, lines: Lines, gap: Gap | None) -> tuple[Finding, ...]:
    """Findings on the widest gap: ``gap-too-wide``, ``gap-wide``, ``gap-wider-than-spacing``."""
    if gap is None or not len(lines):
        return ()
    return (*_for_the_batting(project, gap), *_for_the_wish(project, panel, gap))


def _for_the_batting(project: Project, gap: Gap) -> Iterator[Finding]:
    batting = find_batting(project.layers.foam.kind)
    if batting is None or (over := batting.limit(gap.width)) is None:
        return
    if gap.width <= TOLD_BEFORE * max(fill.spacing for fill in project.fills):
        return  # the spacing itself was told to be too wide
    limit, beyond = over
    yield Finding(
        code="gap-too-wide" if beyond else "gap-wide",
        severity="warning" if beyond else "note",
        where=f"near {place(gap.at)}",
        message=f"a place {_show(gap.width, project)} wide has no line, and "
        f"{'no' if beyond else 'not every'} maker of {batting.names[0]} allows more than "
        f"{_show(limit, project)}",
        remedy="quilt that place too, or look at the batting's packet",
    )


def _for_the_wish(project: Project, panel: Panel, gap: Gap) -> Iterator[Finding]:
    here = _names_at(project, panel, gap.at)
    # a motif's lines lie as they are drawn: nobody asked for a distance
    designs = [fill for fill in project.fills if fill.part in here and fill.motif is None]
    wished = [max(fill.spacing, fill.spacing_to or 0.0) for fill in designs]
    if not wished or gap.width <= WIDER_THAN_WISHED * min(wished):
        return
    yield Finding(
        code="gap-wider-than-spacing",
        severity="note",
        where=f"near {place(gap.at)}",
        message=f"a place {_show(gap.width, project)} wide has no line, though lines were asked "
        f"for {_show(min(wished), project)} apart",
        remedy="another angle or a smaller spacing closes it, or quilt it by a design of its own",
    )


def _names_at(project: Project, panel: Panel, at: Point) -> set[str]:
    """What a design may be for that covers a place: the region on top, or part and panel."""
    spot = shapely.Point(at)
    own = {fill.part for fill in project.fills}
    for region in reversed(panel.regions):
        if region.name in own and region.outline.intersects(spot):
            return {region.name}
    return {"all", *(part.name for part in panel.parts if part.area.intersects(spot))}


def _show(mm: float, project: Project) -> str:
    return format_length(mm, project.units)
