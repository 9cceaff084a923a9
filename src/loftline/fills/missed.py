"""What is said of lines that do not meet at the edge of what lies over them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from loftline.errors import Finding
from loftline.fills.meeting import MEETS_MM, Miss, worst_misses
from loftline.fills.run_on import fitting_spacing, steps_over
from loftline.project import FillSpec, Project
from loftline.units import Unit, format_length
from loftline.values import Lines, Panel

_IN_FAMILIES = frozenset({"channel", "grid"})
"""Designs whose lines one expects to run on; those of others are looked at where asked for."""


class Missed(NamedTuple):
    """The worst miss of designs that are matched, mm, and findings on all."""

    worst: float | None
    findings: tuple[Finding, ...]


def misses(project: Project, panel: Panel, lines: Lines, specs: Sequence[FillSpec]) -> Missed:
    """Measure how lines meet on the closed bag, and say where they do not.

    Args:
        project: for units.
        panel: how it closes.
        lines: all of them.
        specs: the fills as they were drawn.
    """
    looked_at = [spec.pattern in _IN_FAMILIES or spec.match is not None for spec in specs]
    if not any(looked_at) or not any(len(face.parts) > 1 for face in panel.closed):
        return Missed(None, ())

    def same(one: int, two: int) -> bool:
        return looked_at[one] and (one == two or _run_on(specs[one], specs[two]))

    found = worst_misses(panel, lines, [spec.spacing for spec in specs], same)
    worst = [miss.mm for miss in found if specs[miss.fill].match is not None]
    said = _said(found, panel, project.fills, project.units)
    return Missed(max(worst, default=None), tuple(said))


def _run_on(one: FillSpec, two: FillSpec) -> bool:
    """Whether two designs are one on the closed bag."""
    if one.match != "closed" or two.match != "closed":
        return False
    apart = {"part", "at_side_seam"}
    return one.model_dump(exclude=apart) == two.model_dump(exclude=apart)


def _said(
    found: list[Miss], panel: Panel, fills: Sequence[FillSpec], unit: Unit
) -> Iterator[Finding]:
    for miss in found:
        if miss.mm <= MEETS_MM:
            continue
        spec = fills[miss.fill]
        yield Finding(
            code="lines-miss",
            severity="note" if spec.match is None else "warning",
            where=f"fills[{miss.fill}]",
            message=f'on the closed bag lines of the part "{miss.over}" miss those of the part '
            f'"{miss.under}" by up to {format_length(miss.mm, unit, 2)}',
            remedy=_remedy(spec, panel, unit),
        )


def _remedy(spec: FillSpec, panel: Panel, unit: Unit) -> str:
    if spec.match is not None:
        return "draw both parts with one fill, and keep hardware away from the edge on top"
    closed = 'match = "closed" draws them as the closed bag shows them'
    fit = (
        None
        if spec.part != "all"
        else fitting_spacing(steps_over(panel), spec.angles, spec.spacing)
    )
    if fit is None:
        return closed
    exact = format_length(fit, unit, 3)
    return f'match = "spacing" lets them run on, with spacing = {exact}; {closed}'
