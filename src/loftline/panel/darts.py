"""Darts: wedges at the panel's edge, by a corner, by the end of a fold, or drawn.

A wedge is what goes: its two legs are cut edges like the outline, so the seam allowance lies
beside them, and the wedge with its seam allowance is free of quilting (why: decision 0009).
"""

from __future__ import annotations

import difflib
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.ops import split

from loftline.errors import Fault, Finding
from loftline.geometry import ARC_SEGMENTS, place, polygons
from loftline.panel.square_corners import SquareCorner, find_corner
from loftline.project import DartSpec
from loftline.project.dart_table import Corner
from loftline.units import Unit, format_length
from loftline.values import Dart, Floats, Fold, KeepOut, Piece

DEPTH_IN_UNITS = 1.5
"""Depth of a corner's dart (common practice, no source): 1 1/2 units inside the curve."""

LEGS_DIFFER_MM = 0.5
"""About the width of a chalk line; quilted foam cannot be eased by more."""

_AT_EDGE_MM = 0.5
"""A corner of a drawn wedge so near the edge is meant to lie on it."""

_LEAST_ROUND_MM = 2.0
"""Zones grown by less get sharp corners, as round keep-outs do."""


class _Refused(Exception):  # noqa: N818 - never leaves this module
    """A dart that cannot be: the key, and one sentence."""

    def __init__(self, key: str, says: str) -> None:
        self.key, self.says = key, says
        super().__init__(says)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawing:
    """A wedge as it is meant, before it is fitted to the outline.

    Attributes:
        path: ``(k, 2)`` from one end on the edge over the tip to the other end.
        wedge: what lies between the legs; it may hang over the edge.
        key: the key to name when it does not fit.
    """

    path: Floats
    wedge: Polygon
    key: str


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
            drawing = _draw(spec, outline, folds, corners, units)
            dart = _fit(spec.name, drawing, outline, seam_allowance)
        except _Refused as refused:
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


def on_darts(
    darts: Sequence[Dart], pieces: Sequence[Piece], keep_outs: Sequence[KeepOut]
) -> list[Finding]:
    """An error for every piece of hardware, label or other drawn zone that lies on a dart."""
    things: list[Piece | KeepOut] = [*pieces]
    things += [zone for zone in keep_outs if not zone.hardware]
    findings = []
    for dart, thing in itertools.product(darts, things):
        shared = shapely.intersection(dart.zone, thing.outline)
        if shapely.area(shared) <= 1e-6:
            continue
        over = shapely.area(shapely.intersection(dart.wedge, thing.outline)) > 1e-6
        lies = "lies on the dart" if over else "lies in the seam allowance of the dart"
        spot = shared.representative_point()
        findings.append(
            Finding(
                code="piece-on-dart",
                severity="error",
                where=f"{thing.name} and {dart.name}, near {place((spot.x, spot.y))}",
                message=f'"{thing.name}" {lies} "{dart.name}"',
                remedy="move one of them: nothing can be fitted where a dart is cut and sewn",
            )
        )
    return findings


def _draw(
    spec: DartSpec,
    outline: Polygon,
    folds: Sequence[Fold],
    corners: Mapping[Corner, SquareCorner | None],
    units: Unit,
) -> _Drawing:
    if spec.corner is not None:
        corner = corners[spec.corner]
        if corner is None:
            says = "finds no corner there: the panel is round; give the points of the wedge"
            raise _Refused("corner", says)
        return _in_corner(spec, corner, units)
    if spec.fold is not None:
        return _at_fold(spec, folds, units)
    return _drawn(np.array(spec.points or ()), Polygon(outline.exterior))


def _in_corner(spec: DartSpec, corner: SquareCorner, units: Unit) -> _Drawing:
    """Legs from both edges, a unit from the square corner, to a tip between the edges.

    Common practice, no source: the legs meet on the 45 degree line, 1 1/2 units inside the
    curve. In a square corner the curve is the corner itself, so the depth is measured from it.
    """
    unit = spec.unit or 0.0
    depth = DEPTH_IN_UNITS * unit if spec.depth is None else spec.depth
    most = min(corner.reach)
    if unit > most + 1e-6:
        says = f"needs edges of {_mm(unit, units)} beside the corner; the shorter has "
        raise _Refused("unit", says + _mm(most, units))
    chord = unit * float(corner.along[0] @ corner.middle)
    if corner.curve + depth <= chord + 1e-6:
        says = f"is too shallow: its tip would not lie inside its legs' starts, {_mm(depth, units)}"
        least = _mm(chord - corner.curve, units)
        raise _Refused("depth", f"{says} deep where it should be more than {least}")
    tip = corner.at + corner.middle * (corner.curve + depth)
    one, two = (corner.at + unit * along for along in corner.along)
    return _Drawing(
        path=np.array([one, tip, two]),
        wedge=Polygon([one, tip, two, corner.at]),
        key="unit" if spec.depth is None else "depth",
    )


