"""Echo: lines at even distances inside the edge of a part and round what lies in it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely import LinearRing, Polygon

from loftline.clips import Cuts
from loftline.errors import Finding, Step
from loftline.fills.echo_round import rings_round
from loftline.fills.fill_lines import FillLines
from loftline.fills.gates import join_rings
from loftline.fills.levels import Ring, ring_levels
from loftline.geometry import only_polygons, place, pole, polygons
from loftline.project import FillSpec
from loftline.units import format_length
from loftline.values import Area, Field, Floats, Quality

_WITHIN_MM = 1e-6


def echo(field: Field, spec: FillSpec, _seed: int, _quality: Quality, step: Step) -> FillLines:
    """Closed lines inside a part: one through all distances, or a ring for each.

    Rings keep half a spacing from the finished edge of the part and from every keep-out zone,
    the next ones a whole spacing from the first: a wide seam takes up none of them. Round one
    thing they go outward from it, and run off at the edge.
    """
    if field.around is not None:
        step("echo", 0, 1)
        return _round_one(field, field.around, spec)
    edge = field.outline if field.finished is None else field.finished
    ground = only_polygons(shapely.intersection(field.region, edge))
    lines: list[Floats] = []
    findings: list[Finding] = []
    parts = polygons(ground)
    for number, part in enumerate(parts):
        step("echo", number, len(parts))
        rings = ring_levels(part, spec.spacing)
        if not rings:
            findings.append(_bare(part, format_length(spec.spacing, field.units)))
        lines += _one_line(rings, part, spec.spacing) if spec.joined else _points(rings)
    return FillLines.of([lines], [math.nan], closed=True, findings=findings, cuts=Cuts.none())


def _round_one(field: Field, around: Area, spec: FillSpec) -> FillLines:
    rings, pieces, cuts = rings_round(around, field, spec.spacing)
    loops: list[Floats] = []
    for run in _unbroken(rings) if spec.joined else [rings]:
        joined = join_rings(run, spec.spacing, field.region) if spec.joined else []
        loops += joined if joined and _proved(joined, field.region) else _points(run)
    findings = [] if loops or pieces else [_nothing_round(field, spec)]
    lines = FillLines.of([[*loops, *pieces]], [math.nan], findings=findings, cuts=cuts)
    return replace(lines, closed=np.arange(len(lines.curves)) < len(loops))


def _unbroken(rings: list[Ring]) -> list[list[Ring]]:
    """Rings whose levels follow on each other; between others lie pieces of one that was cut."""
    runs: list[list[Ring]] = []
    for ring in rings:
        if runs and ring.level == runs[-1][-1].level + 1:
            runs[-1].append(ring)
        else:
            runs.append([ring])
    return runs


def _points(rings: list[Ring]) -> list[Floats]:
    return [ring.points for ring in rings]


def _one_line(rings: list[Ring], part: Polygon, spacing: float) -> list[Floats]:
    """The rings as one line; as rings where the proof fails."""
    if len(rings) < 2:
        return _points(rings)
    joined = join_rings(rings, spacing, part)
    return joined if _proved(joined, part) else _points(rings)


def _proved(lines: list[Floats], part: Area) -> bool:
    """No line crosses itself or another, and all lie inside."""
    closed = np.array([LinearRing(line) for line in lines], dtype=object)
    within = part.buffer(_WITHIN_MM)
    if not (shapely.is_simple(closed).all() and shapely.covers(within, closed).all()):
        return False
    a, b = shapely.STRtree(closed).query(closed, predicate="intersects")
    return bool((a == b).all())


def _nothing_round(field: Field, spec: FillSpec) -> Finding:
    return Finding(
        code="part-left-bare",
        severity="warning",
        where=f"fills[{field.index}].echo_of",
        message=f'no line of an echo round "{spec.echo_of}" lies in "{field.part}": lines go '
        "outward from it, the first half a spacing away",
        remedy="take echo_of out for lines inside the edge, or take a smaller spacing",
    )


def _bare(part: Polygon, spacing: str) -> Finding:
    return Finding(
        code="part-left-bare",
        severity="warning",
        where=place(pole(part)),
        message="a piece of the quilting design is too small or thin for an echo with a spacing "
        f"of {spacing} and gets no line",
        remedy="take a smaller spacing or another design there, or leave it as it is",
    )
