"""Plane geometry of a face of the closed bag: the thread that shows, edges on top and beneath."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from loftline.geometry import are_lines
from loftline.values import Affine, Area, Floats, Ints, Kind, Panel
from loftline.writers.svg.strands import Strands

SAME_EDGE_MM = 0.05
GRID_MM = 1e-4


def seen_thread(strands: Strands, move: Affine, seen: Area) -> tuple[Floats, Ints]:
    """What is sewn, once, moved with its part and cut to what is seen of it; packed.

    Travel shows in the bag like any line. O(n log n).
    """
    count = np.diff(strands.starts)
    owner = np.repeat(np.arange(len(count)), count)
    wanted = np.isin(strands.kind, (Kind.LINE, Kind.TRAVEL))[owner]
    if not wanted.any():
        return np.empty((0, 2)), np.zeros(1, np.int64)
    _, number = np.unique(owner[wanted], return_inverse=True)
    moved = shapely.linestrings(move.points(strands.points[wanted]), indices=number)
    curves = np.asarray(moved, dtype=object)
    shapely.prepare(seen)
    inside = shapely.covers(seen, curves)
    crossing = curves[~inside & shapely.intersects(seen, curves)]
    # without a grid GEOS at times hands back a line that runs out of a slender area
    cut = shapely.intersection(crossing, seen, grid_size=GRID_MM)
    pieces = shapely.get_parts(shapely.get_parts(cut))
    pieces = np.concatenate([curves[inside], pieces])
    # what is shorter than the grid comes back as a line without points
    pieces = pieces[are_lines(pieces)]
    starts = np.concatenate([[0], np.cumsum(shapely.get_num_points(pieces))]).astype(np.int64)
    return shapely.get_coordinates(pieces), starts


def edges_of(
    panel: Panel, moves: Sequence[Affine], wholes: Sequence[Area], lining: Area
) -> tuple[shapely.Geometry, shapely.Geometry]:
    """Edges of parts that lie on others, and edges that others hide.

    Args:
        panel: for its folds: along them the fabric goes on.
        moves: of each part, in the order they are painted, to where it is drawn.
        wholes: each part there.
        lining: where the lining is seen there.
    """
    folds = shapely.MultiLineString([(fold.start, fold.end) for fold in panel.folds])
    on_top: list[shapely.Geometry] = []
    hidden: list[shapely.Geometry] = []
    for i, (move, whole) in enumerate(zip(moves, wholes, strict=True)):
        over = shapely.union_all(wholes[i + 1 :])
        edge = _own_edge(whole, move, folds)
        # an edge beside lining lies within the lining and the part together
        under = shapely.union_all([*wholes[:i], lining, whole])
        on_top.append(shapely.difference(_within(edge, under), over))
        hidden.append(_within(edge, over))
    return shapely.union_all(on_top), shapely.union_all(hidden)


def _own_edge(whole: Area, move: Affine, folds: shapely.Geometry) -> shapely.Geometry:
    """The part's edge but for its folds: there the fabric goes on."""
    along_folds = shapely.buffer(shapely.transform(folds, move.points), SAME_EDGE_MM)
    return shapely.difference(shapely.boundary(whole), along_folds)


def _within(edge: shapely.Geometry, others: shapely.Geometry) -> shapely.Geometry:
    """What of an edge lies on, under or amid others, not along their own edge."""
    return shapely.intersection(edge, shapely.buffer(others, -SAME_EDGE_MM))


def merged_lines(lines: shapely.Geometry) -> tuple[Floats, Ints]:
    """The lines of what set operations left, joined end to end, packed."""
    pieces = shapely.get_parts(shapely.line_merge(_lines_only(lines)))
    starts = np.concatenate([[0], np.cumsum(shapely.get_num_points(pieces))]).astype(np.int64)
    return shapely.get_coordinates(pieces), starts


def _lines_only(lines: shapely.Geometry) -> shapely.Geometry:
    pieces = shapely.get_parts(shapely.get_parts(lines))
    return shapely.MultiLineString(
        [piece for piece in pieces if piece.geom_type == "LineString" and piece.length > 0]
    )
