"""Where in the sewing order each bobbin runs out, and where to put a full one in instead.

All by the high figure of the thread's band. A full bobbin goes in before the last run that the
old one would not see through; where one run alone takes more than a bobbin, at the last place
in it where the needle travels, which shows less than a join within a line.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loftline.project import Project
from loftline.trade.bobbins import BOBBINS
from loftline.values import BobbinChange, Bobbins, Floats, Kind, Sewn

MOST_CHANGES = 10_000
"""More are not reckoned: a batch that takes as many wants another plan."""

_ROUNDING_MM = 1e-6


def bobbin_metres(project: Project) -> float:
    """What a full bobbin holds: as told, else the estimate for the usual one."""
    bobbin = project.threaded.bobbin
    return bobbin.metres if bobbin.metres is not None else BOBBINS[0].metres(bobbin.tex_value)


def make_bobbins(project: Project, sewn: Sewn, used: Floats, tail: float) -> Bobbins:
    """Bobbins for the quilting of all bags.

    Args:
        project: the bobbin, bags to make.
        sewn: needle points of one bag.
        used: ``(n,)`` bobbin thread of the stitch that ends at each needle point, mm, by the
            high figure; 0 at the first of a run.
        tail: mm of thread at both ends of a run.
    """
    metres = bobbin_metres(project)
    first = np.append(True, np.diff(sewn.run) != 0) if len(sewn) else np.empty(0, np.bool_)
    # both tails of a run are gone with its first needle point
    upto = np.cumsum(used + np.where(first, 2 * tail, 0.0))
    one = float(upto[-1]) if len(upto) else 0.0
    changes = tuple(_changes(sewn, upto, first, metres * 1000, project.copies))
    return Bobbins(
        metres=metres,
        told=project.threaded.bobbin.metres is not None,
        changes=changes,
        left=_left(changes, upto, sewn, first, metres * 1000, one * project.copies),
    )


def _before(change: BobbinChange, upto: Floats, starts: Floats) -> float:
    """Thread of all bags that is used before a change."""
    one = float(upto[-1])
    inside = starts[change.run] if change.point is None else upto[change.point]
    return (change.bag - 1) * one + float(inside)


def _starts(upto: Floats, first: np.ndarray) -> Floats:
    """Thread used before each run."""
    begins: Floats = np.append(0.0, upto)[np.flatnonzero(first)]
    return begins


def _left(
    changes: tuple[BobbinChange, ...],
    upto: Floats,
    sewn: Sewn,
    first: np.ndarray,
    full: float,
    total: float,
) -> float:
    if not len(sewn):
        return full
    since = _before(changes[-1], upto, _starts(upto, first)) if changes else 0.0
    return max(full - (total - since), 0.0)


def _changes(
    sewn: Sewn, upto: Floats, first: np.ndarray, full: float, copies: int
) -> Iterator[BobbinChange]:
    """Changes in sewing order; each bobbin reaches as far as it can."""
    if not len(upto):
        return
    starts, one = _starts(upto, first), float(upto[-1])
    travels = np.flatnonzero(np.isin(sewn.kind, (Kind.TRAVEL, Kind.DOUBLE)) & ~first)
    run_of = np.cumsum(first) - 1
    at = 0.0
    for _ in range(MOST_CHANGES):
        limit = at + full + _ROUNDING_MM
        if limit >= one * copies:
            return
        bag = int(limit // one)
        run = int(np.searchsorted(starts, limit - bag * one, side="right")) - 1
        begin = bag * one + float(starts[run])
        if begin > at + _ROUNDING_MM:
            yield BobbinChange(bag=bag + 1, run=run)
            at = begin
            continue
        # the run alone takes more: stop in it, on a way if there is one
        last = int(np.searchsorted(upto, limit - bag * one, side="right")) - 1
        fresh = int(np.searchsorted(upto, at - bag * one + _ROUNDING_MM, side="right"))
        ways = travels[(travels >= fresh) & (travels <= last)]
        point = int(ways[-1]) if len(ways) else max(last, fresh)
        yield BobbinChange(
            bag=bag + 1,
            run=int(run_of[point]),
            point=point,
            on_travel=bool(len(ways)),
            at=(float(sewn.x[point]) / 10, float(sewn.y[point]) / 10),
        )
        at = bag * one + float(upto[point])
