"""A spiral from a point: one line that winds outward, its turns a spacing apart."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from loftline.errors import Step
from loftline.fills.clipping import (
    Sector,
    clear_of_edges,
    clip_outward,
    sector_of,
    start_of,
    worth_sewing,
)
from loftline.fills.fill_lines import FillLines
from loftline.project import FillSpec
from loftline.values import Field, Floats, Quality

_START = 0.5
"""Where it begins, in spacings from its centre: nearer it would curl up in one place."""
_SAG_MM = 0.005
_LEAST_CHORDS = 48
_LONGEST_CHORD = 0.125


def spiral(field: Field, spec: FillSpec, _seed: int, _quality: Quality, step: Step) -> FillLines:
    """An Archimedean spiral, radius = spacing x turns, where it lies in the region.

    It begins half a spacing from its centre. Keep-outs and edges cut it into pieces; what
    runs far along an edge of the part, nearer than a quarter of the spacing, is left out.
    """
    step("spiral", 0, 1)
    centre = start_of(field, spec)
    drawn = turns(centre, spec.spacing, sector_of(field, centre))
    pieces = _joined(clip_outward(drawn, field, centre))
    clear: list[Floats] = []
    for piece in pieces:
        clear += clear_of_edges(piece, field, spec.spacing)
    return FillLines.of([worth_sewing(clear, field)], [math.nan])


def turns(centre: Floats, spacing: float, sector: Sector) -> list[Floats]:
    """The spiral turn by turn, as far as it passes through a sector.

    Returns:
        ``(k, 2)`` each; where the sector goes all round, each begins where the one before
        ends. Chords sag 0.005 mm at most.
    """
    out: list[Floats] = []
    share = sector.high - sector.low
    first = max(math.floor(sector.nearest / spacing) - 2, 0)
    for number in range(first, math.ceil(sector.farthest / spacing) + 1):
        begin, end = max(number + sector.low, _START), number + sector.high
        if end <= begin:
            continue
        far = end * spacing
        chord = min(math.sqrt(8 * _SAG_MM * far), _LONGEST_CHORD * spacing)
        count = math.ceil(max(_LEAST_CHORDS, 2 * math.pi * far / chord) * share)
        turn = np.linspace(begin, end, count + 1)
        angle = 2 * math.pi * (turn - number)
        way = np.column_stack([np.cos(angle), np.sin(angle)])
        out.append(centre + spacing * turn[:, None] * way)
    if share == 1.0:
        for before, after in pairwise(out):
            after[0] = before[-1]
    return out


def _joined(pieces: list[Floats]) -> list[Floats]:
    """Pieces of turns, nearest first, where one goes on in the next made one."""
    out: list[list[Floats]] = []
    for piece in pieces:
        if out and np.array_equal(out[-1][-1][-1], piece[0]):
            out[-1].append(piece[1:])
        else:
            out.append([piece])
    return [np.concatenate(parts) for parts in out]
