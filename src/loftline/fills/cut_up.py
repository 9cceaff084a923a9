"""Curves cut to a region, loops as well."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from loftline.values import Area, Floats

_WITHIN_MM = 1e-6


def cut_up(curve: Floats, region: Area, *, closed: bool) -> list[tuple[Floats, bool]]:
    """What of a curve lies in a region.

    Args:
        curve: ``(k, 2)`` mm; a loop repeats its first point.
        region: where lines may lie.
        closed: whether it is a loop.

    Returns:
        Pieces with whether each is a loop: the whole loop where nothing cuts it. What lies
        before and after a loop's first point is one piece.
    """
    line = shapely.linestrings(curve)
    if shapely.covers(region.buffer(_WITHIN_MM), line):
        return [(curve, closed)]
    parts = _lines(np.asarray(shapely.intersection(line, region), dtype=object))
    if closed and len(parts) > 1:
        merged = shapely.line_merge(shapely.multilinestrings(list(parts)))
        parts = _lines(np.asarray(merged, dtype=object))
    return [(np.asarray(shapely.get_coordinates(part)), False) for part in parts]


def _lines(cut: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
    parts = shapely.get_parts(shapely.get_parts(cut))
    kept: npt.NDArray[np.object_] = parts[
        (shapely.get_type_id(parts) == 1) & ~shapely.is_empty(parts)
    ]
    return kept
