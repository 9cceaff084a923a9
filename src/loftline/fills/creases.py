"""Creases: lines sewn along folds, so that the panel folds there."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString

from loftline.clips import Clip, Cuts
from loftline.errors import Finding
from loftline.fills.fill_lines import FillLines
from loftline.fills.straight import LEAST_LINE_MM
from loftline.geometry import place
from loftline.values import Floats, Fold, Panel


def creases(panel: Panel) -> FillLines:
    """The creases of a panel, piece by piece.

    A crease runs from edge to edge and off it like any line; keep-outs and darts interrupt
    it. Pieces with less than a stitch inside the outline are left out.

    Returns:
        Open lines, each a family of its own, with the direction of their fold; findings
        ``crease-interrupted``.
    """
    lines: list[Floats] = []
    angles: list[float] = []
    findings: list[Finding] = []
    cuts = [Cuts.none()]
    for fold in panel.folds:
        if not fold.crease or len(fold.across) < 2:
            continue
        path = LineString(fold.across)
        (x0, y0), (x1, y1) = fold.start, fold.end
        angle = float(np.degrees(np.arctan2(y1 - y0, x1 - x0)) % 180)
        pieces, ends = _pieces(path, panel)
        lines += pieces
        cuts.append(ends)
        angles += [angle] * len(pieces)
        findings += _interrupted(fold, path, panel, len(pieces))
    return FillLines.of(
        [[line] for line in lines], angles, findings=findings, cuts=Cuts.joined(cuts)
    )


def creased_edges(panel: Panel) -> Floats:
    """The stretches of creased folds, ``(k, 2, 2)``: a line close beside one is left out."""
    ways = [np.array(fold.across) for fold in panel.folds if fold.crease]
    if not ways:
        return np.empty((0, 2, 2))
    return np.concatenate([np.stack([way[:-1], way[1:]], axis=1) for way in ways])


def _pieces(path: LineString, panel: Panel) -> tuple[list[Floats], Cuts]:
    cut, _, cuts = Clip.to(panel.sewable).curves(np.array([path], dtype=object))
    inside = shapely.length(shapely.intersection(cut, panel.outline))
    kept = cut[inside >= LEAST_LINE_MM]
    # in the order of the fold, and along it
    far = shapely.line_locate_point(path, shapely.line_interpolate_point(kept, 0.0))
    return [shapely.get_coordinates(line) for line in kept[np.argsort(far, kind="stable")]], cuts


def _interrupted(fold: Fold, path: LineString, panel: Panel, pieces: int) -> list[Finding]:
    """A note where something lies on a crease."""
    within = shapely.intersection(path, panel.outline)
    on = [
        (zone.name, zone.outline)
        for zone in panel.keep_outs
        if not shapely.intersection(within, _zone(zone.outline, zone.reach, zone.zone)).is_empty
    ]
    on += [
        (dart.name, dart.zone)
        for dart in panel.darts
        if shapely.intersection(within, dart.zone).length > LEAST_LINE_MM
    ]
    if not on:
        return []
    spot = shapely.get_coordinates(shapely.shortest_line(on[0][1], within))[1]
    names = ", ".join(f'"{name}"' for name, _ in on)
    what = "is interrupted by" if pieces else "is not sewn at all because of"
    return [
        Finding(
            code="crease-interrupted",
            severity="note" if pieces else "warning",
            where=f"{fold.name}, near {place(spot)}",
            message=f'the crease of "{fold.name}" {what} {names}',
            remedy="press the fold by hand there, or move what lies on it",
        )
    ]


def _zone(outline: shapely.Polygon, reach: float, zone: shapely.Polygon | None) -> shapely.Geometry:
    return outline.buffer(reach) if zone is None else zone
