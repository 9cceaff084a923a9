"""What is sewn before the lines: registration crosses, then the basting line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
import shapely

from loftline.hooping import ARM_MM, Share, basting, cross_stitches, loose_stitches
from loftline.project import Project, held_as
from loftline.stitches.moves import Box, closer_obstacles, obstacles, route
from loftline.trade.fabrics import keeps_holes
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Area, Floats, Hooping, Ints, Kind, Panel, Sewn

_ROUNDING_MM: Final = 0.15
_BERTH_MM: Final = 0.5


def with_first(project: Project, panel: Panel, share: Share, sewn: Sewn) -> Sewn:
    """The needle points of one hooping with what it sews first, in runs of their own.

    The zero of its file lies in the middle of all of them, or as near as the field allows to
    it where something that stands above the fabric is there. Where only the basting line
    keeps it from a free place, nothing is basted.
    """
    if share.hooping.field is None or not len(sewn):
        return sewn
    longest = project.machine.longest_stitch - _ROUNDING_MM
    crosses = [
        (cross_stitches(at, min(ARM_MM, longest)), Kind.REGISTRATION) for at in share.crosses
    ]
    lines = [
        (loose_stitches(way, longest), Kind.BASTING) for way in _bastings(project, panel, share)
    ]
    area, closer = obstacles(panel.keep_outs), closer_obstacles(panel.keep_outs)
    for first in ([*crosses, *lines], crosses) if lines else (crosses,):
        found = _joined(sewn, first)
        origin = _free_zero(found, share.hooping, area)
        if origin is not None:
            return _moved(found, origin, share.hooping, area, closer)
    found = _joined(sewn, [*crosses, *lines])
    return _moved(found, _zero(found, share.hooping), share.hooping, area, closer)


def _joined(sewn: Sewn, first: Sequence[tuple[Floats, Kind]]) -> Sewn:
    """Needle points with others before them."""
    if not first:
        return sewn
    drawn = [np.rint(points / NEEDLE_GRID_MM).astype(np.int64) for points, _ in first]
    size = np.array([len(points) for points in drawn])
    points = np.concatenate([*drawn, np.column_stack([sewn.x, sewn.y])])
    kinds = np.repeat([int(kind) for _, kind in first], size)
    return replace(
        sewn,
        x=points[:, 0],
        y=points[:, 1],
        run=np.concatenate([np.repeat(np.arange(len(first)), size), sewn.run + len(first)]),
        kind=np.concatenate([kinds, sewn.kind]),
    )


def _zero(sewn: Sewn, hooping: Hooping) -> tuple[int, int]:
    """The middle of the hoop when all needle points lie in the middle of its field."""
    x, y = hooping.seen_off
    return (
        int(sewn.x.min() + sewn.x.max()) // 2 - round(10 * x),
        int(sewn.y.min() + sewn.y.max()) // 2 - round(10 * y),
    )


def _free_zero(sewn: Sewn, hooping: Hooping, area: Area | None) -> tuple[int, int] | None:
    """That place, or the nearest beside what stands above that the field allows."""
    zero, size = _zero(sewn, hooping), hooping.seen
    if area is None or size is None or not area.intersects(_point(zero)):
        return zero
    half, off = np.array(size) / 2, np.array(hooping.seen_off)
    high = np.array([sewn.x.max(), sewn.y.max()]) / 10 - half - off
    low = np.array([sewn.x.min(), sewn.y.min()]) / 10 + half - off
    if (low < high).any():
        return None
    free = shapely.difference(shapely.box(*high, *low), shapely.buffer(area, _BERTH_MM))
    if free.is_empty:
        return None
    spot = shapely.get_coordinates(shapely.shortest_line(_point(zero), free))[1]
    return (round(float(spot[0]) * 10), round(float(spot[1]) * 10))


def _point(tenths: tuple[int, int]) -> shapely.Point:
    return shapely.Point(tenths[0] / 10, tenths[1] / 10)


def _bastings(project: Project, panel: Panel, share: Share) -> list[Floats]:
    place, wanted = share.hooping.place, project.machine.basting
    if place is None or wanted is False or (wanted is None and held_as(project) != "floated"):
        return []
    outer = project.layers.outer
    return basting(panel, place, keeps_holes=keeps_holes(outer.kind, told=outer.keeps_holes))


def _moved(
    sewn: Sewn,
    origin: tuple[int, int],
    hooping: Hooping,
    area: Area | None,
    closer: Sequence[Area],
) -> Sewn:
    """Needle points with the machine's moves between their runs."""
    points = np.column_stack([sewn.x, sewn.y])
    fresh = np.flatnonzero(np.append(True, np.diff(sewn.run) > 0))
    begin = np.concatenate([[origin], points[fresh[1:] - 1]])
    via, move = route(_mm(begin), _mm(points[fresh]), area, closer, _field_about(origin, hooping))
    return replace(sewn, via=via, via_run=sewn.run[fresh][move], origin=origin)


def _field_about(origin: tuple[int, int], hooping: Hooping) -> Box | None:
    """Where the field lies when the file's zero is the middle of the hoop."""
    if hooping.seen is None:
        return None
    middle = np.array(origin) * NEEDLE_GRID_MM + np.array(hooping.seen_off)
    half = np.array(hooping.seen) / 2
    (x0, y0), (x1, y1) = (middle - half).tolist(), (middle + half).tolist()
    return (x0, y0, x1, y1)


def _mm(tenths: Ints) -> Floats:
    return np.asarray(tenths * NEEDLE_GRID_MM, np.float64)
