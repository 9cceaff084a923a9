"""The report: everything a maker wants to know before she cuts."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from loftline.project import Project
from loftline.trade.threads import TAIL_MM, with_waste
from loftline.values import KIND_WORDS, Floats, Ints, Kind, Lines, Panel, Report, Runs, Sewn

from .advice import advice, cautions
from .cutting import cutting_list
from .layers import sewn_thickness, thread_model
from .supplies import supplies
from .thread import half_each, loop_band
from .time import sewing_minutes
from .turns import count_turns
from .versions import installed_versions

_ALWAYS_SHOWN = (Kind.LINE, Kind.TRAVEL, Kind.DOUBLE, Kind.TIE)


def make_report(project: Project, panel: Panel, lines: Lines, runs: Runs, sewn: Sewn) -> Report:
    """Count and estimate for one bag and for all of them.

    A **stitch** lies between two needle points of one run, so there are as many stitches as
    needle points, less one for each run. A **run** is what carries one run number in
    ``sewn``; a **thread cut** lies between two runs. **Turns**: see
    :mod:`loftline.estimates.turns`. **Thread**: see :mod:`loftline.estimates.thread`, half to
    each of the two threads, with a tail at both ends of each run.

    Args:
        project: layers, thread, machine and number of bags.
        panel: its hardware asks for cautions.
        lines: not looked at; what is sewn is counted, not what was drawn.
        runs: their cost and the least possible cost.
        sewn: needle points of all hoopings.
    """
    del lines
    lengths, kinds = stitch_lengths(sewn)
    run_count = int(np.count_nonzero(np.diff(sewn.run))) + 1 if len(sewn) else 0
    cuts = max(0, run_count - 1)
    stitches, turns = len(lengths), count_turns(sewn)
    tail = TAIL_MM["stop" if project.machine.guided == "hand" else project.machine.at_cuts]
    thread = half_each(loop_band(lengths, sewn_thickness(project)), run_count, tail)
    batch = thread.times(with_waste(project.copies, project.thread.waste))
    extra = supplies(project, batch, batch, stitches)
    return Report(
        stitches=stitches,
        runs=run_count,
        cuts=cuts,
        turns=turns,
        length=length_by_kind(lengths, kinds),
        needle_thread=thread,
        bobbin_thread=thread,
        needle_batch=batch,
        bobbin_batch=batch,
        waste=project.thread.waste,
        minutes=sewing_minutes(project, stitches, cuts, turns, runs.ends_inside),
        cost=runs.cost,
        least_cost=runs.least_cost,
        optimal=runs.optimal,
        cost_parts={**runs.parts, "turns": runs.turn_cost * turns},
        order=project.quilting.order,
        habit=runs.habit,
        copies=project.copies,
        advice=advice(project, batch, extra["needles"]),
        cautions=cautions(panel),
        model=thread_model(project, tail),
        versions=installed_versions(),
        extra=extra,
        cutting=None if project.cutting is None else cutting_list(project, panel),
    )


def stitch_lengths(sewn: Sewn) -> tuple[Floats, Ints]:
    """Length in mm and :class:`loftline.values.Kind` of every stitch, in sewing order."""
    same = sewn.run[1:] == sewn.run[:-1]
    length = np.hypot(np.diff(sewn.x), np.diff(sewn.y))[same] / 10
    return length, sewn.kind[1:][same]


def length_by_kind(lengths: Floats, kinds: Ints) -> Mapping[str, float]:
    """Millimetres by kind word: the usual kinds always, the others where they occur."""
    total = np.bincount(kinds, lengths, len(KIND_WORDS))
    return {
        KIND_WORDS[kind]: float(total[kind])
        for kind in Kind
        if kind in _ALWAYS_SHOWN or total[kind]
    }
