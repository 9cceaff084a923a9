"""The plan: every stage in its one order, pure."""

from __future__ import annotations

from dataclasses import replace

from loftline import values
from loftline.checks import check_foot, check_punched, check_sewn
from loftline.errors import Finding, Step, does_nothing
from loftline.estimates import advise, make_report
from loftline.fills import make_fields, make_lines
from loftline.hooping import make_hoopings
from loftline.panel import make_panel
from loftline.project import Project
from loftline.runs import make_network, plan_runs
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


def make_plan(project: Project, step: Step = does_nothing) -> Plan:
    """Plan the quilting of a project.

    Args:
        project: from :func:`loftline.read_project` or :func:`loftline.parse_project`.
        step: progress callback ``step(name, done, total)``; it may raise
            :class:`~loftline.errors.Cancelled`.

    Returns:
        Everything computed, findings of all stages included. Same project and library
        versions, same plan.

    Raises:
        ProjectError: where the project cannot be drawn as a panel.
    """
    step("panel", 0, 1)
    panel = make_panel(project)
    lines = make_lines(project, make_fields(project, panel), step)
    step("network", 0, 1)
    network = make_network(panel, lines)
    lines = replace(lines, points=network.line_points, starts=network.line_starts)
    hoopings = make_hoopings(project)
    runs = plan_runs(network, project.quilting.order, project.seed, step)
    step("stitches", 0, 1)
    sewn = make_sewn(project, panel, network, runs)
    step("checks", 0, 1)
    found = check_sewn(
        panel,
        sewn,
        longest_stitch=project.machine.longest_stitch,
        field=hoopings[0].field,
    )
    found = (*found, *_foot(project, panel, sewn), *check_punched(panel, sewn))
    report = make_report(project, panel, lines, runs, sewn)
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
