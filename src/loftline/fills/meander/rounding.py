"""Round a settled curve, so that no bend is tighter than a sewing hand would make it.

First the curve flows: places that bend too tightly move toward the chord of their neighbours
(curve shortening, which never makes a simple loop cross itself: Grayson 1987). Then its points
are taken as the polygon of a spline, which has no corners at all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage

from loftline.fills.meander.depth import KEPT
from loftline.fills.meander.loop import Curve, resample
from loftline.fills.meander.relax import Settling
from loftline.values import Floats

RADIUS = 0.3
"""Bends are flattened until their radius is about this, in spacings."""
HELD = 0.15
"""Of the way by which an open curve is held while it settles."""
SPREAD = 10
"""Passes after which the points are spread evenly again."""


@dataclass(frozen=True, slots=True)
class Flow:
    """How long a curve flows, and at which step in spacings."""

    passes: int
    step: float


SLOW = Flow(passes=60, step=0.1)
BRIEF = Flow(passes=30, step=0.13)


def curvature(curve: Curve) -> Floats:
    """One over the radius of the circle through each point and those two places off."""
    wide = curve.padded(2)
    before, after = wide[:-4] - curve.points, wide[4:] - curve.points
    cross = np.abs((before.conjugate() * after).imag)
    sides = np.abs(before) * np.abs(after) * np.abs(before - after)
    bend: Floats = 2 * cross / np.maximum(sides, 1e-12)
    return bend


def flow(curve: Curve, settling: Settling, how: Flow, tick: Callable[[], None]) -> Curve:
    """Shorten a curve where it bends more tightly than :data:`RADIUS` spacings.

    Args:
        curve: a simple curve.
        settling: what it lies in; it is kept off the edge.
        how: how long.
        tick: called once a pass.
    """
    # near its ends an open curve is held just enough to come in across the edge
    settling = replace(settling, held=HELD * settling.held)
    depth = settling.depth
    spacing, free = np.empty(0), slice(None)
    for turn in range(how.passes):
        if turn % SPREAD == 0:
            curve = resample(curve, how.step, settling.pace.at(curve.points))
            spacing, free = settling.pace.at(curve.points), settling.free(curve)
        tight = np.clip((curvature(curve) * (RADIUS * spacing) - 0.9) / 0.4, 0.0, 1.0)
        tight = ndimage.gaussian_filter1d(tight, 2.0, mode="wrap" if curve.closed else "nearest")
        wide, loop = curve.padded(2), curve.points
        chord = (wide[1:-3] + wide[3:-1]) / 2 - loop
        longer = (wide[:-4] + wide[4:]) / 2 - loop
        moved = loop + tight * (0.25 * chord + 0.12 * longer)
        if turn % 4 == 3:
            near = depth.near_edge(moved)
            reach, inward = depth.at(moved[near])
            moved[near] += inward * np.maximum(KEPT * spacing[near] - reach, 0.0)
        loop = loop.copy()
        loop[free] = moved[free]
        curve = curve.at(loop)
        tick()
    return curve


def refine(curve: Curve, times: int) -> Curve:
    """Points on the uniform cubic B-spline that has the curve's points as its polygon.

    Each pass doubles the points (Lane and Riesenfeld 1980). The spline has no corners, turns
    no more often than its polygon and stays within its hull.
    """
    for _ in range(times):
        out = np.empty(2 * len(curve), np.complex128)
        wide = curve.padded(1)
        out[1::2] = (curve.points + wide[2:]) / 2
        out[0::2] = (wide[:-2] + 6 * curve.points + wide[2:]) / 8
        # an open curve has no side beyond its last point
        points = out if curve.closed else out[:-1]
        curve = Curve(points=points, marks=2 * curve.marks, closed=curve.closed)
    return curve
