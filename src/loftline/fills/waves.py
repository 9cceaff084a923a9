"""Wavy lines: one sine moved across, all crests abreast."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from loftline.clips import Clip, Cuts
from loftline.fills.straight import LEAST_LINE_MM
from loftline.geometry import axes
from loftline.values import Field, Floats, Ints

_SAG_MM: Final = 0.005
_CHORD_MM: Final = (0.25, 1.0)
"""Between points of a curve; the same as of all curves."""

_SHARE_OF_SPACING: Final = 0.25
_PEEP: Final = 0.25
"""Of a piece with less than this inside the part only crests show, along its edge."""


def wave_family(
    field: Field, angle: float, spacing: float, offsets: Floats, wave: tuple[float, float]
) -> tuple[list[Floats], Floats, Cuts]:
    """The pieces of wavy lines that lie in a field.

    A crest lies abreast of the field's centre. Of one sine, moved by a spacing square to the
    angle, no two copies come nearer than spacing / sqrt(1 + (pi height / length)**2): the
    distance of a point from a graph whose slope is bounded.

    Args:
        field: region, part and centre.
        angle: degrees from x, counter-clockwise.
        spacing: mm between neighbours, on average.
        offsets: ``(n,)`` rising distances of the lines' middles from the centre.
        wave: mm from trough to crest, mm from crest to crest.

    Returns:
        Pieces ``(k, 2)`` with their ends on rings of the region, by line, then along it; those
        with less than :data:`~loftline.fills.straight.LEAST_LINE_MM` inside the part are left
        out, and those of which only crests come in, no farther than a quarter of the spacing.
        And ``(k,)`` the offset of each piece's line, and the ends that the border made.
    """
    height, length = wave
    along, across = axes(angle)
    if not len(offsets) or field.region.is_empty:
        return [], np.empty(0), Cuts.none()
    far = (shapely.get_coordinates(field.region) - np.asarray(field.centre)) @ along
    u = _places(float(far.min()) - length, float(far.max()) + length, height, length)
    v = height / 2 * np.cos(2 * math.pi * u / length)
    curve = u[:, None] * along + v[:, None] * across + np.asarray(field.centre)
    whole = shapely.linestrings(curve + (offsets[:, None] * across)[:, None, :])
    parts, line, cuts = Clip.to(field.region).curves(whole)
    inside = shapely.length(shapely.intersection(parts, field.outline))
    peeps = inside < _PEEP * shapely.length(parts)
    peeps &= ~shapely.intersects(parts, field.outline.buffer(-_SHARE_OF_SPACING * spacing))
    worth = (inside >= LEAST_LINE_MM) & ~peeps
    parts, line = parts[worth], line[worth]
    curves, order = _sorted_along(parts, line, along)
    return curves, offsets[line[order]], cuts


def _places(low: float, high: float, height: float, length: float) -> Floats:
    """Places along a wave, near enough to each other and symmetrical about 0."""
    tightest = 1 / (height / 2 * (2 * math.pi / length) ** 2)
    chord = min(max(math.sqrt(8 * _SAG_MM * tightest), _CHORD_MM[0]), _CHORD_MM[1])
    # crests and troughs are points of the curve
    step = length / (4 * max(math.ceil(length / 4 / chord), 2))
    return np.arange(math.floor(low / step), math.ceil(high / step) + 1, dtype=np.float64) * step


def _sorted_along(
    parts: npt.NDArray[np.object_], line: Ints, along: Floats
) -> tuple[list[Floats], Ints]:
    """Pieces by line, then along it, and which each of them is."""
    curves = [shapely.get_coordinates(part) for part in parts]
    # an intersection may turn pieces round
    curves = [c if (c[-1] - c[0]) @ along >= 0 else c[::-1] for c in curves]
    first = np.array([curve[0] @ along for curve in curves])
    order = np.lexsort((first, line))
    return [curves[i] for i in order.tolist()], order
