"""One bag quilted in several ways: designs, spacings, angles and sewing orders side by side."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from loftline.errors import Fault, ProjectError, Step, does_nothing
from loftline.plan import make_plan
from loftline.project import PATTERN_KEYS, FillSpec, Order, Project, changed_fill, work_faults
from loftline.units import format_length, show
from loftline.values import Quality, Sample

__all__ = ["MOST_VARIANTS", "Variant", "compare_plans", "make_variants", "plan_variant"]

MOST_VARIANTS = 24
"""More than this nobody looks at on one sheet."""

OWN = "as in the file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A project with another way of quilting.

    Attributes:
        name: what is different about it, in the maker's words.
        yours: whether it is what the project file says.
    """

    name: str
    project: Project
    yours: bool = False


Job: TypeAlias = tuple[Variant, Quality]
Runner: TypeAlias = Callable[[Callable[[Job], Sample], Sequence[Job]], Iterable[Sample]]
"""Does one thing to each of some jobs, and answers in their order, as ``map`` does."""


def make_variants(
    project: Project,
    *,
    patterns: Sequence[str] = (),
    spacings: Sequence[float] = (),
    angles: Sequence[float] = (),
    orders: Sequence[Order] = (),
    part: str | None = None,
) -> tuple[Variant, ...]:
    """All combinations of what is given, after the project as it is.

    A fill that keeps its pattern keeps all else; with another pattern it keeps its part, its
    spacing and, where the pattern has a direction, its angle. Combinations that come to the
    same, such as two angles of a meander, are one.

    Args:
        project: without sizes, or one size of a project.
        patterns: quilting designs, words of ``fills.pattern`` or names of motifs of ours.
        spacings: millimetres.
        angles: degrees.
        orders: words of ``quilting.order``.
        part: only the fills of this part change; ``None``: all fills.

    Raises:
        ProjectError: where there are more than 24, no fill covers that part, or a combination
            cannot be; with the faults of all combinations.
    """
    count = 1
    for choices in (patterns, spacings, angles, orders):
        count *= max(1, len(choices))
    if count > MOST_VARIANTS:
        says = f"these are {count} combinations; at most {MOST_VARIANTS} are compared at once"
        raise ProjectError([Fault(where="", message=says)])
    covered = list(dict.fromkeys(fill.part for fill in project.fills))
    if part is not None and part not in covered:
        says = f"no fill covers the part {show(part)}; fills cover {', '.join(covered)}"
        raise ProjectError([Fault(where="", message=says)])
    own = Variant(name=OWN, project=project, yours=True)
    found: dict[tuple[object, ...], Variant] = {_key(project): own}
    faults: list[Fault] = []
    for chosen in itertools.product(
        patterns or (None,), spacings or (None,), angles or (None,), orders or (None,)
    ):
        variant = _variant(project, *chosen, part, faults)
        if variant is None:
            continue
        key = _key(variant.project)
        before = found.setdefault(key, variant)
        if before is own:
            found[key] = Variant(name=variant.name, project=project, yours=True)
    if faults:
        raise ProjectError(faults)
    return tuple(found.values())


def compare_plans(
    variants: Sequence[Variant],
    step: Step = does_nothing,
    *,
    effort: Quality = "full",
    runner: Runner = map,
) -> tuple[Sample, ...]:
    """Plan all variants.

    Args:
        variants: from :func:`make_variants`.
        step: progress callback, called once for each that is planned.
        effort: as for :func:`loftline.make_plan`.
        runner: how the jobs are done; one after the other by ``map``. Another, such as the map
            of a pool of processes, gives the same answer.

    Returns:
        One for each variant, in their order.
    """
    samples: list[Sample] = []
    step("designs", 0, len(variants))
    for sample in runner(plan_variant, [(variant, effort) for variant in variants]):
        samples.append(sample)
        step("designs", len(samples), len(variants))
    return tuple(samples)


def plan_variant(job: Job) -> Sample:
    """One job of :func:`compare_plans`; pure, and fit to be sent to another process."""
    variant, effort = job
    try:
        plan = make_plan(variant.project, effort=effort)
    except ProjectError as error:
        raise ProjectError([_named(variant.name, fault) for fault in error.faults]) from None
    return Sample(name=variant.name, plan=plan, yours=variant.yours)


def _variant(
    project: Project,
    pattern: str | None,
    spacing: float | None,
    angle: float | None,
    order: Order | None,
    part: str | None,
    faults: list[Fault],
) -> Variant | None:
    """One combination; ``None``, with faults added, where it cannot be."""
    changed = [part is None or fill.part == part for fill in project.fills]
    name = _name(project, changed, pattern, spacing, angle, order)
    fills: list[FillSpec] = []
    for i, (fill, change) in enumerate(zip(project.fills, changed, strict=True)):
        if not change:
            fills.append(fill)
            continue
        try:
            fills.append(changed_fill(fill, pattern=pattern, spacing=spacing, angle=angle))
        except ProjectError as error:
            faults += [_named(name, fault, f"fills[{i}]") for fault in error.faults]
    if len(fills) < len(project.fills):
        return None
    quilting = project.quilting
    if order == "from an edge" and quilting.from_edge is None:
        says = 'the order "from an edge" needs from_edge in [quilting]: the edge closed already'
        faults.append(Fault(where=name, message=says))
        return None
    if order is not None:
        quilting = quilting.model_copy(update={"order": order})
    other = project.model_copy(update={"fills": tuple(fills), "quilting": quilting})
    trouble = work_faults(other)
    faults += [_named(name, fault) for fault in trouble]
    return None if trouble else Variant(name=name, project=other)


def _named(name: str, fault: Fault, inside: str = "") -> Fault:
    where = f"{inside}.{fault.where}".strip(".")
    return Fault(where=name, message=f"{where}: {fault.message}" if where else fault.message)


def _name(
    project: Project,
    changed: Sequence[bool],
    pattern: str | None,
    spacing: float | None,
    angle: float | None,
    order: str | None,
) -> str:
    """What is different, most telling first."""
    fills = itertools.compress(project.fills, changed)
    own = dict.fromkeys(fill.pattern for fill in fills)
    words: list[str] = [pattern or " and ".join(own)]
    # the lines of a motif lie as they are drawn
    if spacing is not None and (pattern is None or pattern in PATTERN_KEYS):
        words.append(f"{format_length(spacing, project.units)} apart")
    directed = any(
        "angle" in PATTERN_KEYS.get(word, ("angle",)) for word in ([pattern] if pattern else own)
    )
    if angle is not None and directed:
        words.append(f"{angle:g}°")
    if order is not None:
        words.append(order)
    return ", ".join(words)


def _key(project: Project) -> tuple[object, ...]:
    """The same for projects that are planned alike: only these ever differ."""
    fills = tuple(
        (fill.part, fill.pattern, fill.motif and fill.motif.name, fill.spacing, fill.angles)
        for fill in project.fills
    )
    return project.quilting.order, fills
