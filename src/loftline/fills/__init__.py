"""Fills: the quilting lines of each part of the panel."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np

from loftline.errors import Finding, Step, does_nothing
from loftline.fills.borders import borders
from loftline.fills.creases import creases
from loftline.fills.fields import make_fields, started
from loftline.fills.fill_lines import FillLines
from loftline.fills.matched import matched
from loftline.fills.meander import meander
from loftline.fills.missed import misses
from loftline.fills.on_rings import ends_on_rings
from loftline.fills.patterns import PATTERNS
from loftline.fills.rows import joined_rows
from loftline.fills.run_on import fitted
from loftline.fills.straight import family
from loftline.geometry import pack
from loftline.project import FillSpec, Project
from loftline.units import LEAST_STITCH_MM
from loftline.values import Field, Floats, Lines, OnRings, Panel, Quality

__all__ = ["family", "make_fields", "make_lines", "meander"]

_NEXT_SEED = 7919


def make_lines(
    project: Project,
    panel: Panel,
    fields: tuple[Field, ...],
    step: Step = does_nothing,
    *,
    quality: Quality = "full",
) -> Lines:
    """All quilting lines of a project, in the order of its fills, then borders and creases.

    Args:
        project: for the fills' patterns, angles, spacings and the seed.
        panel: for the creases along its folds.
        fields: one per fill, from :func:`make_fields`.
        step: progress callback.
        quality: "quick" for a look while the project is being changed.

    Returns:
        The lines, packed; families are numbered through all fills, borders and creases.
    """
    made: list[FillLines] = []
    specs: list[FillSpec] = []
    for field in fields:
        step("lines", field.index, len(fields))
        spec, notes = _fitted(project, panel, field)
        # two meanders over each other must not be the same line
        seed = project.seed + _NEXT_SEED * field.index
        maker = PATTERNS[spec.pattern]
        draw = partial(matched, maker) if field.laid else maker
        drawn = draw(field, spec, seed, quality, step)
        made.append(replace(drawn, findings=(*notes, *drawn.findings)))
        specs.append(spec)
    sewn_once = borders(panel, frozenset(fill.part for fill in project.fills))
    every = [*made, sewn_once, creases(panel)]
    areas = [*(field.region for field in fields), panel.sewable, panel.sewable]
    ends = [
        ends_on_rings(drawn.curves, drawn.cuts, area, panel.ways)
        for drawn, area in zip(every, areas, strict=True)
    ]
    lines = _together(every, [field.index for field in fields], OnRings.joined(ends))
    missed = misses(project, panel, lines, specs)
    return replace(lines, findings=(*lines.findings, *missed.findings), miss=missed.worst)


def _fitted(project: Project, panel: Panel, field: Field) -> tuple[FillSpec, list[Finding]]:
    """A fill's entry, with the spacing that makes its lines run on where that is asked for."""
    spec = started(project.fills[field.index], panel, field.index)
    if spec.match is None or field.laid:
        return spec, []
    return fitted(panel, spec, field.index, project.units)


def _together(made: list[FillLines], indices: list[int], ends: OnRings) -> Lines:
    """Lines of all designs, of borders and of creases, each line once."""
    curves = [curve for lines in made for curve in lines.curves]
    sizes = [len(lines.curves) for lines in made]
    families = [int(lines.family.max()) + 1 if len(lines.family) else 0 for lines in made]
    first = np.cumsum([0, *families[:-1]])
    findings = [finding for lines in (made[-1], *made[:-1]) for finding in lines.findings]
    kept = _once(curves)
    if len(kept) < len(curves):
        findings.append(_twice(len(curves) - len(kept)))
    # a crumb shorter than the least stitch cannot be sewn
    kept = [i for i in kept if np.hypot(*np.diff(curves[i], axis=0).T).sum() >= LEAST_STITCH_MM]
    points, starts = pack([curves[i] for i in kept])
    rows = joined_rows(made)
    return Lines(
        points=points,
        starts=starts,
        fill=np.repeat([*indices, -1, -1], sizes)[kept],
        family=(np.concatenate([lines.family for lines in made]) + np.repeat(first, sizes))[kept],
        angle=np.concatenate([lines.angle for lines in made])[kept],
        closed=np.concatenate([lines.closed for lines in made])[kept],
        findings=tuple(findings),
        rows=None if rows is None else rows[kept],
        ends=ends.of(kept),
    )


def _once(curves: list[Floats]) -> list[int]:
    """Indices of the lines without those that are drawn a second time, either way round."""
    seen: set[tuple[float, ...]] = set()
    kept = []
    for i, curve in enumerate(curves):
        ends = (curve[[0, -1]].round(2) + 0.0).tolist()
        key = (*min(ends), *max(ends), len(curve), round(float(curve.sum()), 1))
        if key not in seen:
            seen.add(key)
            kept.append(i)
    return kept


def _twice(count: int) -> Finding:
    return Finding(
        code="lines-twice",
        severity="note",
        where="fills",
        message=f"{count} lines are drawn by two fills in one place; each is sewn once",
        remedy="give the fills parts or spacings of their own, if both were meant to show",
    )
