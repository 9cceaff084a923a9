"""One plot of ground, one curve: the steps in order, and the proof of what they give.

Nothing that a step yields is believed. Each is checked exactly (simple, inside, apart from the
other curves), and where the check fails the curve goes on as it was before the step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LinearRing, LineString, MultiLineString, Polygon

from loftline.fills.meander.care import Care, Wish
from loftline.fills.meander.curls import with_curls
from loftline.fills.meander.hashing import chance, named
from loftline.fills.meander.loop import Curve, Loop, as_points, from_points, resample
from loftline.fills.meander.pace import Pace
from loftline.fills.meander.plots import STEM, Plot, Stem, Stems
from loftline.fills.meander.relax import Settling, relax
from loftline.fills.meander.rounding import flow, refine
from loftline.fills.meander.tree import outline
from loftline.values import Area

SLIVER = 0.1
"""What hangs over the edge is cut off up to this area, in square spacings."""
LEAST_LEFT = 0.8
"""Share of its length that rounding must leave a curve."""
ON_EDGE_MM = 1e-6
"""The ends of an open curve lie on the edge to within this."""
FINE_STEP = 0.05
"""Between points of a curve that is drawn in to the edge, in spacings."""
CLEAR = (0.5, 0.35, 0.0)
"""From a stem to the walk it leads into, in spacings; tried in turn."""
MARK_STEP = 4.0
"""Marks nearer than this to the one before (in spacings) would make steps uneven."""


def tuck(curve: Curve, ground: Polygon, spacing: float) -> Curve:
    """Cut off what of a curve hangs over the edge of the ground, if that is next to nothing."""
    points = curve.drawn()
    if not curve.closed:
        return drawn_in(curve, ground, spacing)
    if ground.covers(LineString(points)):
        return curve
    if not LinearRing(points).is_simple:
        return curve
    shape = Polygon(points)
    kept = shape.intersection(ground)
    if not isinstance(kept, Polygon) or kept.interiors:
        return curve
    if kept.area < shape.area - SLIVER * spacing**2:
        return curve
    return curve.redrawn(from_points(shapely.get_coordinates(kept.exterior)[:-1]))


def drawn_in(curve: Curve, ground: Polygon, spacing: float) -> Curve:
    """Move what of an open curve lies outside the ground to its edge, but for both stems."""
    fine = resample(curve, FINE_STEP * spacing)
    outside = ~shapely.contains_xy(ground, fine.points.real, fine.points.imag)
    away = np.minimum(np.abs(fine.points - fine.points[0]), np.abs(fine.points - fine.points[-1]))
    outside &= away > STEM * spacing
    if not outside.any():
        return curve
    strayed = shapely.points(as_points(fine.points[outside]))
    nearest = shapely.get_coordinates(shapely.shortest_line(ground.boundary, strayed))[::2]
    points = fine.points.copy()
    points[outside] = from_points(nearest)
    return fine.at(points)


def raw_curve(plot: Plot, pace: Pace) -> Curve | None:
    """The walk round a plot's tree; an open one from its first stem to its second."""
    stems = plot.stems
    walk = outline(plot.mesh, plot.branches, plot.member)
    if walk is None:
        return None
    side = np.abs(np.diff(walk.points)) / pace.at(walk.points[1:])
    along = np.concatenate([[0.0], np.cumsum(side)])[walk.marks]
    walk = replace(walk, marks=walk.marks[np.diff(along, prepend=-MARK_STEP) >= MARK_STEP])
    return walk if stems is None else with_stems(walk, stems, pace)


def with_stems(walk: Curve, stems: Stems, pace: Pace) -> Curve:
    """A walk from the foot of the first stem to that of the second.

    What goes round the stems themselves is left out, as far as the curve stays simple so.
    """
    points, marks = walk.points, walk.marks
    if abs(points[0] - stems[0].foot) > abs(points[-1] - stems[0].foot):
        points, marks = points[::-1], len(points) - 1 - marks[::-1]
    for clear in CLEAR:
        first = around(points, stems[0], clear, pace)
        last = len(points) - around(points[::-1], stems[1], clear, pace)
        enter, leave = (stem.points(pace) if clear else stem.points(pace)[:1] for stem in stems)
        kept = marks[(marks >= first) & (marks < last)] + len(enter) - first
        joined = np.concatenate([enter, points[first:last], leave[::-1]])
        curve = Curve(points=joined, marks=kept, closed=False)
        if last - first > 1 and curve.line().is_simple:
            return curve
    return curve


def around(points: Loop, stem: Stem, clear: float, pace: Pace) -> int:
    """How many points of a walk go round the stem it starts at."""
    reach = clear * float(pace.at(np.array([stem.foot]))[0])
    near = np.abs(points - stem.foot) < reach
    return 0 if near.all() else int(np.argmin(near))


def settled(
    raw: Curve,
    settling: Settling,
    care: Care,
    trimmed: Callable[[Curve], Curve],
    good: Callable[[Curve], bool],
    tick: Callable[[], None],
) -> Curve | None:
    """The raw curve after the first stage that proves good, and after the last one."""
    for first in care.first:
        curve = trimmed(relax(raw, settling, first, tick))
        if not good(curve):
            continue
        if care.last is None:
            return curve
        fine = trimmed(relax(curve, settling, care.last, tick))
        return fine if good(fine) else curve
    # an open walk that does not settle is no line to sew: a closed one may do better
    return raw if raw.closed and good(raw) else None


def wander(
    plot: Plot,
    part: Polygon,
    others: Sequence[Curve],
    wish: Wish,
    tick: Callable[[], None],
) -> Curve | None:
    """The curve of a plot: each step is taken only if its result is proved good.

    Args:
        plot: the plot.
        part: what the curve must stay in.
        others: curves of the same part that it must not meet.
        wish: what is asked.
        tick: called once a pass.

    Returns:
        The curve, simple but for its curls, inside the part and apart from the others;
        ``None`` where no step gave one.
    """
    pace, care = wish.pace, wish.care
    fixed = MultiLineString([curve.line() for curve in others])
    room: Area = part if plot.stems is None else part.buffer(ON_EDGE_MM)
    shapely.prepare(room)

    def good(curve: Curve) -> bool:
        return curve.is_proved(room) and not (others and fixed.intersects(curve.line()))

    def trimmed(curve: Curve) -> Curve:
        return tuck(curve, plot.ground, pace.finest)

    settling = Settling(
        pace=pace,
        depth=plot.depth,
        turn=2 * np.pi * chance(named(wish.seed, np.arange(4)), 7),
        held=STEM * pace.finest,
    )
    raw = raw_curve(plot, pace)
    best = None if raw is None else settled(raw, settling, care, trimmed, good, tick)
    if best is None:
        return None
    curve = trimmed(flow(best, settling, care.flow, tick))
    # where all of a curve is a tight bend, rounding would shrink it to nothing
    if good(curve) and curve.length() > LEAST_LEFT * best.length():
        best = curve
    curve = refine(best, care.refined)
    best = curve if good(curve) else best
    curve = resample(best, min(max(care.step * pace.finest, care.steps[0]), care.steps[1]))
    best = curve if good(curve) else best
    return with_curls(best, plot.depth, pace, wish.seed, room) if wish.curls else best
