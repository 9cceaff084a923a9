"""Channels and grids: families of parallel straight lines through the part's centre."""

from __future__ import annotations

import math

import numpy as np

from loftline.geometry import axes, clip_family, rings
from loftline.values import Field, Floats, Ints

LEAST_LINE_MM = 2.0
"""A shorter piece of a line is left out: it is less than a stitch."""

_PARALLEL = math.sin(math.radians(0.5))
_SHARE_OF_SPACING = 0.25
_CLEAR_SPACINGS = 3.0
"""A line with this much of it clear of the edge is kept whole: leaving it out would gape."""


def family(field: Field, angle: float, spacing: float, creases: Floats | None = None) -> Floats:
    """The pieces of one family that are worth sewing.

    Left out are pieces shorter than :data:`LEAST_LINE_MM` inside the part, pieces wholly in
    the waste, and lines nearer than a quarter of the spacing to a parallel edge of the part
    or to a parallel crease.

    Args:
        field: region and centre.
        angle: degrees from x, counter-clockwise.
        spacing: millimetres between neighbours.
        creases: ``(k, 2, 2)`` stretches sewn along folds.

    Returns:
        ``(k, 2, 2)`` pieces from start to end along the angle, sorted by line, then along it.
    """
    pieces, number = clip_family(field.region, angle, spacing, field.centre)
    if not len(pieces):
        return pieces
    along, _ = axes(angle)
    u = (pieces - np.asarray(field.centre)) @ along
    inner, inner_number = clip_family(field.outline, angle, spacing, field.centre)
    v = (inner - np.asarray(field.centre)) @ along
    inside = _shared_length(u, number, v, inner_number)
    # of each stretch inside the part, what lies beside a parallel edge
    beside = _beside_an_edge(field, angle, spacing, v, inner_number, creases)
    length = v[:, 1] - v[:, 0]
    lost = (beside > length / 2) & (length - beside < _CLEAR_SPACINGS * spacing)
    left = _shared_length(u, number, v[~lost], inner_number[~lost])
    keep = (inside >= LEAST_LINE_MM) & (left >= LEAST_LINE_MM)
    return pieces[keep]


def _shared_length(u: Floats, number: Ints, other: Floats, other_number: Ints) -> Floats:
    """How much of each interval lies in the disjoint intervals of the same line number."""
    if not len(other):
        return np.zeros(len(u))
    order = np.lexsort((other[:, 0], other_number))
    other, other_number = other[order], other_number[order]
    low = min(u.min(), other.min())
    stride = max(u.max(), other.max()) - low + 1.0
    base = min(number.min(), other_number.min())
    at = ((other_number - base) * stride)[:, None] + (other - low)
    total = np.cumsum(other[:, 1] - other[:, 0])
    passed = np.column_stack([np.append(0.0, total[:-1]), total]).ravel()
    asked = ((number - base) * stride)[:, None] + (u - low)
    reached = np.interp(asked, at.ravel(), passed)
    return np.asarray(reached[:, 1] - reached[:, 0])


def _beside_an_edge(
    field: Field,
    angle: float,
    spacing: float,
    u: Floats,
    number: Ints,
    creases: Floats | None,
) -> Floats:
    """How much of each stretch lies nearer than a quarter of the spacing to a parallel edge."""
    along, across = axes(angle)
    curves = rings(field.outline)
    a = np.concatenate([c[:-1] for c in curves]) - np.asarray(field.centre)
    b = np.concatenate([c[1:] for c in curves]) - np.asarray(field.centre)
    if creases is not None:
        a = np.concatenate([a, creases[:, 0] - np.asarray(field.centre)])
        b = np.concatenate([b, creases[:, 1] - np.asarray(field.centre)])
    length = np.hypot(*(b - a).T)
    level = np.abs((b - a) @ across) <= _PARALLEL * length
    a, b = a[level], b[level]
    place = (a + b) @ across / 2 / spacing
    nearest = np.rint(place).astype(np.int64)
    close = np.abs(place - nearest) < _SHARE_OF_SPACING - 1e-9
    a, b, nearest = a[close], b[close], nearest[close]
    span = np.sort(np.column_stack([a @ along, b @ along]), axis=1)
    covered = np.zeros(len(u))
    # edges on the two sides of one line may overlap: count each side by itself
    side = place[close] > nearest
    for which in (True, False):
        covered = np.maximum(
            covered, _shared_length(u, number, span[side == which], nearest[side == which])
        )
    return covered
