"""Darts: wedges at the panel's edge, in a corner, boxed at the end of a fold, or drawn.

A wedge is what goes: its two legs are cut edges like the outline, so the seam allowance lies
beside them, and the wedge with its seam allowance is free of quilting (why: decision 0009).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.ops import split

from loftline.errors import Fault, Finding
from loftline.geometry import ARC_SEGMENTS, place, polygons
from loftline.panel.boxed_corners import boxed_corner
from loftline.panel.dart_drawing import Drawing, Refused, shown
from loftline.panel.square_corners import SquareCorner, find_corner
from loftline.project import DartSpec
from loftline.project.dart_table import Corner
from loftline.units import Unit
from loftline.values import Dart, Floats, Fold

DEPTH_IN_UNITS = 1.5
"""Depth of a corner's dart (common practice, no source): 1 1/2 units inside the curve."""

LEGS_DIFFER_MM = 0.5
"""About the width of a chalk line; quilted foam cannot be eased by more."""

_AT_EDGE_MM = 0.5
"""A corner of a drawn wedge so near the edge is meant to lie on it."""

_LEAST_ROUND_MM = 2.0
"""Zones grown by less get sharp corners, as round keep-outs do."""


def make_darts(
    specs: Sequence[DartSpec],
    outline: Polygon,
    folds: Sequence[Fold],
    *,
    seam_allowance: float,
    units: Unit,
    faults: list[Fault],
    findings: list[Finding],
) -> tuple[Dart, ...]:
    """All darts of a panel.

    Args:
        specs: from the project file.
        outline: the panel's cut edge.
        folds: for darts at the end of one.
        seam_allowance: mm beside the legs.
        units: for lengths in sentences.
        faults: gains what cannot be a dart: off the edge, through a hole, over another.
        findings: gains ``dart-legs-differ``.
    """
    darts: list[Dart] = []
    names = dict.fromkeys(spec.corner for spec in specs if spec.corner is not None)
    corners = {name: find_corner(outline, name) for name in names}
    for i, spec in enumerate(specs):
        where = f"panel.darts[{i}]"
        try:
            drawing = _draw(spec, outline, folds, corners, seam_allowance, units)
            dart = _fit(spec.name, drawing, outline, seam_allowance)
        except Refused as refused:
            key = f".{refused.key}" if refused.key else ""
            faults.append(Fault(where=where + key, message=f'"{spec.name}" {refused.says}'))
            continue
        for other in darts:
            if shapely.area(shapely.intersection(dart.wedge, other.wedge)) > 1e-6:
                message = f'"{spec.name}" lies over "{other.name}"; make one of them smaller'
                faults.append(Fault(where=where, message=message))
                break
        findings.extend(_legs_differ(dart, units))
        darts.append(dart)
    return tuple(darts)


def _draw(
    spec: DartSpec,
    outline: Polygon,
    folds: Sequence[Fold],
    corners: Mapping[Corner, SquareCorner | None],
    seam_allowance: float,
    units: Unit,
) -> Drawing:
    whole = Polygon(outline.exterior)
    if spec.corner is not None:
        corner = corners[spec.corner]
        if corner is None:
            says = "finds no corner there: the panel is round; give the points of the wedge"
            raise Refused("corner", says)
        return _in_corner(spec, corner, units)
    if spec.fold is not None:
        return boxed_corner(spec, whole, folds, seam_allowance=seam_allowance, units=units)
    return _drawn(np.array(spec.points or ()), whole)


def _in_corner(spec: DartSpec, corner: SquareCorner, units: Unit) -> Drawing:
    """Legs from both edges, a unit from the square corner, to a tip between the edges.

    Common practice, no source: the legs meet on the 45 degree line, 1 1/2 units inside the
    curve. In a square corner the curve is the corner itself, so the depth is measured from it.
    """
    unit = spec.unit or 0.0
    depth = DEPTH_IN_UNITS * unit if spec.depth is None else spec.depth
    most = min(corner.reach)
    if unit > most + 1e-6:
        says = f"needs edges of {shown(unit, units)} beside the corner; the shorter has "
        raise Refused("unit", says + shown(most, units))
    chord = unit * float(corner.along[0] @ corner.middle)
    if corner.curve + depth <= chord + 1e-6:
        says = "is too shallow: its tip would not lie inside its legs' starts, "
        least = shown(chord - corner.curve, units)
        raise Refused(
            "depth", f"{says}{shown(depth, units)} deep where it should be more than {least}"
        )
    tip = corner.at + corner.middle * (corner.curve + depth)
    one, two = (corner.at + unit * along for along in corner.along)
    return Drawing(
        path=np.array([one, tip, two]),
        wedge=Polygon([one, tip, two, corner.at]),
        key="unit" if spec.depth is None else "depth",
    )


