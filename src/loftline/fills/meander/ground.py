"""The ground a meander is planned on: a little inside the region, and plainer than it."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPoint, Polygon

from loftline.geometry import only_polygons, polygons, rings
from loftline.values import Area

INSET = 0.05
"""How far inside the region planning is done, in spacings. It also makes the thinnest
keep-out twice that thick, as much as a move of the curve."""
PLAINER = 0.02
"""How far the outline may be moved to have fewer corners, before and after, in spacings."""
SHARP = 50.0
"""Corners sticking into the ground that turn by more than this many degrees get a cap ..."""
CAPS = (0.28, 0.14)
"""... of this radius (in spacings), so that a line bends round them and not over them."""
SHOULDER = 2.5
CAP_SUNK = 0.6
"""How far the disc's middle lies behind the corner, in radii."""
CAP_SIDES = 24
END = 0.3
"""Radius (in spacings) of the discs that an end of the ground must hold."""
NECK = 0.15
"""Half width of a neck (in spacings) that caps must leave open."""
BODY = 0.1
"""Least area of a piece worth a line, in square spacings, once its edge is drawn in."""


def plain_ground(part: Polygon, spacing: float) -> list[Polygon]:
    """Ground inside a part, with a plain outline, capped corners and no thin ends.

    An outline moved by less than the inset stays within the part; that is checked, and where
    it does not hold the outline is left as it is.
    """
    plain = part.simplify(PLAINER * spacing)
    plain = plain.buffer(-INSET * spacing, join_style="mitre", mitre_limit=2.0)
    plain = plain.simplify(PLAINER * spacing)
    if not part.covers(plain):
        plain = part.buffer(-INSET * spacing)
    capped = [piece for ground in polygons(plain) for piece in polygons(cap(ground, spacing))]
    return [piece for ground in capped for piece in without_ends(ground, END * spacing)]


def without_ends(ground: Polygon, radius: float) -> list[Polygon]:
    """Take away the ends of a ground that hold no disc, round the rest; keep the necks.

    This is the opening of mathematical morphology, but what joins two bodies stays.
    """
    cores = polygons(ground.buffer(-radius, quad_segs=8))
    bodies = np.asarray([core.buffer(radius, quad_segs=8) for core in cores], dtype=object)
    opened = shapely.intersection(shapely.union_all(bodies), ground)
    if len(bodies) < 2:
        return polygons(only_polygons(opened))
    rest = np.asarray(polygons(only_polygons(ground.difference(opened))), dtype=object)
    # all is grown a hair, so that rounding of coordinates parts nothing that belongs together
    hair = 1e-3 * radius
    piece, _ = shapely.STRtree(bodies).query(rest, predicate="dwithin", distance=hair)
    necks = rest[np.bincount(piece, minlength=len(rest)) > 1]
    grown = shapely.intersection(shapely.buffer(necks, 2 * hair), ground)
    return polygons(only_polygons(shapely.union_all([opened, *grown])))


def cut_necks(ground: Polygon, half: float) -> list[Polygon]:
    """Part a ground at its necks of less than a half width; the pieces do not meet."""
    bodies = [core.buffer(half, quad_segs=8) for core in polygons(ground.buffer(-half))]
    if len(bodies) < 2:
        return [ground]
    pieces = []
    for i, body in enumerate(bodies):
        others = shapely.union_all([*bodies[:i], *bodies[i + 1 :]])
        own = body.intersection(ground).difference(others)
        pieces.extend(polygons(only_polygons(own)))
    return pieces


def corner_caps(ground: Polygon, radius: float) -> list[shapely.Geometry]:
    """Smooth caps over the corners that stick into the ground by more than :data:`SHARP`.

    A cap is the hull of a disc over the corner and of the places on both edges
    :data:`SHOULDER` radii away, so that its sides leave the edges gently.
    """
    spokes = np.exp(2j * np.pi * np.arange(CAP_SIDES) / CAP_SIDES)
    points = []
    for ring in rings(shapely.orient_polygons(ground)):
        place = ring[:, 0] + 1j * ring[:, 1]
        side = np.diff(place)
        before, after = np.roll(side, 1), side
        sharp = np.degrees(np.angle(after * before.conjugate())) < -SHARP
        tip = place[:-1][sharp]
        # the ground lies to the left
        outward = 1j * (before / np.abs(before) + after / np.abs(after))[sharp]
        middle = tip - CAP_SUNK * radius * outward / np.abs(outward)
        along = np.concatenate([[0.0], np.cumsum(np.abs(side))])
        away = min(SHOULDER * radius, along[-1] / 4)
        shoulder = (along[:-1][sharp][:, None] + np.array([-away, away])) % along[-1]
        edges = np.interp(shoulder, along, place.real) + 1j * np.interp(shoulder, along, place.imag)
        points.append(np.concatenate([middle[:, None] + radius * spokes, edges], axis=1))
    corners = np.concatenate(points)
    sets = np.stack([corners.real, corners.imag], axis=2)
    return [MultiPoint(points).convex_hull for points in sets]


def cap(ground: Polygon, spacing: float) -> Area:
    """Take the caps of sharp corners away, but for those that would shut a neck.

    All at once first; where that shuts a neck, half of them at a time, so that one bad corner
    among n costs about log n tries.
    """
    large, small = (corner_caps(ground, radius * spacing) for radius in CAPS)
    left: Area = ground
    bodies = count_bodies(ground, spacing)
    waiting = [(0, len(large))] if large else []
    while waiting:
        first, past = waiting.pop()
        for caps in (large, small) if past - first == 1 else (large,):
            tried = only_polygons(left.difference(shapely.union_all(caps[first:past])))
            if count_bodies(tried, spacing) == bodies:
                left = tried
                break
        else:
            if past - first > 1:
                middle = (first + past) // 2
                waiting += [(middle, past), (first, middle)]
    return left


def count_bodies(area: Area, spacing: float) -> int:
    """How many pieces worth a line an area falls into when its thinnest necks are cut."""
    pieces = shapely.get_parts(area.buffer(-NECK * spacing))
    return int(np.count_nonzero(shapely.area(pieces) > BODY * spacing**2))
