"""Which pieces of a motif are sewn, and in which family each is."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from loftline.fills.motif.cutting import Pieces
from loftline.units import SAME_PLACE_MM
from loftline.values import Area, Bools, Ints

_CRUMB_MM = 3.0
"""A piece that was cut off and shows no more than this is one stitch: left out."""

_GRAIN_MM = 1.0
"""A line of which less lies in the part is left out, even if it was drawn so small."""


def shapes_of(pieces: Pieces) -> npt.NDArray[np.object_]:
    """The pieces as shapes."""
    if not pieces.curves:
        return np.empty(0, dtype=object)
    sizes = [len(curve) for curve in pieces.curves]
    number = np.repeat(np.arange(len(sizes)), sizes)
    return np.asarray(
        shapely.linestrings(np.concatenate(pieces.curves), indices=number), dtype=object
    )


def worth_sewing(pieces: Pieces, shapes: npt.NDArray[np.object_], outline: Area) -> Bools:
    """Pieces of which enough shows in the part, and small ones on which another line ends.

    Args:
        pieces: lines in a region.
        shapes: the same as shapes.
        outline: of the part.
    """
    shows = np.asarray(shapely.length(shapes))
    shapely.prepare(outline)
    beyond = ~shapely.contains(outline, shapes)
    shows[beyond] = shapely.length(shapely.intersection(shapes[beyond], outline))
    kept = np.asarray(shows >= np.where(pieces.whole, _GRAIN_MM, _CRUMB_MM))
    ends = {
        tuple(point)
        for k in np.flatnonzero(kept & ~pieces.closed).tolist()
        for point in pieces.curves[k][[0, -1]].tolist()
    }
    for k in np.flatnonzero(~kept & (shows >= _GRAIN_MM)).tolist():
        kept[k] = any(tuple(point) in ends for point in pieces.curves[k][1:-1].tolist())
    return kept


def families_apart(pieces: Pieces, shapes: npt.NDArray[np.object_], family: Ints) -> Ints:
    """Families such that pieces of one line that crosses itself are apart where they cross.

    Args:
        pieces: lines in a region.
        shapes: the same as shapes.
        family: ``(m,)`` of the line each was cut from.

    Returns:
        ``(m,)``, numbered from 0 without gaps.
    """
    some = np.flatnonzero(~pieces.whole)
    tree = shapely.STRtree(shapes[some])
    i, j = tree.query(shapes[some], predicate="dwithin", distance=SAME_PLACE_MM)
    i, j = some[i], some[j]
    met = (i > j) & (pieces.line[i] == pieces.line[j])
    before: dict[int, list[int]] = {}
    for later, earlier in sorted(zip(i[met].tolist(), j[met].tolist(), strict=True)):
        before.setdefault(later, []).append(earlier)
    shade = np.zeros(len(family), np.int64)
    for piece in sorted(before):
        taken = set(shade[before[piece]].tolist())
        shade[piece] = next(n for n in range(len(taken) + 1) if n not in taken)
    _, out = np.unique(np.column_stack([shade, family]), axis=0, return_inverse=True)
    return out.astype(np.int64).ravel()
