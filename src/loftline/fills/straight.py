"""Families of parallel straight lines through the part's centre."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from loftline.clips import Cuts
from loftline.geometry import axes, clip_family, clip_lines, ranges, rings
from loftline.values import Field, Floats, Ints

LEAST_LINE_MM = 2.0
"""A shorter piece of a line is left out: it is less than a stitch."""

_PARALLEL = math.sin(math.radians(0.5))
_SHARE_OF_SPACING = 0.25
_CLEAR_SPACINGS = 3.0
"""A line with this much of it clear of the edge is kept whole: leaving it out would gape."""


class Straight(NamedTuple):
    """Straight lines: their pieces, ``(k, 2, 2)``, and the ends that an edge has made."""

    pieces: Floats
    cuts: Cuts


def family(field: Field, angle: float, spacing: float) -> Straight:
    """The pieces of one family of even spacing that are worth sewing.

    Left out are pieces shorter than :data:`LEAST_LINE_MM` inside the part, pieces wholly in
    the waste, and lines nearer than a quarter of the spacing to a parallel edge of the part
    or to a parallel crease.

    Args:
        field: region, centre and creases.
        angle: degrees from x, counter-clockwise.
        spacing: millimetres between neighbours.

    Returns:
        Pieces from start to end along the angle, sorted by line, then along it.
    """
    pieces, number, marks = clip_family(field.region, angle, spacing, field.centre)
    inner, inner_number, _ = clip_family(field.outline, angle, spacing, field.centre)
    every = np.concatenate([number, inner_number])
    cuts = Cuts(points=pieces.reshape(-1, 2), marks=marks.ravel())
    if not len(pieces):
        return Straight(pieces, cuts)
    low = int(every.min())
    offsets = np.arange(low, int(every.max()) + 1, dtype=np.float64) * spacing
    cut = _Cut(pieces, number - low, inner, inner_number - low)
    return Straight(_worth_sewing(field, angle, spacing, offsets, cut), cuts)


def family_at(
    field: Field, angle: float, spacing: float, offsets: Floats, *, paired: bool = False
) -> Straight:
    """The same for lines at any distances from each other.

    Args:
        field: region, centre and creases.
        angle: degrees from x, counter-clockwise.
        spacing: millimetres between neighbours, on average.
        offsets: ``(n,)`` rising distances from the centre, to the left of the angle.
        paired: whether each two of them are a pair, which is left out as one.

    Returns:
        Pieces as from :func:`family`.
    """
    pieces, number, marks = clip_lines(field.region, angle, offsets, field.centre)
    cuts = Cuts(points=pieces.reshape(-1, 2), marks=marks.ravel())
    if not len(pieces):
        return Straight(pieces, cuts)
    cut = _Cut(pieces, number, *clip_lines(field.outline, angle, offsets, field.centre)[:2])
    worth = _worth_sewing(field, angle, spacing, offsets, cut, paired=paired)
    return Straight(worth, cuts)


class _Cut(NamedTuple):
    """Pieces of lines in the region and in the part, each with the index of its line."""

    pieces: Floats
    number: Ints
    inner: Floats
    inner_number: Ints


def _worth_sewing(
    field: Field, angle: float, spacing: float, offsets: Floats, cut: _Cut, *, paired: bool = False
) -> Floats:
    along, _ = axes(angle)
    u = (cut.pieces - np.asarray(field.centre)) @ along
    v = (cut.inner - np.asarray(field.centre)) @ along
    inside = _shared_length(u, cut.number, v, cut.inner_number)
    # of each stretch inside the part, what lies beside a parallel edge
    edges = _parallel_edges(field, angle)
    near, far = _close(edges[2], offsets, _SHARE_OF_SPACING * spacing, paired=paired)
    beside = _beside_an_edge(v, cut.inner_number, edges, near, far, offsets)
    length = v[:, 1] - v[:, 0]
    lost = (beside > length / 2) & (length - beside < _CLEAR_SPACINGS * spacing)
    left = _shared_length(u, cut.number, v[~lost], cut.inner_number[~lost])
    keep = (inside >= LEAST_LINE_MM) & (left >= LEAST_LINE_MM)
    return cut.pieces[keep]


def _shared_length(u: Floats, number: Ints, other: Floats, other_number: Ints) -> Floats:
    """How much of each interval lies in the disjoint intervals of the same line number."""
    if not len(u) or not len(other):
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


def _parallel_edges(field: Field, angle: float) -> tuple[Floats, Floats, Floats]:
    """Edges and creases along the angle: where each begins, ends, and how far across it lies."""
    along, across = axes(angle)
    curves = rings(field.outline)
    a = np.concatenate([*(c[:-1] for c in curves), field.creases[:, 0]]) - np.asarray(field.centre)
    b = np.concatenate([*(c[1:] for c in curves), field.creases[:, 1]]) - np.asarray(field.centre)
    length = np.hypot(*(b - a).T)
    level = np.abs((b - a) @ across) <= _PARALLEL * length
    a, b = a[level], b[level]
    first, last = np.sort(np.column_stack([a @ along, b @ along]), axis=1).T
    return first, last, (a + b) @ across / 2


def _close(at: Floats, offsets: Floats, reach: float, *, paired: bool) -> tuple[Ints, Ints]:
    """Edges and the lines within reach of each; with a line of a pair the other one too."""
    reach -= 1e-9
    first = np.searchsorted(offsets, at - reach, side="right")
    count = np.maximum(np.searchsorted(offsets, at + reach) - first, 0)
    edge, line = np.repeat(np.arange(len(at)), count), ranges(first, count)
    if paired:
        edge, line = np.concatenate([edge, edge]), np.concatenate([line, line ^ 1])
    return edge, line


def _beside_an_edge(
    u: Floats,
    number: Ints,
    edges: tuple[Floats, Floats, Floats],
    edge: Ints,
    line: Ints,
    offsets: Floats,
) -> Floats:
    """How much of each stretch lies beside an edge that is close to its line."""
    first, last, at = edges
    span = np.column_stack([first[edge], last[edge]])
    covered = np.zeros(len(u))
    # edges on the two sides of one line may overlap: count each side by itself
    side = at[edge] > offsets[line]
    for which in (True, False):
        here = side == which
        covered = np.maximum(covered, _shared_length(u, number, span[here], line[here]))
    return covered
