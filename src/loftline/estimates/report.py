"""The report: everything a maker wants to know before she cuts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from loftline.mirror import mirrored_point
from loftline.project import Project
from loftline.trade.threads import TAIL_MM, with_waste
from loftline.values import (
    KIND_WORDS,
    Bobbins,
    DrawIn,
    Floats,
    Ints,
    Kind,
    Lines,
    Panel,
    Report,
    Runs,
    Sewn,
)

from .advice import advice, cautions
from .bobbins import make_bobbins
from .cutting import cutting_list
from .draw_in import draw_in
from .layers import QUILTED, needle_share, stitch_thickness, swatch_stitch, thread_model
from .order_of_work import order_of_work
from .supplies import supplies, thread_totals
from .thread import loop_band, rectangle, split, stadium
from .time import Stops, class_minutes, time_tables
from .turns import count_turns
from .versions import installed_versions
from .whole_bag import bag_seams

_ELSEWHERE = ("seams", "pressing")
"""Time that is not spent on quilting."""

_ALWAYS_SHOWN = (Kind.LINE, Kind.TRAVEL, Kind.DOUBLE, Kind.TIE)


def make_report(
    project: Project,
    panel: Panel,
    lines: Lines,
    runs: Runs,
    sewn: Sewn,
    *,
    allowed: DrawIn | None = None,
    placings: int = 1,
) -> Report:
    """Count and estimate for one bag and for all of them.

    A **stitch** lies between two needle points of one run, so there are as many stitches as
    needle points, less one for each run. A **run** is what carries one run number in
    ``sewn``; a **thread cut** lies between two runs. **Turns**: see
    :mod:`loftline.estimates.turns`. **Thread**: see :mod:`loftline.estimates.thread`, with a
    tail at both ends of each run. **Seams**: see :mod:`loftline.estimates.whole_bag`.

    Args:
        project: layers, thread, machine and number of bags.
        panel: its hardware asks for cautions.
        lines: how well they meet on the closed bag; what is sewn is counted, not what was drawn.
        runs: their cost and the least possible cost.
        sewn: needle points of all hoopings.
        allowed: the draw-in for which the panel is drawn larger, if it is.
        placings: how often the panel is laid into the hoop; between two the thread ends anyway.
    """
    lengths, kinds = stitch_lengths(sewn)
    run_count = int(np.count_nonzero(np.diff(sewn.run))) + 1 if len(sewn) else 0
    cuts = max(0, run_count - placings)
    stitches, turns = len(lengths), count_turns(sewn)
    tail = TAIL_MM["stop" if project.machine.guided == "hand" else project.machine.at_cuts]
    measured = swatch_stitch(project) is not None
    both = loop_band(lengths, stitch_thickness(project, QUILTED), measured=measured)
    needle, bobbin = split(both, float(lengths.sum()), needle_share(project))
    tails = 2 * run_count * tail
    needle, bobbin = needle.plus(tails), bobbin.plus(tails)
    bags = with_waste(project.copies, project.thread.waste)
    larger = 0.0 if allowed is None else allowed.allowed
    seams = bag_seams(project, panel, allowed=larger)
    bobbins = make_bobbins(project, sewn, _under(project, sewn), tail)
    threads = thread_totals(project, needle, bobbin, seams, wound=len(bobbins.changes) + 1)
    stops = Stops(
        cuts=cuts,
        turns=turns,
        ends_inside=runs.ends_inside,
        placings=placings if len(sewn) else 0,
        bobbins=len(bobbins.changes) / project.copies,
    )
    shrinks = _shrunk(project, panel, allowed)
    times = time_tables(project, sewn, stops, seams)
    extra = supplies(project, threads, stitches + sum(seam.stitches for seam in seams))
    return Report(
        stitches=stitches,
        runs=run_count,
        cuts=cuts,
        turns=turns,
        length=length_by_kind(lengths, kinds),
        needle_thread=needle,
        bobbin_thread=bobbin,
        needle_batch=needle.times(bags),
        bobbin_batch=bobbin.times(bags),
        waste=project.thread.waste,
        minutes=sum(minutes for word, minutes in times[0].parts.items() if word not in _ELSEWHERE),
        cost=runs.cost,
        least_cost=runs.least_cost,
        optimal=runs.optimal,
        cost_parts={**runs.parts, "turns": runs.turn_cost * turns},
        order=project.quilting.order,
        habit=runs.habit,
        copies=project.copies,
        advice=advice(project, _as_it_lies(project, panel, bobbins), extra["needles"]),
        cautions=cautions(panel),
        model=thread_model(project, tail),
        versions=installed_versions(),
        extra={**extra, **_meeting(lines)},
        cutting=None if project.cutting is None else cutting_list(project, panel, allowed=larger),
        seams=seams,
        threads=threads,
        bobbins=bobbins,
        times=times,
        work=order_of_work(project, panel, seams, run_count, shrinks, placings),
        class_minutes=class_minutes(project, times[0].total),
        draw_in=shrinks,
    )


def _as_it_lies(project: Project, panel: Panel, bobbins: Bobbins) -> Bobbins:
    """Changes at their places on the panel as it lies under the needle."""
    if project.quilting.sewn_from == "outer":
        return bobbins
    changes = [
        change if change.at is None else replace(change, at=mirrored_point(change.at, panel))
        for change in bobbins.changes
    ]
    return replace(bobbins, changes=tuple(changes))


def _shrunk(project: Project, panel: Panel, allowed: DrawIn | None) -> DrawIn:
    """With the size of the outline after quilting, each way by its own percent."""
    found = draw_in(project) if allowed is None else allowed
    x0, y0, x1, y1 = panel.outline.bounds
    percent = (
        (found.along.expected, found.across.expected)
        if allowed is None
        else (allowed.allowed, allowed.allowed)
    )
    width, height = (x1 - x0) * (1 - percent[0] / 100), (y1 - y0) * (1 - percent[1] / 100)
    return replace(found, size=(width, height))


def _under(project: Project, sewn: Sewn) -> Floats:
    """Bobbin thread of the stitch that ends at each needle point, mm, by the high figure."""
    used = np.zeros(len(sewn))
    if len(sewn):
        same = sewn.run[1:] == sewn.run[:-1]
        length = np.hypot(np.diff(sewn.x), np.diff(sewn.y)) / 10
        thickness = stitch_thickness(project, QUILTED).high
        loop = rectangle if swatch_stitch(project) is None else stadium
        beyond = loop(length, thickness) - 2 * length
        used[1:] = np.where(same, length + (1 - needle_share(project)) * beyond, 0.0)
    return used


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


def _meeting(lines: Lines) -> Mapping[str, float]:
    """How far matched lines miss each other at worst, mm, where there are any."""
    return {} if lines.miss is None else {"lines_miss": round(lines.miss, 2)}
