"""Needle points and stitches against every keep-out."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from loftline.errors import Finding
from loftline.geometry import place, ranges
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Bools, Dart, Floats, Ints, KeepOut, Panel, Sewn

from .segments import count_of

_CHUNK = 64  # neighbouring stitches looked at as one box before each is looked at itself


def check_zones(panel: Panel, sewn: Sewn) -> tuple[Finding, ...]:
    """One finding for each keep-out, and each dart with its seam allowance, that is entered.

    A stitch enters when its distance from the hard edge is less than the keep-out's reach,
    by more than :data:`loftline.units.SAME_PLACE_MM`; where nothing need be kept, when it lies
    that far inside the edge. The distance is exact for the whole
    stitch, not only for its ends; boxes and a prepared outline only sort out beforehand
    what is certainly clear.

    O(n + k z/64 + h log e) for n needle points, z keep-outs, h stitches in a keep-out's box,
    e corners of its outline.
    """
    if not len(sewn) or not (panel.keep_outs or panel.darts):
        return ()
    start, end = _segments(sewn)
    low, high = np.minimum(start, end), np.maximum(start, end)
    first = np.arange(0, len(start), _CHUNK)
    box_low = np.minimum.reduceat(low, first, axis=0)
    box_high = np.maximum.reduceat(high, first, axis=0)
    count = np.diff(np.append(first, len(start)))
    findings = []
    zones = [(keep_out, False) for keep_out in panel.keep_outs]
    zones += [(_as_zone(dart), True) for dart in panel.darts]
    for keep_out, is_dart in zones:
        bounds = np.array(keep_out.outline.bounds)
        zone_low, zone_high = bounds[:2] - keep_out.reach, bounds[2:] + keep_out.reach
        boxes = np.flatnonzero(
            (box_low <= zone_high).all(axis=1) & (box_high >= zone_low).all(axis=1)
        )
        near = ranges(first[boxes], count[boxes])
        near = near[(low[near] <= zone_high).all(axis=1) & (high[near] >= zone_low).all(axis=1)]
        if len(near):
            finding = _entered(keep_out, start[near], end[near], is_dart=is_dart)
            if finding is not None:
                findings.append(finding)
    return tuple(findings)


def _as_zone(dart: Dart) -> KeepOut:
    """A dart with its seam allowance, looked at like a drawn zone that nothing may enter."""
    return KeepOut(
        name=dart.name,
        outline=dart.zone,
        clearance=0.0,
        reach=0.0,
        sits="inside",
        hardware=False,
    )


def _segments(sewn: Sewn) -> tuple[Floats, Floats]:
    """From every needle point to the next of its run; a run's last point to itself.

    So a run of a single needle point is looked at too.
    """
    start = np.column_stack([sewn.x, sewn.y]) / 10
    follower: Ints = np.arange(len(start))
    follower[:-1] += sewn.run[1:] == sewn.run[:-1]
    return start, start[follower]


def _entered(keep_out: KeepOut, start: Floats, end: Floats, *, is_dart: bool) -> Finding | None:
    lines = np.asarray(shapely.linestrings(np.stack([start, end], axis=1)))
    still = (start == end).all(axis=1)  # measured as points: a line of no length is not measured
    lines[still] = shapely.points(start[still])
    hit = _too_near(keep_out, lines)
    if not hit.any():
        return None
    lines = lines[hit]
    distance = shapely.distance(lines, keep_out.outline)
    worst = int(np.argmin(distance))
    spot = shapely.get_coordinates(shapely.shortest_line(lines[worst], keep_out.outline))[0]
    stitches = int((start[hit] != end[hit]).any(axis=1).sum())
    what = (
        count_of(stitches, "stitch comes", "stitches come")
        if stitches
        else count_of(len(lines), "needle point comes", "needle points come")
    )
    if is_dart:
        lies = what.replace("comes", "lies").replace("come", "lie")
        return Finding(
            code="dart-entered",
            severity="error",
            where=f"{keep_out.name}, near {place(spot)}",
            message=f'{lies} in the dart "{keep_out.name}" or its seam allowance',
            remedy="keep the quilting away from it, or move it",
        )
    edge = "hard edge" if keep_out.hardware else "edge"
    return Finding(
        code="keep-out-entered",
        severity="error",
        where=f"{keep_out.name}, near {place(spot)}",
        message=f'{what} too near to "{keep_out.name}", the nearest '
        f"{_mm(float(distance[worst]))} from its {edge} where "
        f"{_mm(keep_out.reach)} must be kept",
        remedy="keep the quilting away from it, or move it",
    )


def _too_near(keep_out: KeepOut, lines: npt.NDArray[np.object_]) -> Bools:
    kept = keep_out.reach - SAME_PLACE_MM
    if kept <= 0:
        inside = keep_out.outline.buffer(kept - SAME_PLACE_MM)
        shapely.prepare(inside)
        return np.asarray(shapely.intersects(inside, lines))
    shapely.prepare(keep_out.outline)
    return np.asarray(shapely.dwithin(keep_out.outline, lines, kept))


def _mm(length: float) -> str:
    return format_length(length, "mm", 3)
