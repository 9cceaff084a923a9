"""Echo round one thing: lines at even distances outward from it, as far as the field goes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from loftline.clips import Clip, Cuts
from loftline.fills.clipping import clear_of_edges, worth_sewing
from loftline.fills.cut_up import cut_up
from loftline.fills.levels import Ring
from loftline.geometry import polygons
from loftline.values import Area, Field, Floats

_FIRST = 0.5
"""The first line lies so many spacings out, as far as an echo keeps from any keep-out."""

_SAG_MM = 0.005
_LEAST_QUARTER = 12


def rings_round(
    around: Area, field: Field, spacing: float
) -> tuple[list[Ring], list[Floats], Cuts]:
    """Whole rings round a thing, and pieces of those that an edge or a keep-out cuts.

    Args:
        around: what they go round, mm.
        field: where they lie.
        spacing: mm between them; the first lies half of it out.

    Returns:
        Rings, the innermost first, and open lines with their ends on rings of the region.
        Left out is what runs far along an edge of the part, nearer than a quarter of the spacing.
        And the ends that the border of the region has made.
    """
    whole: list[Ring] = []
    pieces: list[Floats] = []
    core = Polygon(polygons(around)[0].exterior)
    corners = shapely.get_coordinates(field.region)
    if not len(corners):
        return whole, pieces, Cuts.none()
    clip, made = Clip.to(field.region), [Cuts.none()]
    reach = float(shapely.distance(core, shapely.points(corners)).max())
    for level in range(math.ceil(max(reach / spacing - _FIRST, 0.0))):
        out = (_FIRST + level) * spacing
        for ring in polygons(core.buffer(out, quad_segs=_quarter(out))):
            curve = np.asarray(shapely.get_coordinates(ring.exterior))
            inside, cuts = cut_up(curve, clip, closed=True)
            made.append(cuts)
            for piece, loop in inside:
                for clear in clear_of_edges(piece, field, spacing):
                    if loop and len(clear) == len(piece):
                        whole.append(Ring(points=clear, level=level))
                    else:
                        pieces.append(clear)
    return whole, _long_enough(pieces, field, spacing), Cuts.joined(made)


def _quarter(radius: float) -> int:
    """Chords of a quarter circle that leave it by :data:`_SAG_MM` at most."""
    return max(_LEAST_QUARTER, math.ceil(math.pi / 4 / math.sqrt(2 * _SAG_MM / radius)))


def _long_enough(pieces: Sequence[Floats], field: Field, spacing: float) -> list[Floats]:
    long = [p for p in pieces if np.hypot(*np.diff(p, axis=0).T).sum() >= spacing]
    return worth_sewing(long, field)
