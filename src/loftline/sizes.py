"""A bag in several sizes: each planned by itself, and what all of them take together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from loftline.errors import Fault, ProjectError, Step, does_nothing
from loftline.estimates import (
    batch_threads,
    class_minutes,
    make_kit,
    size_cutting,
    summed_hardware,
)
from loftline.plan import Plan, make_plan
from loftline.project import Project, slug_of
from loftline.units import show
from loftline.values import Batch, HardwareCount, Quality, SizePlan

__all__ = ["make_plans"]


def make_plans(project: Project, step: Step = does_nothing, *, effort: Quality = "full") -> Batch:
    """Plan every size of a project.

    Args:
        project: one without sizes is planned as the only one there is.
        step: progress callback, as for :func:`loftline.plan.make_plan`.
        effort: as there.

    Returns:
        A plan for each size, in the order of the project file, and what all bags take
        together: n bags of a size take n times what one takes, and the waste.

    Raises:
        ProjectError: where a size cannot be drawn as a panel, with the faults of all sizes.
    """
    plans: list[tuple[str, Plan]] = []
    faults: list[Fault] = []
    sizes = project.sized()
    for i, (name, one) in enumerate(sizes):
        try:
            plans.append((name, make_plan(one, step, effort=effort)))
        except ProjectError as error:
            if not project.sizes:
                raise
            faults += [_in_size(i, name, fault) for fault in error.faults]
    if faults:
        raise ProjectError(faults)
    return _batch(project, plans)


def _in_size(i: int, name: str, fault: Fault) -> Fault:
    return Fault(where=f"sizes[{i}]", message=f"in size {show(name)}, {fault}")


def _batch(project: Project, plans: Sequence[tuple[str, Plan]]) -> Batch:
    sizes = tuple(
        SizePlan(
            name=name,
            folder=slug_of(name, f"size-{i + 1}"),
            plan=plan,
            kit=make_kit(plan.project, plan.panel, plan.report),
        )
        for i, (name, plan) in enumerate(plans)
    )
    cutting = None
    if project.cutting is not None:
        cutting = size_cutting(
            [(name, plan.project, plan.panel) for name, plan in plans],
            [0.0 if (d := plan.report.draw_in) is None else d.allowed for _, plan in plans],
        )
    return Batch(
        name=project.name,
        slug=project.slug,
        units=project.units,
        sizes=sizes,
        threads=batch_threads(project, [plan.report for _, plan in plans]),
        hardware=summed_hardware(_times(sizes)),
        cutting=cutting,
        waste=project.thread.waste,
        class_minutes=class_minutes(project, max(s.plan.report.times[0].total for s in sizes)),
    )


def _times(sizes: Iterable[SizePlan]) -> Iterable[HardwareCount]:
    """The hardware of all bags, size by size."""
    for size in sizes:
        for count in size.kit.hardware:
            yield replace(count, count=count.count * size.bags)
