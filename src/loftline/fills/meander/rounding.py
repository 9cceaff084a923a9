"""Round a settled loop, so that no bend is tighter than a sewing hand would make it.

First the loop flows: places that bend too tightly move toward the chord of their neighbours
(curve shortening, which never makes a simple loop cross itself: Grayson 1987). Then its points
are taken as the polygon of a spline, which has no corners at all.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import ndimage

from loftline.fills.meander.depth import KEPT, Depth
from loftline.fills.meander.loop import Loop, resample
from loftline.values import Floats

RADIUS = 0.3
"""Bends are flattened until their radius is about this, in spacings."""
FLOW_STEP = 0.1
FLOW_PASSES = 60
SPREAD = 10
"""Passes after which the points are spread evenly again."""


def curvature(loop: Loop) -> Floats:
    """One over the radius of the circle through each point and those two places off."""
    before, after = np.roll(loop, 2) - loop, np.roll(loop, -2) - loop
    cross = np.abs((before.conjugate() * after).imag)
    sides = np.abs(before) * np.abs(after) * np.abs(before - after)
    bend: Floats = 2 * cross / np.maximum(sides, 1e-12)
    return bend


def flow(loop: Loop, depth: Depth, spacing: float, tick: Callable[[], None]) -> Loop:
    """Shorten a loop where it bends more tightly than :data:`RADIUS` spacings.

    Args:
        loop: a simple loop.
        depth: depths of its area; the loop is kept off the edge.
        spacing: wanted distance between neighbouring lines.
        tick: called once a pass.
    """
    for turn in range(FLOW_PASSES):
        if turn % SPREAD == 0:
            loop = resample(loop, FLOW_STEP * spacing)
        tight = np.clip((curvature(loop) * (RADIUS * spacing) - 0.9) / 0.4, 0.0, 1.0)
        tight = ndimage.gaussian_filter1d(tight, 2.0, mode="wrap")
        chord = (np.roll(loop, 1) + np.roll(loop, -1)) / 2 - loop
        wide = (np.roll(loop, 2) + np.roll(loop, -2)) / 2 - loop
        loop = loop + tight * (0.25 * chord + 0.12 * wide)
        if turn % 4 == 3:
            near = depth.near_edge(loop)
            reach, inward = depth.at(loop[near])
            loop[near] += inward * np.maximum(KEPT * spacing - reach, 0.0)
        tick()
    return loop


def refine(loop: Loop, times: int) -> Loop:
    """Points on the uniform cubic B-spline that has the loop's points as its polygon.

    Each pass doubles the points (Lane and Riesenfeld 1980). The spline has no corners, turns
    no more often than its polygon and stays within its hull.
    """
    for _ in range(times):
        out = np.empty(2 * len(loop), np.complex128)
        after = np.roll(loop, -1)
        out[1::2] = (loop + after) / 2
        out[0::2] = (np.roll(loop, 1) + 6 * loop + after) / 8
        loop = out
    return loop
