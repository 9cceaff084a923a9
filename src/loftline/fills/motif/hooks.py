"""Lines that were cut just beyond a corner, without the hook that is left there."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
import shapely

from loftline.fills.motif.cutting import Pieces
from loftline.units import LEAST_STITCH_MM, SAME_PLACE_MM
from loftline.values import Area, Bools, Floats

_ROOM_MM: Final = LEAST_STITCH_MM + 0.2
"""Between a line's end and a corner there is room for a stitch, rounded to tenths, from here."""

_CORNER = math.cos(math.radians(30))


def without_hooks(pieces: Pieces, region: Area) -> Pieces:
    """Lead cut lines straight to their ends where the last corner lies too near for a stitch.

    The place where a line ends stays, on its ring; what is left out is shorter than a stitch.
    Where the straight way would leave the region, or another line ends on the corner, the
    corner stays too.
    """
    curves = list(pieces.curves)
    held = {tuple(end) for curve in curves for end in curve[[0, -1]].tolist()}
    for side in (1, -1):
        ends = [curve[::side][:3] for curve in curves]
        some = [k for k, end in enumerate(ends) if len(end) == 3 and not pieces.whole[k]]
        if not some:
            continue
        three = np.stack([ends[k] for k in some])
        for k in np.array(some)[_hooked(three) & _straight_inside(three, region)].tolist():
            curve = curves[k][::side]
            if tuple(curve[1].tolist()) in held:
                continue
            curves[k] = np.concatenate([curve[:1], curve[2:]])[::side]
    return replace(pieces, curves=tuple(curves))


def _hooked(three: Floats) -> Bools:
    """Whether the second of three points is a sharp corner too near to the first."""
    first, then = three[:, 1] - three[:, 0], three[:, 2] - three[:, 1]
    near, far = np.hypot(*first.T), np.hypot(*then.T)
    return np.asarray((near < _ROOM_MM) & ((first * then).sum(axis=1) < _CORNER * near * far))


def _straight_inside(three: Floats, region: Area) -> Bools:
    """Whether the way from the first, on a ring, straight to the third stays inside."""
    way = three[:, 2] - three[:, 0]
    length = np.maximum(np.hypot(*way.T), SAME_PLACE_MM)
    begin = three[:, 0] + way * np.minimum(SAME_PLACE_MM / length, 1.0)[:, None]
    shapely.prepare(region)
    straight = shapely.linestrings(np.stack([begin, three[:, 2]], axis=1))
    inside: Bools = np.asarray(shapely.covers(region, straight), bool) & (length > _ROOM_MM)
    return inside
