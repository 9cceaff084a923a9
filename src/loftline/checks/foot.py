"""The presser foot, turned to the sewing direction, against what stands above the fabric."""

from __future__ import annotations

import numpy as np
import shapely

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import SAME_PLACE_MM
from loftline.values import Floats, Panel, Sewn

from .segments import count_of

LEAST_TURNING_MM = 2.0
"""Shorter stitches do not turn the panel; rounded to tenths, they point too far off."""


def check_foot(
    panel: Panel,
    sewn: Sewn,
    *,
    left: float,
    right: float,
    front: float,
    back: float,
    turned: bool = True,
) -> tuple[Finding, ...]:
    """One finding for each piece standing above the fabric that the foot strikes; O(n).

    At both ends of every stitch the foot's rectangle must not touch the hard edge.

    Args:
        panel: with the keep-outs.
        sewn: of one hooping.
        left: mm from the needle to the foot's left side, looking along the sewing direction.
        right: to its right side.
        front: to its front.
        back: to its back.
        turned: whether the foot looks along each stitch (a panel that is turned under the
            needle); else it looks along y all the time (a panel held in a hoop).
    """
    above = [keep_out for keep_out in panel.keep_outs if keep_out.lies == "above"]
    if not above or not len(sewn):
        return ()
    points, ahead = _stitched(sewn) if turned else _fixed(sewn)
    far = float(np.hypot(max(left, right), max(front, back)))
    corners = np.array([(front, left), (front, -right), (-back, -right), (-back, left)])
    findings = []
    for keep_out in above:
        x0, y0, x1, y1 = keep_out.outline.bounds
        near = (points >= (x0 - far, y0 - far)).all(axis=1)
        near &= (points <= (x1 + far, y1 + far)).all(axis=1)
        at, forward = points[near], ahead[near]
        if not len(at):
            continue
        leftward = np.column_stack([-forward[:, 1], forward[:, 0]])
        rings = at[:, None, :] + (
            corners[:, 0][None, :, None] * forward[:, None, :]
            + corners[:, 1][None, :, None] * leftward[:, None, :]
        )
        hard = keep_out.outline.buffer(-SAME_PLACE_MM)
        shapely.prepare(hard)
        struck = shapely.intersects(hard, shapely.polygons(rings))
        if not struck.any():
            continue
        places = np.unique(at[struck], axis=0)
        findings.append(
            Finding(
                code="foot-strikes",
                severity="error",
                where=f"{keep_out.name}, near {place(places[0])}",
                message=f"at {count_of(len(places), 'needle point', 'needle points')} the "
                f'presser foot would touch "{keep_out.name}", which stands above the fabric',
                remedy="fit it after quilting, or keep the quilting farther away",
            )
        )
    return tuple(findings)


def _fixed(sewn: Sewn) -> tuple[Floats, Floats]:
    points = np.column_stack([sewn.x, sewn.y]) / 10
    return points, np.tile([0.0, 1.0], (len(points), 1))


def _stitched(sewn: Sewn) -> tuple[Floats, Floats]:
    """Both ends of every stitch, and which way the foot looks there.

    A stitch too short to turn by is sewn as the one before it in its run, or, at the start,
    as the first long one after it.
    """
    points = np.column_stack([sewn.x, sewn.y]) / 10
    first = np.flatnonzero(sewn.run[1:] == sewn.run[:-1])
    step = points[first + 1] - points[first]
    length = np.hypot(*step.T)
    run = sewn.run[first]
    number = np.arange(len(first))
    long = length >= LEAST_TURNING_MM
    before = np.maximum.accumulate(np.where(long, number, -1))
    after = np.minimum.accumulate(np.where(long, number, len(first))[::-1])[::-1]
    told_before = (before >= 0) & (run[before] == run)
    told_after = (after < len(first)) & (run[np.minimum(after, len(first) - 1)] == run)
    by = np.where(told_before, before, np.where(told_after, after, number))
    usable = length[by] > 0
    by, first = by[usable], first[usable]
    forward = step[by] / length[by][:, None]
    return np.concatenate([points[first], points[first + 1]]), np.tile(forward, (2, 1))
