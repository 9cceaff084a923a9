"""The plan: every stage in its one order, pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol, TypeVar

import numpy as np

from loftline import values
from loftline.checks import (
    Densest,
    Gap,
    check_foot,
    check_gap,
    check_holes,
    check_punched,
    check_sewn,
    check_stiffness,
    check_throat,
    check_tight,
    densest,
    widest_gap,
)
from loftline.errors import Fault, Finding, ProjectError, Step, does_nothing
from loftline.estimates import advise, draw_in, expected_draw_in, make_report
from loftline.fills import make_fields, make_lines
from loftline.hooped import Laid, Placed, laid_corners, lay_runs, place, stitch
from loftline.hooping import check_hoopings
from loftline.panel import make_panel
from loftline.project import ORDERS, Project, before_quilting
from loftline.runs import FULL, QUICK, costs_of, make_network
from loftline.trade.fabrics import keeps_holes
from loftline.writers import draw_plan

T = TypeVar("T")


class Keep(Protocol):
    """Answers what a stage makes of a project: made now, or kept from before."""

    def __call__(self, stage: str, project: Project, make: Callable[[], T], /) -> T:
        """The result of ``make``, or an equal one."""
        ...


def _afresh(stage: str, project: Project, make: Callable[[], T], /) -> T:
    del stage, project
    return make()


class Plan(values.Plan):
    """A plan that shows its picture in a notebook."""

    __slots__ = ()

    def _repr_svg_(self) -> str:
        return draw_plan(self)


def _foot(project: Project, panel: values.Panel, sewn: values.Sewn) -> tuple[Finding, ...]:
    """The foot's check, where the foot's outline is known.

    By hand the panel is turned under the needle; a machine with a hoop never turns it, and
    which way up it is hooped is not known, so the foot's longer reaches count.
    """
    foot = project.machine.foot
    if foot is None:
        return ()
    left, right, front, back = foot.left, foot.right, foot.front, foot.back
    if project.quilting.sewn_from == "back":
        left, right = right, left  # as seen through the panel
    by_hand = project.machine.guided == "hand"
    if not by_hand:
        left = right = max(left, right)
        front = back = max(front, back)
    return check_foot(panel, sewn, left=left, right=right, front=front, back=back, turned=by_hand)


def _in_each(
    project: Project,
    panel: values.Panel,
    sewn: values.Sewn,
    hoopings: tuple[values.Hooping, ...],
) -> tuple[Finding, ...]:
    """The checks of needle points, hooping by hooping; of several each is named."""
    found: list[Finding] = []
    for number, hooping in enumerate(hoopings, 1):
        own = check_sewn(
            panel,
            sewn.part(hooping),
            longest_stitch=project.machine.longest_stitch,
            field=hooping.seen,
        )
        if len(hoopings) > 1:
            own = tuple(replace(f, where=f"hooping {number}, {f.where}") for f in own)
        found.extend(own)
    return tuple(found)


def _holes(project: Project, sewn: values.Sewn) -> tuple[Finding, ...]:
    """Holes side by side, where cloth keeps them and the machine puts them where it is told."""
    outer = project.layers.outer
    kept = keeps_holes(outer.kind, told=outer.keeps_holes)
    return check_holes(sewn) if kept and project.machine.guided == "machine" else ()


def _by_hand(
    project: Project,
    panel: values.Panel,
    lines: values.Lines,
    network: values.Network,
    runs: values.Runs,
) -> tuple[Finding, ...]:
    """What only a panel guided by hand asks for."""
    machine = project.machine
    found: list[Finding] = []
    if machine.guided == "hand" and machine.throat is not None:
        better = _roomier(project, lines)
        back = project.quilting.sewn_from == "back"
        found.extend(
            check_throat(
                network, runs, laid_corners(panel), machine.throat, better, outer_down=back
            )
        )
    if machine.foot_kind == "walking foot":
        found.extend(check_tight(lines, machine.tightest_turn))
    return tuple(found)


def _roomier(project: Project, lines: values.Lines) -> str:
    """What the maker may write so that the wide side of the panel lies outside more often."""
    if np.isnan(lines.heading).all():
        return ""
    match project.quilting.order:
        case "centre out" | "from an edge":
            return ""
        case "beside the last line":
            # the bar on the other side turns both halves round, the wide sides with them
            return "" if project.machine.guide_bar == "left" else 'guide_bar = "left"'
    return 'order = "centre out"'


def _spread(gap: Gap | None, most: Densest | None) -> dict[str, float]:
    """How far apart lines lie at most, mm, and how close needle points, in a square centimetre."""
    figures = {}
    if gap is not None:
        figures["widest_gap"] = round(gap.width, 2)
    if most is not None:
        figures["most_stitches_per_cm2"] = round(most.per_cm2, 2)
    return figures


def _hoopings(placed: Placed, hoopings: tuple[values.Hooping, ...]) -> dict[str, float]:
    """How often a bag is laid into the hoop, and the least that is proved; none without a hoop."""
    if hoopings[0].field is None:
        return {}
    return {"hoopings": len(hoopings), "least_hoopings": placed.division.least}


def price_undivided(plan: values.Plan, step: Step = does_nothing) -> values.Runs | None:
    """The runs of a divided panel's lines as if one field held them all.

    Args:
        plan: from :func:`make_plan`.
        step: progress callback, as there.

    Returns:
        Runs with their cost, in the plan's own order; ``None`` where the panel is not divided.
    """
    if len(plan.hoopings) < 2:
        return None
    project = plan.project
    machine = project.machine.model_copy(update={"hoop": None, "hoops": ()})
    whole = project.model_copy(update={"machine": machine})
    network = make_network(plan.panel, plan.lines, step, costs=costs_of(project))
    placed = place(whole, plan.panel, plan.lines, network, step)
    (laid,) = lay_runs(whole, plan.lines, placed, [project.quilting.order], step)
    return laid.runs


def price_orders(plan: values.Plan, step: Step = does_nothing) -> tuple[values.OrderPrice, ...]:
    """What every sewing order of a plan's lines comes to.

    Args:
        plan: from :func:`make_plan`.
        step: progress callback, as there.

    Returns:
        One for each word of ``quilting.order``, in their order; "from an edge" only where
        ``quilting.from_edge`` names one. The plan's own is not planned again.
    """
    project, own = plan.project, plan.project.quilting.order
    orders = [
        order for order in ORDERS if order != "from an edge" or plan.panel.closed_edge is not None
    ]
    others = [order for order in orders if order != own]
    found = {own: values.OrderPrice(report=plan.report, chosen=True)}
    whole = make_network(plan.panel, plan.lines, step, costs=costs_of(project))
    placed = place(project, plan.panel, plan.lines, whole, step)
    planned = lay_runs(project, plan.lines, placed, others, step)
    for order, laid in zip(others, planned, strict=True):
        quilting = project.quilting.model_copy(update={"order": order})
        other = project.model_copy(update={"quilting": quilting, "cutting": None})
        sewn, hoopings = stitch(other, placed, laid)
        report = make_report(other, plan.panel, plan.lines, laid.runs, sewn, placings=len(hoopings))
        found[order] = values.OrderPrice(report=report, chosen=False)
    return tuple(found[order] for order in orders)


def make_plan(
    project: Project,
    step: Step = does_nothing,
    *,
    effort: values.Quality = "full",
    keep: Keep = _afresh,
) -> Plan:
    """Plan the quilting of a project.

    Args:
        project: from :func:`loftline.read_project` or :func:`loftline.parse_project`.
        step: progress callback ``step(name, done, total)``; it may raise
            :class:`~loftline.errors.Cancelled`.
        effort: how long to look for the cheapest sewing order; "quick" is for a look while
            the project is being changed, and may prove less of what it finds.
        keep: asked for each stage up to the needle points, so that what a change leaves as it
            was need not be made again; see :mod:`loftline.live`.

    Returns:
        Everything computed, findings of all stages included. Same project and library
        versions, same plan.

    Raises:
        ProjectError: where the project cannot be drawn as a panel, or has several sizes.
    """
    if project.sizes:
        says = "one plan is for one size: use make_plans, or one of project.sized()"
        raise ProjectError([Fault(where="sizes", message=says)])
    larger, shrinks = 0.0, draw_in(project)
    if project.quilting.allow_for_draw_in:
        larger = expected_draw_in(shrinks)
        project = before_quilting(project, larger)
    step("panel", 0, 1)
    panel = keep("panel", project, lambda: make_panel(project))
    drawn = keep(
        "lines",
        project,
        lambda: make_lines(project, panel, make_fields(project, panel), step, quality=effort),
    )
    network = keep(
        "network", project, lambda: make_network(panel, drawn, step, costs=costs_of(project))
    )
    lines = replace(drawn, points=network.line_points, starts=network.line_starts)
    looked = QUICK if effort == "quick" else FULL
    order = [project.quilting.order]

    def sewing() -> tuple[Placed, Laid]:
        placed = place(project, panel, lines, network, step)
        (laid,) = lay_runs(project, lines, placed, order, step, looked)
        return placed, laid

    placed, laid = keep("runs", project, sewing)
    runs = laid.runs
    step("stitches", 0, 1)
    sewn, hoopings = keep("stitches", project, lambda: stitch(project, placed, laid))
    step("checks", 0, 1)
    gap = keep("gaps", project, lambda: widest_gap(panel, lines))
    found = _in_each(project, panel, sewn, hoopings)
    found = (
        *found,
        *_foot(project, panel, sewn),
        *check_punched(panel, sewn),
        *_holes(project, sewn),
        *check_hoopings(project, panel, placed.division, hoopings),
        *_by_hand(project, panel, lines, placed.network, runs),
        *check_gap(project, panel, lines, gap),
        *check_stiffness(most := densest(panel, sewn)),
    )
    allowed = replace(shrinks, allowed=larger) if larger > 0 else None
    report = make_report(project, panel, lines, runs, sewn, allowed=allowed, placings=len(hoopings))
    figures = {**_hoopings(placed, hoopings), **_spread(gap, most)}
    report = replace(report, extra={**report.extra, **figures})
    cutting = report.cutting.findings if report.cutting is not None else ()
    return Plan(
        project=project,
        panel=panel,
        lines=lines,
        network=placed.network,
        hoopings=hoopings,
        runs=runs,
        sewn=sewn,
        report=report,
        findings=(
            *panel.findings,
            *lines.findings,
            *advise(project, panel, lines),
            *cutting,
            *found,
        ),
    )