def _drawn(corners: Floats, outline: Polygon) -> Drawing:
    """A wedge by its points: those inside the panel are its legs, the others its open side."""
    wedge = Polygon(corners)
    if not wedge.is_valid or wedge.area <= 0:
        raise Refused("points", "crosses itself or holds no area")
    points = shapely.points(corners)
    inside = shapely.contains(outline, points)
    inside &= shapely.distance(outline.exterior, points) > _AT_EDGE_MM
    if not inside.any():
        raise Refused("points", "has no tip inside the panel")
    if inside.all():
        raise Refused("points", "lies wholly inside the panel; a dart opens at the edge")
    starts = np.flatnonzero(inside & ~np.roll(inside, 1))
    if len(starts) > 1 or (~inside).sum() < 2:
        raise Refused("points", "should open at the edge in one place, between two of its points")
    turned = np.roll(corners, 1 - int(starts[0]), axis=0)  # the first is the one before the tip
    return Drawing(path=turned[: int(inside.sum()) + 2], wedge=wedge, key="points")


def _fit(name: str, drawing: Drawing, outline: Polygon, seam_allowance: float) -> Dart:
    """The wedge that a drawing cuts from the outline."""
    whole = Polygon(outline.exterior)
    inner = drawing.path[1:-1]
    if not shapely.contains(whole, shapely.points(inner)).all():
        raise Refused(drawing.key, "reaches through the panel: its tip should lie inside")
    start, past_start = _to_edge(whole, inner[0], drawing.path[0])
    end, past_end = _to_edge(whole, inner[-1], drawing.path[-1])
    legs = np.vstack([start, inner, end])
    cutter = LineString(np.vstack([past_start, inner, past_end]))
    pieces = polygons(split(whole, cutter))
    overlap = [shapely.area(shapely.intersection(piece, drawing.wedge)) for piece in pieces]
    wedge = pieces[int(np.argmax(overlap))]
    meant = shapely.intersection(whole, drawing.wedge)
    missed = shapely.area(shapely.difference(meant, wedge.buffer(_AT_EDGE_MM)))
    more = shapely.area(shapely.difference(wedge, drawing.wedge.buffer(_AT_EDGE_MM)))
    # a leg may meet the edge a little past where it was drawn to
    most = 1e-6 if drawing.key == "points" else drawing.wedge.area
    if len(pieces) != 2 or missed > 1e-6 or more > most:
        raise Refused(drawing.key, "should open at the edge in one place")
    if any(shapely.intersects(hole, wedge) for hole in outline.interiors):
        raise Refused(drawing.key, "lies over a hole of the panel")
    if drawing.tip is None:
        chord = end - start
        off = np.abs((inner - start) @ np.array([-chord[1], chord[0]]))
        tip = 1 + int(np.argmax(off))
    else:
        tip = drawing.tip
    # a boxed corner's seam turns a square corner, and the cloth inside it is seam allowance too
    sharp = seam_allowance < _LEAST_ROUND_MM or drawing.boxed is not None
    join: Literal["mitre", "round"] = "mitre" if sharp else "round"
    grown = wedge.buffer(seam_allowance, quad_segs=ARC_SEGMENTS, join_style=join, mitre_limit=50)
    # where the edge turns back, what lies beyond it is not beside a leg
    zones = polygons(shapely.intersection(grown, outline))
    zone = max(zones, key=lambda area: shapely.area(shapely.intersection(area, wedge)))
    return Dart(
        name=name,
        wedge=wedge,
        zone=zone,
        tip=(float(legs[tip, 0]), float(legs[tip, 1])),
        legs=(legs[: tip + 1], legs[: tip - 1 : -1]),
        boxed=drawing.boxed,
    )


def _to_edge(whole: Polygon, inner: Floats, towards: Floats) -> tuple[Floats, Floats]:
    """Where a leg drawn out from its tip meets the edge, and a little past that."""
    x0, y0, x1, y1 = whole.bounds
    along = (towards - inner) / np.hypot(*(towards - inner))
    ray = LineString([inner, inner + along * 2 * np.hypot(x1 - x0, y1 - y0)])
    met = shapely.get_coordinates(shapely.intersection(ray, whole.exterior))
    away = np.hypot(*(met - inner).T)
    nearest: Floats = met[int(np.argmin(away))]
    return nearest, nearest + along * 1e-3


def _legs_differ(dart: Dart, units: Unit) -> list[Finding]:
    one, two = dart.leg_lengths
    if abs(one - two) <= LEGS_DIFFER_MM:
        return []
    return [
        Finding(
            code="dart-legs-differ",
            severity="warning",
            where=f"{dart.name}, tip at {place(dart.tip)}",
            message=f'the two legs of "{dart.name}" are {shown(one, units)} and '
            f"{shown(two, units)} long, {shown(abs(one - two), units)} apart, "
            "and are sewn together",
            remedy="move its tip or one of its ends until both legs are equal",
        )
    ]
