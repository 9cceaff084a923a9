"""Thread of quilting and seams together, spools and bobbins to buy, needles."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from loftline.project import Project, SpoolSpec
from loftline.trade.needles import needles_for
from loftline.trade.threads import with_waste
from loftline.values import Band, Seam, ThreadTotal

from .time import speed

QUILTING, BOBBIN, SEWING = "quilting thread", "bobbin thread", "sewing thread"
_NONE = Band(low=0.0, expected=0.0, high=0.0)


def thread_totals(
    project: Project, needle: Band, bobbin: Band, seams: Iterable[Seam], *, wound: int = 0
) -> tuple[ThreadTotal, ...]:
    """What one bag and all bags take of each thread.

    Seams sewn with the sewing thread take it above and below; those sewn with the quilting's
    threads add to these.

    Args:
        project: spools with their metres and prices, waste, bags to make.
        needle: of the quilting of one bag, mm.
        bobbin: likewise.
        seams: of one bag.
        wound: full bobbins that the quilting of all bags asks for: more than their thread
            alone, as some is left on a bobbin that would not see the next run through.
    """
    sewing = _NONE
    for seam in seams:
        if seam.thread == "quilting":
            needle, bobbin = needle.plus(seam.needle), bobbin.plus(seam.under)
        else:
            sewing = sewing.plus(seam.needle).plus(seam.under)
    totals = [_total(project, QUILTING, needle), _total(project, BOBBIN, bobbin, wound)]
    if sewing.high > 0:
        totals.append(_total(project, SEWING, sewing))
    return tuple(totals)


def bought_on(project: Project, name: str) -> SpoolSpec:
    """The spool or filled bobbin that a thread comes on.

    The thread that shows comes on the spool that is told of it, also where it is wound on
    bobbins for a panel that is sewn from the back.
    """
    thread = project.threaded
    below = project.thread.needle if project.quilting.sewn_from == "back" else thread.bobbin
    return {QUILTING: thread.needle, BOBBIN: below, SEWING: thread.sewing}[name]


def _total(project: Project, name: str, one: Band, wound: int = 0) -> ThreadTotal:
    spool = bought_on(project, name)
    filled = name == BOBBIN and project.quilting.sewn_from == "outer"
    batch = one.times(with_waste(project.copies, project.thread.waste))
    least = wound if filled else 0
    count = None if spool.metres is None else max(whole(batch.high, spool.metres), least)
    return ThreadTotal(
        name=name,
        tex=spool.tex_value,
        one=one,
        batch=batch,
        metres=spool.metres,
        to_buy=count,
        price=None if count is None or spool.price is None else round(count * spool.price, 2),
        filled=filled,
    )


def supplies(project: Project, totals: Iterable[ThreadTotal], stitches: int) -> Mapping[str, float]:
    """Figures by name: ``thread_price`` where any price is known, and ``needles``.

    Args:
        project: machine and number of bags.
        totals: from :func:`thread_totals`.
        stitches: of one bag, quilting and seams; a needle lasts 8 hours of sewing.
    """
    prices = [total.price for total in totals if total.price is not None]
    extra = {"thread_price": round(sum(prices), 2)} if prices else {}
    return extra | {"needles": float(needles_for(stitches * project.copies, speed(project)))}


def whole(millimetres: float, metres: float) -> int:
    """How many spools of so many metres hold a length.

    >>> whole(250_000, 100), whole(0, 100)
    (3, 0)
    """
    return math.ceil(millimetres / 1000 / metres - 1e-9)
