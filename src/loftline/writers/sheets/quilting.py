"""The quilting at full size: every run as it is sewn, with number, start, end, direction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely

from loftline.geometry import axes
from loftline.values import Floats, Ints, Kind, Lines, Plan, Sewn
from loftline.writers.sheets.drawing import Drawing, arrow, base
from loftline.writers.sheets.ink import Curves, Ink, Shape, lines
from loftline.writers.sheets.placing import Label
from loftline.writers.svg.strands import Strands, make_strands, mark_runs, place_arrows
from loftline.writers.svg.style import RUN_COLOURS, RUN_DASHES, run_colour
from loftline.writers.svg.wording import fine_length

MOST_NUMBERS = 300
"""Beyond so many runs their numbers would hide the lines."""

DASH = 2.7
"""Millimetres of the unit that the runs' dashes are told in."""

ARROWS_EVERY = 110.0
REACH = 6.0
"""Millimetres past the tie at which the direction of a run is taken."""

SAME_LINE = 0.5
"""Pieces of one straight line lie no farther off it (mm)."""


def run_ink(run: int, kind: Kind, width: float = 0.5) -> Ink:
    """How a kind of a run is drawn; told apart by dashes and width as well as by colour."""
    colour = run_colour(run)
    match kind:
        case Kind.TRAVEL:
            return Ink(width=0.3, colour=colour, dashes=(0.8, 0.8))
        case Kind.DOUBLE:
            return Ink(width=0.7, colour=colour, dashes=(4.0, 1.2))
        case Kind.BASTING:
            return Ink(width=0.25, colour=colour, dashes=(5.0, 3.0))
        case Kind.REGISTRATION:
            return Ink(width=0.3)
        case _:
            ems = RUN_DASHES[run // len(RUN_COLOURS) % len(RUN_DASHES)]
            return Ink(width=width, colour=colour, dashes=tuple(DASH * em for em in ems))


def line_width(plan: Plan) -> float:
    """A quilting line's width, mm: less where lines lie close."""
    spacing = min(fill.spacing for fill in plan.project.fills)
    return min(0.5, max(0.25, spacing / 8))


def draw_sewn(sewn: Sewn, width: float) -> tuple[Strands, list[Curves]]:
    """What is sewn, a packed polyline for each run and kind."""
    strands = make_strands(sewn)
    curves = []
    for run in np.unique(strands.run).tolist():
        for kind in (Kind.DOUBLE, Kind.LINE, Kind.TIE, Kind.TRAVEL, Kind.REGISTRATION,
                     Kind.BASTING):  # fmt: skip
            points, starts = strands.pick(run, kind)
            if len(points):
                ink = run_ink(run, kind, width)
                curves.append(Curves(points=points, starts=starts, ink=ink))
    return strands, curves


def draw_quilting(plan: Plan) -> Drawing:
    """Panel and runs, with their numbers, start dots, end bars and arrows."""
    under = base(plan.panel, plan.project.units, brief=True)
    strands, sewn = draw_sewn(plan.sewn, line_width(plan))
    marks = mark_runs(plan.sewn, REACH)
    dots, bars, numbers = [], [], []
    spacing = min(fill.spacing for fill in plan.project.fills)
    for mark in marks:
        dots.append(Shape(area=shapely.Point(mark.start).buffer(1.1), fill=run_colour(mark.run)))
        across = np.array([-math.sin(mark.arriving), math.cos(mark.arriving)]) * 2.2
        bar = np.asarray(mark.end) + np.array([-across, across])
        bars.append(lines([bar], Ink(width=0.7, colour=run_colour(mark.run))))
        near = shapely.Point(mark.start)
        numbers.append(
            Label(
                lines=(str(mark.run + 1),),
                near=near,
                bold=True,
                ring=run_colour(mark.run),
                gap=1.6,
            )
        )
    pricked = _hoop_points(plan)
    size = max(2.0, min(3.2, 0.6 * spacing))
    heads = [
        arrow(tip, heading, size, run_colour(run))
        for run, tip, heading in place_arrows(strands, size, ARROWS_EVERY)
    ]
    return replace(
        under,
        curves=(*under.curves, *sewn, *bars, *(curve for curve, _ in pricked)),
        top=(*dots, *heads),
        labels=(
            *numbers[:MOST_NUMBERS],
            *under.labels,
            *(label for _, label in pricked),
        ),
    )


def _hoop_points(plan: Plan) -> list[tuple[Curves, Label]]:
    """Points that are pricked through this sheet, to lay hoops by; each with its hoopings."""
    found: dict[tuple[float, float], list[int]] = {}
    for number, hooping in enumerate(plan.hoopings, 1):
        for mark in hooping.marks:
            if mark.kind == "sheet":
                found.setdefault(mark.at, []).append(number)
    points = []
    for (x, y), numbers in found.items():
        ring = shapely.get_coordinates(shapely.Point(x, y).buffer(1.6))
        arms = [np.array([(x - 3, y), (x + 3, y)]), np.array([(x, y - 3), (x, y + 3)])]
        word = "hooping" if len(numbers) == 1 else "hoopings"
        says = f"{word} {', '.join(map(str, numbers))}"
        near = shapely.Point(x, y).buffer(3.0)
        points.append((lines([ring, *arms], Ink(width=0.35)), Label(lines=(says,), near=near)))
    return points


def guide_lines(plan: Plan) -> Drawing | None:
    """The lines that must be marked: the guide bar follows the others at their spacing.

    Of each family of parallel lines at even distances the middle line is marked; curves, and
    lines at uneven distances, are all marked.

    Returns:
        ``None`` where every line must be marked.
    """
    panel, found, units = plan.panel, plan.lines, plan.project.units
    chosen = np.ones(len(found), bool)
    labels: list[Label] = []
    for fill in np.unique(found.fill[found.fill >= 0]).tolist():
        spec = plan.project.fills[fill]
        if spec.uneven or spec.paired is not None or spec.even_ends:
            continue
        for family in np.unique(found.family[found.fill == fill]).tolist():
            its = np.flatnonzero((found.fill == fill) & (found.family == family))
            if np.isnan(found.angle[its]).any() or found.closed[its].any():
                continue
            middle = _middle_line(found, its)
            if len(middle) == len(its):
                continue
            chosen[its] = False
            chosen[middle] = True
            longest = max((found.line(i) for i in middle), key=_length)
            says = (f"mark this line, then the bar: {fine_length(spec.spacing, units)}",)
            labels.append(Label(lines=says, near=shapely.LineString(longest), gap=1.0, lead=False))
    if chosen.all():
        return None
    under = base(panel, units)
    marked = lines([found.line(i) for i in np.flatnonzero(chosen).tolist()], Ink(width=0.7))
    return replace(under, curves=(*under.curves, marked), labels=(*labels, *under.labels))


def _middle_line(found: Lines, its: Ints) -> list[int]:
    """Pieces of the line nearest the middle of a family."""
    _, across = axes(float(found.angle[its[0]]))
    offsets = np.array([float((found.line(i) @ across).mean()) for i in its.tolist()])
    middle = (offsets.min() + offsets.max()) / 2
    own = offsets[int(np.argmin(np.abs(offsets - middle)))]
    return [i for i, off in zip(its.tolist(), offsets, strict=True) if abs(off - own) < SAME_LINE]


def _length(line: Floats) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())
