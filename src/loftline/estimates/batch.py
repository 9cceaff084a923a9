"""What all sizes of a bag take together, and what each bag is made of."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from loftline.project import CuttingSpec, Project
from loftline.values import (
    Band,
    BatchThread,
    HardwareCount,
    Kit,
    Panel,
    Piece,
    Report,
    ThreadTotal,
)

from .advice import chosen_needle
from .cut_pieces import cut_pieces
from .supplies import bought_on, whole

_STEP_MM = 0.05

_ROUND = 0.02
"""A hard edge this near to the area of its circle is round."""


def batch_threads(project: Project, reports: Sequence[Report]) -> tuple[BatchThread, ...]:
    """Each thread summed over the sizes, for all their bags, waste counted in.

    What is bought is reckoned from the sum, so that no size rounds up by itself. Of bobbins as
    many are filled as each size asks for: what is left on one would not always see a run through.

    Args:
        project: prices of the spools.
        reports: one for each size.
    """
    names = dict.fromkeys(total.name for report in reports for total in report.threads)
    return tuple(
        _summed(
            project,
            [t for report in reports for t in report.threads if t.name == name],
            sum(len(report.bobbins.changes) + 1 for report in reports if report.bobbins),
        )
        for name in names
    )


def _summed(project: Project, totals: Sequence[ThreadTotal], wound: int) -> BatchThread:
    length = Band(low=0.0, expected=0.0, high=0.0)
    for total in totals:
        length = length.plus(total.batch)
    first = totals[0]
    least = wound if first.filled else 0
    count = None if first.metres is None else max(whole(length.high, first.metres), least)
    price = bought_on(project, first.name).price
    return BatchThread(
        name=first.name,
        tex=first.tex,
        length=length,
        metres=first.metres,
        to_buy=count,
        price=None if count is None or price is None else round(count * price, 2),
        filled=first.filled,
    )


def hardware_counts(pieces: Iterable[Piece], times: int = 1) -> tuple[HardwareCount, ...]:
    """Pieces of hardware counted by kind and size; the other half of a piece belongs to it."""
    every = list(pieces)
    halved = {piece.mate_of for piece in every} - {None}
    counts = Counter(_kind(piece, halved) for piece in every if piece.mate_of is None)
    return tuple(
        HardwareCount(
            kind=kind, width=width, height=height, round=is_round, paired=paired, count=n * times
        )
        for (kind, width, height, is_round, paired), n in counts.items()
    )


def summed_hardware(counts: Iterable[HardwareCount]) -> tuple[HardwareCount, ...]:
    """Counts of several sizes added up, kind by kind."""
    totals: Counter[HardwareCount] = Counter()
    for count in counts:
        totals[replace(count, count=0)] += count.count
    return tuple(replace(kind, count=n) for kind, n in totals.items())


def make_kit(project: Project, panel: Panel, report: Report) -> Kit:
    """What one bag is made of."""
    more = 1 + report.waste
    allowed = 0.0 if report.draw_in is None else report.draw_in.allowed
    cutting = project.cutting or CuttingSpec()
    return Kit(
        pieces=tuple(cut_pieces(project, panel, cutting, allowed=allowed)),
        hardware=hardware_counts(panel.pieces),
        threads=tuple((total.name, total.one.high * more) for total in report.threads),
        needle=chosen_needle(project).label,
    )


def _kind(piece: Piece, halved: set[str | None]) -> tuple[str, float, float, bool, bool]:
    x0, y0, x1, y1 = piece.outline.bounds
    # a circle is drawn with corners a hair outside it
    width, height = (round(round(size / _STEP_MM) * _STEP_MM, 2) for size in (x1 - x0, y1 - y0))
    full = math.pi / 4 * width * height
    is_round = width == height and abs(piece.outline.area / full - 1) < _ROUND
    return piece.kind, width, height, is_round, piece.name in halved
