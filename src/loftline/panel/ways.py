"""Ways: where the needle may travel between lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiLineString, Polygon

from loftline.geometry import inside_seams, only_polygons, pack, polygons, rings, strokes
from loftline.panel.laid_folds import shut_by_folds
from loftline.units import SAME_PLACE_MM
from loftline.values import Area, Bools, EdgeWay, Floats, Fold, Ints, Way, Ways


def make_ways(
    sewable: Area,
    ground: Area,
    edge: EdgeWay,
    folds: tuple[Fold, ...] = (),
    shut: Sequence[Area] = (),
) -> Ways:
    """Rings round the sewable area, and round what closed folds take out of it.

    Args:
        sewable: where the needle may go.
        ground: the same before keep-outs are taken out; its border is the edge.
        edge: whether there is travel along the edge.
        folds: from :func:`~loftline.panel.laid_folds.lay_folds`.
        shut: where there is no travel at all, from :func:`shut_to_travel`; they may overlap.

    Returns:
        The ways; a piece is open as a whole or not at all.
    """
    border = shapely.boundary(sewable)
    shapely.prepare(border)
    main = rings(sewable)
    beside = _beside_folds(sewable, folds)
    points, starts = pack([*main, *beside])
    of_fold = np.repeat(np.arange(len(starts) - 1) >= len(main), np.diff(starts))
    if shut and len(points):
        borders = MultiLineString(list(shapely.get_parts(shapely.boundary(list(shut)))))
        points, starts, of_fold = _split(points, starts, of_fold, borders)
    kind = np.full(len(points), int(Way.RING))
    allowed = np.ones(len(points), bool)
    if len(points) < 2:
        return Ways(points=points, starts=starts, kind=kind, open=allowed)
    middle = (points + np.roll(points, -1, axis=0)) / 2
    at = np.asarray(shapely.points(middle), dtype=object)
    edges = shapely.boundary(ground)
    shapely.prepare(edges)
    kind[shapely.dwithin(edges, at, SAME_PLACE_MM)] = int(Way.EDGE)
    allowed = (kind == Way.RING) | (edge != "none")
    for area in shut:
        allowed &= ~_within(area, at)
    if not beside:
        return Ways(points=points, starts=starts, kind=kind, open=allowed)
    # where it runs along the sewable area's own ring, that one is the way
    shared = of_fold & shapely.dwithin(border, at, SAME_PLACE_MM)
    return Ways(
        points=points,
        starts=starts,
        kind=kind,
        open=allowed & ~shared,
        joints=_joints(points, starts, of_fold, shared),
    )


def shut_to_travel(
    folds: tuple[Fold, ...],
    outline: Polygon,
    ground: Area,
    foam_to: str,
    seam_allowance: float,
) -> list[Area]:
    """Where there is no travel: across folds closed to it, and where no foam lies."""
    # past the border, or its own ring would lie on the edge of what is shut
    ground = only_polygons(ground.buffer(1.0))
    shut = shut_by_folds(folds, outline, ground)
    if foam_to == "overhang":
        return shut
    inset = seam_allowance if foam_to == "seam line" else 0.0
    return [*shut, only_polygons(shapely.difference(ground, inside_seams(outline, inset)))]


def _beside_folds(sewable: Area, folds: tuple[Fold, ...]) -> list[Floats]:
    strips = [fold.strip for fold in folds if fold.strip is not None]
    if not strips:
        return []
    taken = only_polygons(shapely.intersection(shapely.union_all(strips), sewable))
    return [shapely.get_coordinates(piece.exterior) for piece in polygons(taken)]


def _split(
    points: Floats, starts: Ints, of_fold: Bools, border: shapely.Geometry
) -> tuple[Floats, Ints, Bools]:
    """Rings with a point wherever they cross a border, so that no piece lies on both sides."""
    owner = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    piece = np.flatnonzero(owner[1:] == owner[:-1])
    drawn = strokes(points[piece], points[piece + 1])
    shapely.prepare(border)
    hit = np.flatnonzero(shapely.intersects(border, drawn))
    met, which = shapely.get_coordinates(
        shapely.intersection(drawn[hit], border), return_index=True
    )
    at = piece[hit[which]]
    before = np.hypot(*(met - points[at]).T)
    after = np.hypot(*(points[at + 1] - met).T)
    fresh = (before > SAME_PLACE_MM) & (after > SAME_PLACE_MM)
    order = np.lexsort((before[fresh], at[fresh]))
    met, at = met[fresh][order], at[fresh][order]
    added = np.bincount(owner[at], minlength=len(starts) - 1)
    return (
        np.insert(points, at + 1, met, axis=0),
        starts + np.concatenate([[0], np.cumsum(added)]),
        np.insert(of_fold, at + 1, of_fold[at]),
    )


def _within(area: Area, at: npt.NDArray[np.object_]) -> Bools:
    """Points inside an area and not on its border."""
    border = shapely.boundary(area)
    shapely.prepare(area)
    shapely.prepare(border)
    inside: Bools = shapely.contains(area, at) & ~shapely.dwithin(border, at, SAME_PLACE_MM)
    return inside


def _joints(points: Floats, starts: Ints, of_fold: Bools, shared: Bools) -> Floats:
    """Where a ring round a strip leaves the sewable area's own ring."""
    owner = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    # the piece before a ring's first point is its last but one: the last point repeats it
    before = np.roll(np.arange(len(points)), 1)
    before[starts[:-1]] = starts[1:] - 2
    last = np.zeros(len(points), bool)
    last[starts[1:] - 1] = True
    turns = of_fold & ~last & (shared != shared[before]) & (owner == owner[before])
    found: Floats = points[turns]
    return found
