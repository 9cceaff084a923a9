"""Fills: the quilting lines of each part of the panel."""

from __future__ import annotations

import math

import numpy as np

from loftline.errors import Finding, Step, does_nothing
from loftline.fills.creases import crease_lines, creased_edges
from loftline.fills.fields import make_fields
from loftline.fills.meander import meander
from loftline.fills.straight import family
from loftline.geometry import pack
from loftline.project import Project
from loftline.values import Field, Floats, Lines, Panel

__all__ = ["family", "make_fields", "make_lines", "meander"]

_NEXT_SEED = 7919


def make_lines(
    project: Project,
    panel: Panel,
    fields: tuple[Field, ...],
    step: Step = does_nothing,
) -> Lines:
    """All quilting lines of a project, in the order of its fills, then its creases.

    Args:
        project: for the fills' patterns, angles, spacings and the seed.
        panel: for the creases along its folds.
        fields: one per fill, from :func:`make_fields`.
        step: progress callback.

    Returns:
        The lines, packed; families are numbered through all fills.
    """
    curves: list[Floats] = []
    fill: list[int] = []
    families: list[int] = []
    angles: list[float] = []
    findings: list[Finding] = []
    creases, directions, found = crease_lines(panel)
    findings.extend(found)
    beside = creased_edges(panel)
    for field in fields:
        spec = project.fills[field.index]
        step("lines", field.index, len(fields))
        first = families[-1] + 1 if families else 0
        if spec.pattern == "meander":
            # two meanders over each other must not be the same line
            seed = project.seed + _NEXT_SEED * field.index
            loops, found = meander(field.region, spec.spacing, seed, step)
            findings.extend(found)
            curves.extend(loops)
            families.extend([first] * len(loops))
            angles.extend([np.nan] * len(loops))
            fill.extend([field.index] * len(loops))
            continue
        for k, angle in enumerate(spec.angles):
            pieces = family(field, angle, spec.spacing, beside)
            curves.extend(pieces)
            families.extend([first + k] * len(pieces))
            angles.extend([angle] * len(pieces))
            fill.extend([field.index] * len(pieces))
    first = families[-1] + 1 if families else 0
    closed = [math.isnan(angle) for angle in angles] + [False] * len(creases)
    curves.extend(creases)
    fill.extend([-1] * len(creases))
    families.extend(range(first, first + len(creases)))
    angles.extend(directions)
    kept = _once(curves)
    if len(kept) < len(curves):
        findings.append(_twice(len(curves) - len(kept)))
        curves = [curves[i] for i in kept]
        fill = [fill[i] for i in kept]
        families = [families[i] for i in kept]
        angles = [angles[i] for i in kept]
        closed = [closed[i] for i in kept]
    points, starts = pack(curves)
    return Lines(
        points=points,
        starts=starts,
        fill=np.array(fill, np.int64),
        family=np.array(families, np.int64),
        angle=np.array(angles, np.float64),
        closed=np.array(closed, np.bool_),
        findings=tuple(findings),
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
