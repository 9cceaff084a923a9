"""Curves as short straight pieces that keep within a tolerance; every point lies on the curve.

Counts of points follow from bounds, so nothing is halved again and again: of a Bezier curve
the chord error is at most ``h**2 / 8 * max |B''|`` (the error of linear interpolation), of a
circle of radius r it is ``r * (1 - cos(turn / 2))``.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from loftline.project.drawn.drawing import Point, Refusal
from loftline.project.drawn.limits import MOST_COORDINATE, MOST_CURVE_POINTS

Floats = npt.NDArray[np.float64]


def bezier(control: Floats, flat: float) -> Floats:
    """Points of a quadratic or cubic Bezier curve after its first.

    Args:
        control: ``(3, 2)`` or ``(4, 2)`` control points.
        flat: chord error.

    Returns:
        ``(n, 2)``, the end included and the start not.

    >>> bezier(np.array([[0.0, 0], [1, 2], [2, 0]]), 0.3).tolist()
    [[1.0, 1.0], [2.0, 0.0]]
    """
    degree = len(control) - 1
    if not np.abs(control).max() < MOST_COORDINATE:  # not a number too
        raise Refusal("file", "a curve of the drawing is far too large; is the unit right?")
    bend = np.hypot(*np.diff(control, 2, axis=0).T).max()
    n = _count(math.sqrt(degree * (degree - 1) * bend / (8 * flat)))
    t = (np.arange(1, n + 1) / n)[:, None]
    points = [control[i] + 0 * t for i in range(degree + 1)]
    while len(points) > 1:  # de Casteljau
        points = [a + (b - a) * t for a, b in pairwise(points)]
    points[0][-1] = control[-1]
    out: Floats = points[0]
    return out


def ellipse(
    centre: Point, x_axis: Point, y_axis: Point, start: float, turn: float, flat: float
) -> Floats:
    """Points ``centre + x_axis * cos(t) + y_axis * sin(t)``, both ends included.

    Args:
        centre: the centre.
        x_axis: half axis where ``t`` is 0.
        y_axis: half axis where ``t`` is a quarter turn.
        start: first ``t``, radians.
        turn: how far ``t`` goes, radians, with its sign.
        flat: chord error.

    >>> ellipse((0, 0), (1, 0), (0, 1), 0, math.pi, 0.5).round(9).tolist()
    [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]]
    """
    # the map from the unit circle stretches no length more than this
    size = math.hypot(*x_axis, *y_axis)
    step = 2 * math.acos(max(1 - flat / max(size, flat), 0.0))
    n = _count(abs(turn) / max(min(step, math.pi / 2), 1e-12))
    t = (start + turn * np.arange(n + 1) / n)[:, None]
    out: Floats = (
        np.asarray(centre) + np.cos(t) * np.asarray(x_axis) + np.sin(t) * np.asarray(y_axis)
    )
    return out


def bulge(start: Point, end: Point, value: float, flat: float) -> Floats:
    """Points after ``start`` of the arc to ``end`` whose bulge is the tangent of a quarter turn.

    >>> bulge((1, 0), (-1, 0), 1, 0.5).round(9).tolist()
    [[0.0, 1.0], [-1.0, 0.0]]
    """
    (x0, y0), (x1, y1) = start, end
    if abs(value) < 1e-9 or (x0 == x1 and y0 == y1):
        return np.array([end], dtype=np.float64)
    # from the middle of the chord to the centre, square to the chord
    aside = (1 - value * value) / (4 * value)
    centre = ((x0 + x1) / 2 - (y1 - y0) * aside, (y0 + y1) / 2 + (x1 - x0) * aside)
    reach = (x0 - centre[0], y0 - centre[1])
    points = ellipse(centre, reach, (-reach[1], reach[0]), 0.0, 4 * math.atan(value), flat)[1:]
    points[-1] = end
    return points


def _count(wanted: float) -> int:
    if not wanted <= MOST_CURVE_POINTS:  # not a number too
        raise Refusal("file", "a curve of the drawing is far too large; is the unit right?")
    return max(1, math.ceil(wanted))
