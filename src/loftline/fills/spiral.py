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
    inside, cuts = clip_outward(drawn, field, centre)
    pieces = _joined(inside)
    clear: list[Floats] = []
    for piece in pieces:
        clear += clear_of_edges(piece, field, spec.spacing)
    return FillLines.of([worth_sewing(clear, field)], [math.nan], cuts=cuts)


def turns(centre: Floats, spacing: float, sector: Sector) -> list[Floats]:
    """The spiral turn by turn, as far as it passes through a sector.

    Returns:
        ``(k, 2)`` each; where the sector goes all round, each begins where the one before
        ends. Chords sag 0.005 mm at most.
    """
    out: list[Floats] = []
    first = max(math.floor(sector.nearest / spacing) - 2, 0)
    for number in range(first, math.ceil(sector.farthest / spacing) + 1):
        begin, end = max(number + sector.low, _START), number + sector.high
        if end <= begin:
            continue
        turn = _stations(begin, end, spacing)
        angle = 2 * math.pi * (turn - number)
        way = np.column_stack([np.cos(angle), np.sin(angle)])
        out.append(centre + spacing * turn[:, None] * way)
    if sector.high - sector.low == 1.0:
        for before, after in pairwise(out):
            after[0] = before[-1]
    return out


def _stations(begin: float, end: float, spacing: float) -> Floats:
    """Rising places in turns, over all from ``begin`` to ``end``.

    Each turn has its own, whatever part of it is asked for: so parts of a closed bag, each
    drawn by itself, meet in one place of a fold.
    """
    found: list[Floats] = []
    for turn in range(math.floor(begin), math.ceil(end)):
        far = (turn + 1) * spacing
        chord = min(math.sqrt(8 * _SAG_MM * far), _LONGEST_CHORD * spacing)
        count = math.ceil(max(_LEAST_CHORDS, 2 * math.pi * far / chord))
        places = np.linspace(max(turn, _START), turn + 1, count + 1)
        found.append(places[1:] if found else places)
    every = np.concatenate(found)
    low = np.searchsorted(every, begin, side="right") - 1
    high = np.searchsorted(every, end)
    return np.asarray(every[low : high + 1], np.float64)


def _joined(pieces: list[Floats]) -> list[Floats]:
    """Pieces of turns, nearest first, where one goes on in the next made one."""
    out: list[list[Floats]] = []
    for piece in pieces:
        if out and np.array_equal(out[-1][-1][-1], piece[0]):
            out[-1].append(piece[1:])
        else:
            out.append([piece])
    return [np.concatenate(parts) for parts in out]
