"""Curves cut to a region, loops as well."""

from __future__ import annotations

import numpy as np
import shapely

from loftline.clips import Clip, Cuts
from loftline.values import Floats

_WITHIN_MM = 1e-6


def cut_up(curve: Floats, clip: Clip, *, closed: bool) -> tuple[list[tuple[Floats, bool]], Cuts]:
    """What of a curve lies in a region.

    Args:
        curve: ``(k, 2)`` mm; a loop repeats its first point.
        clip: where lines may lie.
        closed: whether it is a loop.

    Returns:
        Pieces with whether each is a loop: the whole loop where nothing cuts it. What lies
        before and after a loop's first point is one piece. And the ends that the border of
        the region has made.
    """
    line = shapely.linestrings(curve)
    if shapely.covers(clip.area.buffer(_WITHIN_MM), line):
        # on the border or a hair beside it, as far as can be told
        ends = np.empty((0, 2)) if closed else curve[[0, -1]]
        return [(curve, closed)], Cuts(points=ends, marks=np.full(len(ends), np.nan))
    parts, _, cuts = clip.curves(np.array([line], dtype=object))
    if closed and len(parts) > 1:
        parts = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(list(parts))))
    return [(np.asarray(shapely.get_coordinates(part)), False) for part in parts], cuts