def _at_fold(spec: DartSpec, folds: Sequence[Fold], units: Unit) -> _Drawing:
    """Open at the edge on both sides of the fold, its tip on the fold.

    As deep as half its width the legs stand at 45 degrees: folded, they are the seam across
    a boxed corner (geometry).
    """
    fold = _find_fold(spec, folds)
    start, end = np.asarray(fold.start), np.asarray(fold.end)
    span = np.abs(end - start)
    level = bool(span[0] >= span[1])
    words = ("left", "right") if level else ("lower", "upper")
    if spec.side not in words:
        runs = "across" if level else "up and down"
        says = f'lies on the fold "{fold.name}", which runs {runs}: its ends are '
        raise _Refused("side", f"{says}{words[0]} and {words[1]}")
    near, far = sorted((start, end), key=lambda point: float(point[0 if level else 1]))
    if spec.side == words[1]:
        near, far = far, near
    length = float(np.hypot(*(far - near)))
    inward = (far - near) / length
    width = spec.width or 0.0
    depth = width / 2 if spec.depth is None else spec.depth
    if depth >= length:
        says = f"is {_mm(depth, units)} deep, the fold is only {_mm(length, units)} long"
        raise _Refused("width" if spec.depth is None else "depth", says)
    across = np.array([-inward[1], inward[0]]) * (width / 2)
    path = np.array([near + across, near + inward * depth, near - across])
    return _Drawing(path=path, wedge=Polygon(path), key="width")


def _find_fold(spec: DartSpec, folds: Sequence[Fold]) -> Fold:
    names = {fold.name: fold for fold in folds}
    wanted = spec.fold or ""
    if wanted in names:
        return names[wanted]
    if not names:
        raise _Refused("fold", "lies at a fold, and this panel has none; give its points")
    close = difflib.get_close_matches(wanted, names, 1)
    hint = f'did you mean "{close[0]}"?' if close else "this panel has "
    listed = "" if close else " and ".join(f'"{name}"' for name in names)
    raise _Refused("fold", f'lies at the fold "{wanted}", which does not exist; {hint}{listed}')


def _drawn(corners: Floats, outline: Polygon) -> _Drawing:
    """A wedge by its points: those inside the panel are its legs, the others its open side."""
    wedge = Polygon(corners)
    if not wedge.is_valid or wedge.area <= 0:
        raise _Refused("points", "crosses itself or holds no area")
    points = shapely.points(corners)
    inside = shapely.contains(outline, points)
    inside &= shapely.distance(outline.exterior, points) > _AT_EDGE_MM
    if not inside.any():
        raise _Refused("points", "has no tip inside the panel")
    if inside.all():
        raise _Refused("points", "lies wholly inside the panel; a dart opens at the edge")
    starts = np.flatnonzero(inside & ~np.roll(inside, 1))
    if len(starts) > 1 or (~inside).sum() < 2:
        raise _Refused("points", "should open at the edge in one place, between two of its points")
    turned = np.roll(corners, 1 - int(starts[0]), axis=0)  # the first is the one before the tip
    return _Drawing(path=turned[: int(inside.sum()) + 2], wedge=wedge, key="points")


def _fit(name: str, drawing: _Drawing, outline: Polygon, seam_allowance: float) -> Dart:
    """The wedge that a drawing cuts from the outline."""
    whole = Polygon(outline.exterior)
    inner = drawing.path[1:-1]
    if not shapely.contains(whole, shapely.points(inner)).all():
        raise _Refused(drawing.key, "reaches through the panel: its tip should lie inside")
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
    # a fold may end a little inside the edge, and its wedge is then drawn out to it
    most = 1e-6 if drawing.key == "points" else drawing.wedge.area
    if len(pieces) != 2 or missed > 1e-6 or more > most:
        raise _Refused(drawing.key, "should open at the edge in one place")
    if any(shapely.intersects(hole, wedge) for hole in outline.interiors):
        raise _Refused(drawing.key, "lies over a hole of the panel")
    chord = end - start
    off = np.abs((inner - start) @ np.array([-chord[1], chord[0]]))
    tip = 1 + int(np.argmax(off))
    join: Literal["mitre", "round"] = "mitre" if seam_allowance < _LEAST_ROUND_MM else "round"
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
            message=f'the two legs of "{dart.name}" are {_mm(one, units)} and '
            f"{_mm(two, units)} long, {_mm(abs(one - two), units)} apart, and are sewn together",
            remedy="move its tip or one of its ends until both legs are equal",
        )
    ]


def _mm(length: float, units: Unit) -> str:
    return format_length(length, units)
