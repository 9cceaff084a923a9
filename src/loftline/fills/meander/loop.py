"""A closed curve as a ring of complex numbers: the handful of things all steps need.

``x + iy`` keeps a point in one array element, so a step over a curve is one array operation
instead of two. The first point is not repeated here; :func:`closed_points` repeats it.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import shapely
from scipy import fft

from loftline.values import Area, Floats

Loop = npt.NDArray[np.complex128]

LEAST_POINTS = 12
"""A loop is never coarser than this, however short it is."""


def from_points(points: Floats) -> Loop:
    """Ring of complex numbers from ``(n, 2)`` points; a repeated first point is dropped."""
    if len(points) > 1 and np.array_equal(points[0], points[-1]):
        points = points[:-1]
    return np.ascontiguousarray(points, dtype=np.float64).view(np.complex128).ravel()


def as_points(loop: Loop) -> Floats:
    """The same places as ``(n, 2)`` numbers, without copying."""
    return np.ascontiguousarray(loop).view(np.float64).reshape(-1, 2)


def closed_points(loop: Loop) -> Floats:
    """``(n + 1, 2)`` points, the first one repeated last."""
    points = as_points(loop)
    return np.concatenate([points, points[:1]])


def length(loop: Loop) -> float:
    """Length once round."""
    return float(np.abs(loop - np.roll(loop, 1)).sum())


def resample(loop: Loop, step: float) -> Loop:
    """Points at even distances along a loop, about ``step`` apart.

    Their number is rounded up to one that the fast Fourier transform likes, so that the
    distance is never more than ``step``.
    """
    closed = np.concatenate([loop, loop[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(closed)))])
    wanted = max(LEAST_POINTS, math.ceil(along[-1] / step))
    count = int(fft.next_fast_len(wanted, real=False))
    at = np.arange(count) * (along[-1] / count)
    out = np.empty(count, np.complex128)
    out.real = np.interp(at, along, closed.real)
    out.imag = np.interp(at, along, closed.imag)
    return out


def is_proved(loop: Loop, area: Area) -> bool:
    """Whether a loop neither meets itself nor leaves an area, checked exactly."""
    points = closed_points(loop)
    if not np.isfinite(points).all():
        return False
    ring = shapely.linearrings(points)
    return bool(shapely.is_simple(ring)) and bool(area.covers(shapely.linestrings(points)))
