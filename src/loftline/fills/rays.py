"""Rays from a point, the more of them the farther out, so that they lie evenly dense."""

from __future__ import annotations

import math

import numpy as np

from loftline.errors import Step
from loftline.fills.clipping import (
    Sector,
    clip_outward,
    hugs_the_edge,
    sector_of,
    start_of,
    worth_sewing,
)
from loftline.fills.fill_lines import FillLines
from loftline.fills.straight import LEAST_LINE_MM
from loftline.project import FillSpec
from loftline.values import Field, Floats, Quality

_FIRST = 4
_MOST_DOUBLINGS = 20
_BRANCH = 0.6
"""How far before and beyond its beginning a branch leaves its neighbour and is a ray."""
_CHORDS = 12
_STUB = 0.5
"""A piece that shows less than this, in spacings, is a stub and is left out."""


def rays(field: Field, spec: FillSpec, _seed: int, _quality: Quality, step: Step) -> FillLines:
    """Rays from a point out to the edge of the region, cut by keep-outs.

    Four begin near the point; between each two neighbours another begins where there is room
    for it at the spacing, and so on. Joined, the four begin at the point and each other one
    branches off a neighbour, always two from one place: so nothing ends inside. A piece that
    runs mostly along an edge of the part, nearer than a quarter of the spacing, is left out.
    """
    step("rays", 0, 1)
    centre = start_of(field, spec)
    sector = sector_of(field, centre)
    apart = beginnings(centre, spec.spacing, sector)
    drawn = list(branched(apart, centre, spec.spacing) if spec.joined else apart)
    if not drawn:
        return FillLines.of([[]], [math.nan])
    kept = []
    least = max(LEAST_LINE_MM, _STUB * spec.spacing)
    pieces, cuts = clip_outward(drawn, field, centre)
    for piece in worth_sewing(pieces, field, least):
        count = max(2, math.ceil(8 * float(np.hypot(*(piece[-1] - piece[0]))) / spec.spacing))
        fine = np.linspace(piece[0], piece[-1], count)
        if hugs_the_edge(fine, field, spec.spacing).mean() <= 0.5:
            kept.append(piece)
    return FillLines.of([kept], [math.nan], cuts=cuts)


def branched(apart: Floats, centre: Floats, spacing: float) -> list[Floats]:
    """Rays that begin on each other: the first four at the centre, the others on a neighbour.

    Of the n rays that a doubling makes, each fourth one gets the new ones on both sides, so
    where they branch off four lines meet and none ends.

    Args:
        apart: ``(m, 2, 2)`` rays from :func:`beginnings`.
        centre: ``(2,)`` mm.
        spacing: mm, where a ray begins.

    Returns:
        ``(k, 2)`` each; along them the distance from the centre grows.
    """
    out: list[Floats] = []
    for near, far in apart:
        way = (near - centre) / np.hypot(*(near - centre))
        begin = float(np.hypot(*(near - centre)))
        # of how many evenly spread rays it is one
        count = round(math.pi / math.asin(min(spacing / (2 * begin), 1.0)))
        if count <= _FIRST:
            out.append(np.array([centre, far]))
            continue
        turn = math.atan2(way[1], way[0])
        number = round(turn / (2 * math.pi) * count)
        host = number + 1 if (number + 1) % 4 == 0 else number - 1
        angle = 2 * math.pi * host / count
        beside = np.array([math.cos(angle), math.sin(angle)])
        root = centre + (begin - _BRANCH * spacing) * beside
        tip = centre + (begin + _BRANCH * spacing) * way
        # leaves its neighbour aslant and comes to lie along its own way
        corner = centre + begin * way
        t = np.linspace(0, 1, _CHORDS + 1)[:, None]
        bend = (1 - t) ** 2 * root + 2 * t * (1 - t) * corner + t**2 * tip
        bend[0] = root
        out.append(np.concatenate([bend, far[None]]))
    return out


def beginnings(centre: Floats, spacing: float, sector: Sector) -> Floats:
    """All rays through a sector, ``(m, 2, 2)``, by direction.

    With n rays two neighbours are 2 r sin(pi / n) apart at distance r: the rays that make n
    of them begin where that is the spacing.
    """
    begin = np.empty(0)
    for doubling in range(_MOST_DOUBLINGS):
        count = _FIRST * 2**doubling
        start = spacing / (2 * math.sin(math.pi / count))
        if start >= sector.farthest:
            break
        fresh = np.full(count, start)
        # every second one is there already
        fresh[:: 2 if doubling else count + 1] = begin if doubling else start
        begin = fresh
    turn = np.arange(len(begin)) / max(len(begin), 1)
    seen = (turn - sector.low) % 1.0 <= sector.high - sector.low
    angle, begin = 2 * math.pi * turn[seen], begin[seen]
    way = np.column_stack([np.cos(angle), np.sin(angle)])
    return np.stack([centre + begin[:, None] * way, centre + sector.farthest * way], axis=1)
