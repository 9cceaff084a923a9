"""The plan: every stage in its one order, pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from loftline import values
from loftline.checks import (
    Densest,
    Gap,
    check_foot,
    check_gap,
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
from loftline.hooping import make_hoopings
from loftline.panel import make_panel
from loftline.project import ORDERS, Project, before_quilting
from loftline.runs import FULL, QUICK, Practice, costs_of, make_network, plan_orders
from loftline.stitches import make_sewn
from loftline.writers import draw_plan


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
    by_hand = project.machine.guided == "hand"
    if not by_hand:
        left = right = max(left, right)
        front = back = max(front, back)
    return check_foot(panel, sewn, left=left, right=right, front=front, back=back, turned=by_hand)


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
    if machine.throat is not None:
        better = _roomier(project, lines)
        found.extend(check_throat(network, runs, _laid(panel), machine.throat, better))
    if machine.foot_kind == "walking foot":
        found.extend(check_tight(lines, machine.tightest_turn))
    return tuple(found)


def _roomier(project: Project, lines: values.Lines) -> str:
    """What the maker may write so that the wide side of the panel lies outside more often."""
    if np.isnan(lines.angle).all():
        return ""
    match project.quilting.order:
        case "centre out" | "from an edge":
            return ""
        case "beside the last line":
            # the bar on the other side turns both halves round, the wide sides with them
            return "" if project.machine.guide_bar == "left" else 'guide_bar = "left"'
    return 'order = "centre out"'


def _laid(panel: values.Panel) -> values.Floats:
    """Corners of the panel as it lies under the needle, overhang included."""
    laid = panel.outline.buffer(panel.overhang) if panel.overhang > 0 else panel.outline
    corners: values.Floats = shapely.get_coordinates(laid.convex_hull)
    return corners


def _practice(project: Project, panel: values.Panel) -> Practice:
    """How the maker sews."""
    machine = project.machine
    return Practice(
        closed_edge=panel.closed_edge,
        bar_right=machine.guide_bar == "right",
        throat=machine.throat,
        corners=_laid(panel) if machine.throat is not None else None,
    )


def _spread(gap: Gap | None, most: Densest | None) -> dict[str, float]:
    """How far apart lines lie at most, mm, and how close needle points, in a square centimetre."""
    figures = {}
    if gap is not None:
        figures["widest_gap"] = round(gap.width, 2)
    if most is not None:
        figures["most_stitches_per_cm2"] = round(most.per_cm2, 2)
    return figures


def _runs(
    project: Project,
    panel: values.Panel,
    lines: values.Lines,
    network: values.Network,
    orders: Sequence[str],
    step: Step,
    effort: float = FULL,
) -> list[values.Runs]:
    return plan_orders(
        network,
        orders,
        project.seed,
        step,
        lines=lines,
        turn_cost=costs_of(project).turn,
        practice=_practice(project, panel),
        effort=effort,
    )


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
    planned = _runs(project, plan.panel, plan.lines, plan.network, others, step)
    for order, runs in zip(others, planned, strict=True):
        quilting = project.quilting.model_copy(update={"order": order})
        other = project.model_copy(update={"quilting": quilting, "cutting": None})
        sewn = make_sewn(other, plan.panel, plan.network, runs)
        report = make_report(other, plan.panel, plan.lines, runs, sewn)
        found[order] = values.OrderPrice(report=report, chosen=False)
    return tuple(found[order] for order in orders)


def make_plan(
    project: Project, step: Step = does_nothing, *, effort: values.Quality = "full"
) -> Plan:
    """Plan the quilting of a project.

    Args:
        project: from :func:`loftline.read_project` or :func:`loftline.parse_project`.
        step: progress callback ``step(name, done, total)``; it may raise
            :class:`~loftline.errors.Cancelled`.
        effort: how long to look for the cheapest sewing order; "quick" is for a look while
            the project is being changed, and may prove less of what it finds.

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
    panel = make_panel(project)
    lines = make_lines(project, panel, make_fields(project, panel), step, quality=effort)
    network = make_network(panel, lines, step, costs=costs_of(project))
    lines = replace(lines, points=network.line_points, starts=network.line_starts)
    hoopings = make_hoopings(project)
    looked = QUICK if effort == "quick" else FULL
    (runs,) = _runs(project, panel, lines, network, [project.quilting.order], step, looked)
    step("stitches", 0, 1)
    sewn = make_sewn(project, panel, network, runs)
    step("checks", 0, 1)
    found = check_sewn(
        panel,
        sewn,
        longest_stitch=project.machine.longest_stitch,
        field=hoopings[0].field,
    )
    found = (
        *found,
        *_foot(project, panel, sewn),
        *check_punched(panel, sewn),
        *_by_hand(project, panel, lines, network, runs),
        *check_gap(project, panel, lines, gap := widest_gap(panel, lines)),
        *check_stiffness(most := densest(panel, sewn)),
    )
    allowed = replace(shrinks, allowed=larger) if larger > 0 else None
    report = make_report(project, panel, lines, runs, sewn, allowed=allowed)
    report = replace(report, extra={**report.extra, **_spread(gap, most)})
    cutting = report.cutting.findings if report.cutting is not None else ()
    return Plan(
        project=project,
        panel=panel,
        lines=lines,
        network=network,
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
