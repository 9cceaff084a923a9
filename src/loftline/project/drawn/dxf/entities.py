"""Entities of a DXF drawing as lines in their own units, seen from above."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import numpy.typing as npt
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.math import OCS

from loftline.project.drawn.curves import bulge, ellipse
from loftline.project.drawn.drawing import Refusal
from loftline.project.drawn.limits import FARTHEST_MM, MOST_CURVE_POINTS

Floats = npt.NDArray[np.float64]

_MOST_CONTROL: Final = 2000


def line_of(entity: DXFGraphic, flat: float) -> tuple[Floats, bool] | None:
    """The line of one entity, and whether it is closed; ``None`` for what is no line.

    Args:
        entity: the entity.
        flat: chord error in its units.
    """
    found: tuple[Floats, bool] | None = None
    if isinstance(entity, Line):
        found = np.array([entity.dxf.start, entity.dxf.end])[:, :2], False
    elif isinstance(entity, Arc | Circle):
        found = _arc(entity, flat)
    elif isinstance(entity, Ellipse):
        found = _ellipse(entity, flat)
    elif isinstance(entity, LWPolyline):
        vertices = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        points = _polyline(vertices, flat, closed=entity.closed)
        found = _ground(points, entity.ocs(), float(entity.dxf.elevation)), entity.closed
    elif isinstance(entity, Polyline) and (entity.is_2d_polyline or entity.is_3d_polyline):
        found = _old_polyline(entity, flat)
    elif isinstance(entity, Spline):
        found = _spline(entity, flat), False
    return found


def _old_polyline(entity: Polyline, flat: float) -> tuple[Floats, bool]:
    flat_ones = entity.is_2d_polyline
    vertices = [
        (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0) if flat_ones else 0.0)
        for v in entity.vertices
        if not int(v.dxf.get("flags", 0)) & 16  # control points of a smoothed curve
    ]
    points = _polyline(vertices, flat, closed=entity.is_closed)
    return (_ground(points, entity.ocs(), 0.0) if flat_ones else points), entity.is_closed


def _arc(entity: Circle, flat: float) -> tuple[Floats, bool]:
    """An arc or a whole circle (to the library an arc is a circle)."""
    centre, radius = entity.dxf.center, abs(float(entity.dxf.radius))
    start, turn = 0.0, 360.0
    if isinstance(entity, Arc):
        start = float(entity.dxf.start_angle)
        turn = (float(entity.dxf.end_angle) - start) % 360 or 360.0
    points = ellipse(
        (centre.x, centre.y),
        (radius, 0.0),
        (0.0, radius),
        math.radians(start),
        math.radians(turn),
        flat,
    )
    whole = turn == 360.0
    return _ground(points[:-1] if whole else points, entity.ocs(), centre.z), whole


def _ellipse(entity: Ellipse, flat: float) -> tuple[Floats, bool]:
    centre, major = entity.dxf.center, entity.dxf.major_axis
    minor = entity.minor_axis
    start = float(entity.dxf.start_param)
    turn = (float(entity.dxf.end_param) - start) % math.tau
    whole = turn < 1e-9 or math.tau - turn < 1e-9
    points = ellipse(
        (centre.x, centre.y),
        (major.x, major.y),
        (minor.x, minor.y),
        start,
        math.tau if whole else turn,
        flat,
    )
    return (points[:-1] if whole else points), whole


def _polyline(vertices: list[tuple[float, float, float]], flat: float, *, closed: bool) -> Floats:
    if not vertices:
        return np.empty((0, 2))
    ends = vertices[1:] + vertices[:1] if closed else vertices[1:]
    pieces = [np.array([vertices[0][:2]], dtype=np.float64)]
    for (x, y, b), end in zip(vertices, ends, strict=False):
        pieces.append(bulge((x, y), end[:2], b, flat))
    points = np.concatenate(pieces)
    return points[:-1] if closed and len(points) > 1 else points


def _spline(entity: Spline, flat: float) -> Floats:
    """Points of a spline: halved until no middle lies off its chord."""
    if max(len(entity.control_points), len(entity.fit_points)) > _MOST_CONTROL:
        raise Refusal("file", f"a spline has more than {_MOST_CONTROL} control points; simplify it")
    tool = entity.construction_tool()
    knots, control = np.array(tool.knots()), np.array([tuple(p) for p in tool.control_points])
    weights = np.array(tool.weights() or [1.0] * len(control))
    degree = tool.order - 1
    low, high = knots[degree], knots[len(control)]
    everything = np.concatenate([knots, control.ravel(), weights])
    if not (np.isfinite(everything).all() and high > low and (weights > 0).all() and degree < 12):
        raise ValueError("no spline")
    if np.abs(control).max() > FARTHEST_MM * 1e3:
        raise ValueError("too far")
    lifted = np.column_stack([control[:, :2] * weights[:, None], weights])
    from scipy.interpolate import BSpline  # noqa: PLC0415 - loaded when needed

    curve = BSpline(knots, lifted, degree)
    spans = np.unique(np.clip(knots, low, high))
    pieces = 8
    while True:
        share = np.arange(pieces) / pieces
        t = np.append((spans[:-1, None] + np.diff(spans)[:, None] * share).ravel(), high)
        if len(t) > MOST_CURVE_POINTS:
            raise Refusal("file", "a curve of the drawing is far too large; is the unit right?")
        value = curve(t)
        points = value[:, :2] / value[:, 2:]
        middle = points[1:-1:2] - (points[:-2:2] + points[2::2]) / 2
        if np.hypot(*middle.T).max() <= flat:
            out: Floats = points[::1]
            return out
        pieces *= 2


def _ground(points: Floats, ocs: OCS, elevation: float) -> Floats:
    """From the entity's own plane to the drawing's, seen from above."""
    if not ocs.transform:
        return points
    return np.array([tuple(ocs.to_wcs((x, y, elevation)))[:2] for x, y in points.tolist()])
