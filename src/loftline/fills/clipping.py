"""Curves clipped to the region of a field, and without what hugs the edge of its part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.clips import Clip, Cuts
from loftline.fills.straight import LEAST_LINE_MM
from loftline.project import FillSpec
from loftline.values import Bools, Field, Floats

_SHARE_OF_SPACING = 0.25
_SHORT = 5.0
_ALONG = math.sin(math.radians(15))
_TOUCHING_MM = 1e-9
_MARGIN = 1e-6


def start_of(field: Field, spec: FillSpec) -> Floats:
    """The point a design goes out from, ``(2,)``."""
    return np.array(spec.start or field.centre, np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """Where a region lies as seen from a point: only there need anything be drawn.

    Attributes:
        nearest, farthest: bounds of its distance, mm.
        low, high: bounds of its direction, in turns from x, counter-clockwise; ``low`` from 0,
            ``high`` at most one turn on.
    """

    nearest: float = 0.0
    farthest: float
    low: float = 0.0
    high: float = 1.0


def sector_of(field: Field, centre: Floats) -> Sector:
    """The sector in which a field's region lies."""
    corners = shapely.get_coordinates(field.region) - centre
    if not len(corners):
        return Sector(farthest=0.0)
    farthest = float(np.hypot(*corners.T).max())
    hull = shapely.convex_hull(field.region)
    nearest = float(shapely.distance(hull, shapely.points(centre)))
    if nearest < _TOUCHING_MM:
        return Sector(farthest=farthest)
    # all corners lie within a quarter turn of the way to the nearest point of the hull
    foot = shapely.get_coordinates(shapely.shortest_line(shapely.points(centre), hull))[1] - centre
    ahead = math.atan2(foot[1], foot[0]) / (2 * math.pi)
    turned = np.arctan2(foot[0] * corners[:, 1] - foot[1] * corners[:, 0], corners @ foot)
    low = (ahead + float(turned.min()) / (2 * math.pi) - _MARGIN) % 1.0
    wide = float(turned.max() - turned.min()) / (2 * math.pi) + 2 * _MARGIN
    return Sector(nearest=nearest, farthest=farthest, low=low, high=low + min(wide, 1.0))


def clip_outward(
    curves: Sequence[Floats], field: Field, centre: Floats
) -> tuple[list[Floats], Cuts]:
    """What of curves that lead away from a centre lies in the region.

    Args:
        curves: ``(k, 2)`` each; all along them the distance from the centre grows.
        field: for its region.
        centre: ``(2,)``.

    Returns:
        Pieces from the centre outward, the one that begins nearest first, and the ends that
        the border of the region has made.
    """
    lines = np.array([shapely.linestrings(curve) for curve in curves], dtype=object)
    parts, _, cuts = Clip.to(field.region).curves(lines)
    pieces = [np.asarray(shapely.get_coordinates(line)) for line in parts]
    return _outward(pieces, centre), cuts


def _outward(pieces: list[Floats], centre: Floats) -> list[Floats]:
    turned = []
    for piece in pieces:
        near, far = np.hypot(*(piece[[0, -1]] - centre).T)
        turned.append(piece if near < far else piece[::-1])
    turned.sort(key=lambda piece: float(np.hypot(*(piece[0] - centre))))
    return turned


def clear_of_edges(piece: Floats, field: Field, spacing: float) -> list[Floats]:
    """A curve without what runs far along an edge of the part.

    A stretch of fewer than :data:`_SHORT` spacings stays: left out, it would be two ends of
    thread inside the panel.

    Args:
        piece: ``(n, 2)`` mm.
        field: for the outline of the part.
        spacing: mm between lines.
    """
    hugging = hugs_the_edge(piece, field, spacing)
    if not hugging.any():
        return [piece]
    mm = np.hypot(*np.diff(piece, axis=0).T)
    changes = np.flatnonzero(np.diff(np.concatenate([[False], hugging, [False]]).astype(int)))
    for first, end in zip(changes[::2], changes[1::2], strict=True):
        if first > 0 and end < len(hugging) and mm[first:end].sum() < _SHORT * spacing:
            hugging[first:end] = False
    bounds = np.flatnonzero(np.diff(np.concatenate([[True], hugging, [True]]).astype(int)))
    return [piece[a : b + 1] for a, b in zip(bounds[::2], bounds[1::2], strict=True)]


def hugs_the_edge(points: Floats, field: Field, spacing: float) -> Bools:
    """Which stretches run along the edge of the part, nearer than a quarter of the spacing.

    Args:
        points: ``(n, 2)`` mm.
        field: for the outline of the part.
        spacing: mm between lines.

    Returns:
        ``(n - 1,)``.
    """
    return runs_beside(points, field.outline.boundary, spacing)


def runs_beside(points: Floats, edge: shapely.Geometry, spacing: float) -> Bools:
    """Which stretches run along any edges, nearer than a quarter of the spacing.

    Args:
        points: ``(n, 2)`` mm.
        edge: lines.
        spacing: mm between lines.

    Returns:
        ``(n - 1,)``.
    """
    middle = (points[1:] + points[:-1]) / 2
    spots = np.asarray(shapely.points(middle), dtype=object)
    near = np.asarray(shapely.dwithin(edge, spots, _SHARE_OF_SPACING * spacing))
    if not near.any():
        return near
    foot = shapely.get_coordinates(shapely.shortest_line(spots[near], edge)).reshape(-1, 2, 2)
    across = foot[:, 1] - foot[:, 0]
    away = np.hypot(*across.T)
    step = (points[1:] - points[:-1])[near]
    lean = np.abs((step * across).sum(axis=1)) / np.hypot(*step.T)
    out = near.copy()
    out[near] = lean <= _ALONG * np.maximum(away, _TOUCHING_MM)
    return out


def worth_sewing(
    pieces: Sequence[Floats], field: Field, least: float = LEAST_LINE_MM
) -> list[Floats]:
    """The pieces with so much inside the part, mm; a stitch unless said."""
    if not pieces:
        return []
    lines = np.array([shapely.linestrings(piece) for piece in pieces], dtype=object)
    inside = shapely.length(shapely.intersection(lines, field.outline))
    return [piece for piece, mm in zip(pieces, inside, strict=True) if mm >= least]
