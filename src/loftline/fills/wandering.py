"""The meander as a fill."""

from __future__ import annotations

import math

import numpy as np
import shapely

from loftline.clips import Cuts
from loftline.errors import Fault, ProjectError, Step
from loftline.fills.fill_lines import FillLines
from loftline.fills.meander import meander
from loftline.fills.meander.pace import Pace
from loftline.geometry import place, polygons
from loftline.project import FillSpec
from loftline.units import show
from loftline.values import Field, Point, Quality

_AT_EDGE_MM = 0.5
"""A place this little outside is a place on the edge."""


def wandering(field: Field, spec: FillSpec, seed: int, quality: Quality, step: Step) -> FillLines:
    """One closed line for each piece of the field, or an open one from entry to exit.

    Raises:
        ProjectError: where entry or exit lies outside the field.
    """
    lines, findings = meander(
        field.region,
        spec.spacing,
        seed,
        step,
        quality=quality,
        pace=_pace(field, spec),
        ends=_ends(field, spec),
        curls=spec.handwriting == "loops",
        units=field.units,
    )
    closed = [np.array_equal(line[0], line[-1]) for line in lines]
    return FillLines(
        curves=tuple(lines),
        family=np.zeros(len(lines), np.int64),
        angle=np.full(len(lines), math.nan),
        closed=np.array(closed, bool),
        findings=findings,
        cuts=Cuts.none(),
    )


def _pace(field: Field, spec: FillSpec) -> Pace | None:
    """The spacing that changes across the part, where it is asked to."""
    if spec.spacing_to is None or field.outline.is_empty:
        return None
    corners = shapely.get_coordinates(field.outline)
    return Pace.across(spec.spacing, spec.spacing_to, spec.spacing_towards, corners)


def _ends(field: Field, spec: FillSpec) -> tuple[Point, Point] | None:
    if spec.entry is None or spec.exit is None or field.region.is_empty:
        return None
    around = [shapely.Polygon(piece.exterior) for piece in polygons(field.region)]
    ground = shapely.union_all([*around, field.outline]).buffer(_AT_EDGE_MM)
    what = "the panel" if field.part == "all" else f"the part {show(field.part)}"
    faults = [
        Fault(
            where=f"fills[{field.index}].{key}",
            message=f"found {place(at)}, which lies outside {what}; should be a place on its edge",
        )
        for key, at in (("entry", spec.entry), ("exit", spec.exit))
        if not ground.covers(shapely.Point(at))
    ]
    if faults:
        raise ProjectError(faults)
    return spec.entry, spec.exit
