"""How far the needle stays from what must be kept clear: clearance, allowances, the foot."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from loftline.geometry import ARC_SEGMENTS, axes
from loftline.project import FootSpec, Project
from loftline.units import PLAN_MARGIN_MM
from loftline.values import Area, Dart, KeepOut

LEAST_DIRECTED_STITCH_MM = 2.5
"""Shorter stitches, rounded to whole tenths, point too far off their line to turn a foot by."""

WORTH_IT = 0.95
"""A zone that saves less than this share of the disc is left a disc, the simpler one."""

DIRECTION_ERROR = 0.15 / 2
"""A stitch of 2 mm, its ends rounded, is off its direction by less than this (radians)."""


def with_allowances(
    zones: tuple[KeepOut, ...], project: Project, outline: Polygon
) -> tuple[KeepOut, ...]:
    """Zones that reach farther by the tolerance of placing and by their share of the draw-in.

    Quilting draws the panel together toward its centre, so a place moves by the percentage
    of its distance from there; the farthest point of the hard edge counts.
    """
    tolerance, percent = project.quilting.placing_tolerance, project.zone_draw_in
    if tolerance == 0 and percent == 0:
        return zones
    x0, y0, x1, y1 = outline.bounds
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    out = []
    for zone in zones:
        away = np.hypot(*(shapely.get_coordinates(zone.outline.exterior) - centre).T).max()
        share = float(away) * percent / 100
        reach = zone.reach + tolerance + share
        out.append(replace(zone, tolerance=tolerance, draw_in=share, reach=reach))
    return tuple(out)


def by_foot(
    zones: tuple[KeepOut, ...], darts: tuple[Dart, ...], project: Project, ground: Area
) -> tuple[KeepOut, ...]:
    """What stands above, kept clear of the foot as it really passes, where that can be proved.

    The disc swept by the foot's farthest corner is safe whatever way the needle goes. Where
    all lines are straight, less is enough: the hard edge grown by the foot turned along
    each family, both ways. Such a zone is convex, and it holds the hard edge grown by the
    foot's sides, so the foot is clear of it when the needle travels round it too. It is
    taken for a piece whose disc lies within the ground and touches no other zone: all other
    ways then lie outside the disc. Source of the method: Minkowski sum of two convex sets.
    """
    foot, sewing = project.machine.foot, project.quilting
    straight = all(fill.straight for fill in project.fills)
    if foot is None or not straight or sewing.stitch_length < LEAST_DIRECTED_STITCH_MM:
        return zones
    angles = sorted({angle % 180 for fill in project.fills for angle in fill.angles})
    if project.machine.guided == "machine":
        angles.append(90.0)  # the machine does not turn the panel: the foot looks along y
    discs = [_grown(zone.outline, zone.reach) for zone in zones]
    kept = [_grown(dart.zone, 0.0) for dart in darts]
    out = []
    for i, zone in enumerate(zones):
        others = discs[:i] + discs[i + 1 :] + kept
        alone = ground.contains_properly(discs[i]) and not any(
            discs[i].intersects(other) for other in others
        )
        if zone.lies == "above" and zone.hardware and alone:
            out.append(_directed(zone, foot, angles))
        else:
            out.append(zone)
    return tuple(out)


def _grown(outline: Polygon, reach: float) -> Area:
    return outline.buffer(reach + PLAN_MARGIN_MM + 1e-6, quad_segs=ARC_SEGMENTS)


def _directed(zone: KeepOut, foot: FootSpec, angles: list[float]) -> KeepOut:
    side, ahead = max(foot.left, foot.right), max(foot.front, foot.back)
    corner = math.hypot(side, ahead)
    more = zone.clearance + zone.tolerance + zone.draw_in
    # all pieces are discs and rectangles: the sum of the hulls is the hull of the sums
    hard = shapely.get_coordinates(
        zone.outline.convex_hull.buffer(more + corner * DIRECTION_ERROR, quad_segs=ARC_SEGMENTS)
    )
    swept = []
    for angle in angles:
        direction, across = axes(angle)
        for forward in (-ahead, ahead):
            swept += [hard + forward * direction + sideways * across for sideways in (-side, side)]
    least = side + more
    swept.append(shapely.get_coordinates(_round(zone.outline, least)))
    hull = shapely.convex_hull(shapely.multipoints(np.concatenate(swept)))
    disc = _round(zone.outline, zone.reach)
    if not isinstance(hull, Polygon) or hull.area > WORTH_IT * disc.area:
        return zone
    return replace(zone, reach=least, zone=hull)


def _round(outline: Polygon, distance: float) -> Polygon:
    return outline.convex_hull.buffer(distance + 0.01, quad_segs=ARC_SEGMENTS)
