"""Lines that bend round keep-outs instead of being cut by them.

All lines move across by a function that rises with their offset in every column, so they can
neither cross nor enter a keep-out (:mod:`loftline.fills.openings` for one keep-out,
:mod:`loftline.fills.slits` for several). What comes out is measured, and a keep-out that would
crowd its lines cuts them after all.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from typing import Final, NamedTuple

import numpy as np
import shapely

from loftline.clips import Clip, Cuts
from loftline.errors import Finding
from loftline.fills.bend_checks import bare
from loftline.fills.clipping import runs_beside
from loftline.fills.closer import Ground, led_closer
from loftline.fills.openings import MOST_SHIFTED, PLATES, Slit
from loftline.fills.slits import Frame, alike, find_slits, frame_of
from loftline.fills.straight import LEAST_LINE_MM, family_at
from loftline.geometry import place, pole, polygons
from loftline.values import Field, Floats, Ints

_CLEAR_SPACINGS: Final = 3.0
_MOST_TRIES: Final = 60
_STILL_MM: Final = 1e-9


class Bent(NamedTuple):
    """Lines of one family.

    Attributes:
        curves: ``(k, 2)`` each, all along the angle.
        offsets: ``(m,)`` mm, of the line of which each is a piece.
        bent: whether any of them is no straight line.
        cuts: the ends that the border of the region has made.
        findings: what could not be passed.
    """

    curves: list[Floats]
    offsets: Floats
    bent: bool
    findings: list[Finding]
    cuts: Cuts


def bent_family(field: Field, angle: float, spacing: float, offsets: Floats) -> Bent:
    """The pieces of a family whose lines pass round the field's keep-outs.

    Args:
        field: region, centre, keep-outs and creases.
        angle: degrees from x, counter-clockwise.
        spacing: mm between lines.
        offsets: ``(n,)`` rising distances from the centre, evenly spaced.

    Returns:
        Lines no two of which cross or come nearer than
        :data:`~loftline.fills.bend_checks.CLOSEST` of the spacing; a
        finding ``keep-out-not-passed`` for each keep-out that cuts its lines after all.
    """
    if field.region.is_empty or not len(offsets):
        return Bent([], np.empty(0), bent=False, findings=[], cuts=Cuts.none())
    frame = frame_of(field, angle)
    shapes = polygons(field.keep_outs)
    ground = Ground(field, frame, spacing, offsets)
    slits = find_slits(field, frame, shapes, spacing, offsets)
    kin = alike(slits, shapes)
    cut: set[int] = set()
    for tries in count():
        passed = ground.passed(slits)
        wrong = passed.wrong or bare(passed.lines, slits, passed.openings, field, frame)
        if not wrong:
            break
        otherwise = _otherwise(slits, wrong, spacing) if tries < _MOST_TRIES else []
        if otherwise:
            slits = otherwise
            continue
        # what looks alike and lies in one row is cut alike
        lost = {i for k in slits[wrong[0]].members for i in kin[k]}
        cut |= {i for slit in slits if not lost.isdisjoint(slit.members) for i in slit.members}
        slits = [slit for slit in slits if lost.isdisjoint(slit.members)]
    y = led_closer(ground, passed, slits, shapes).lines.y
    still = np.abs(y - offsets[:, None]).max(axis=1) < _STILL_MM
    straight = family_at(field, angle, spacing, offsets[still])
    round_them, line, cuts = _worth_sewing(y[~still], field, frame, spacing)
    curves = [*straight.pieces, *round_them]
    across = (straight.pieces.mean(axis=1) - frame.origin) @ frame.across
    across = np.concatenate([across, offsets[~still][line]])
    turned = [c if (c[-1] - c[0]) @ frame.along >= 0 else c[::-1] for c in curves]
    findings = [_not_passed(shapes[i]) for i in sorted(cut)]
    cuts = Cuts.joined([straight.cuts, cuts])
    return Bent(turned, across, bent=bool((~still).any()), findings=findings, cuts=cuts)


def _otherwise(slits: list[Slit], chosen: list[int], spacing: float) -> list[Slit]:
    """The slits with a line less between two, or with other bends; nothing: all tried."""
    fresh = list(slits)
    if len(chosen) > 1:
        # a line less between the two, and one more beyond
        one, other = chosen
        way = spacing if slits[one].at < slits[other].at else -spacing
        for k, move in ((one, way), (other, -way)):
            if slits[k].holds(slits[k].at + move) and slits[k].shifted < MOST_SHIFTED:
                fresh[k] = replace(slits[k], at=slits[k].at + move, shifted=slits[k].shifted + 1)
                return fresh
    able = [k for k in chosen if slits[k].plate + 1 < len(PLATES)]
    for k in able:
        fresh[k] = replace(slits[k], plate=slits[k].plate + 1)
    return fresh if able else []


def _worth_sewing(
    y: Floats, field: Field, frame: Frame, spacing: float
) -> tuple[list[Floats], Ints, Cuts]:
    """Pieces of the moved lines in the region, without those that hug an edge or a crease.

    With each the index of its line; and the ends that the border of the region has made.
    """
    if not len(y):
        return [], np.empty(0, np.int64), Cuts.none()
    wholes = [frame.outward(_thinned(np.column_stack([frame.x, row]))) for row in y]
    strokes = np.array([shapely.linestrings(curve) for curve in wholes], dtype=object)
    parts, line, cuts = Clip.to(field.region).curves(strokes)
    long = shapely.length(shapely.intersection(parts, field.outline)) >= LEAST_LINE_MM
    parts, line = parts[long], line[long]
    creases = [shapely.linestrings(crease) for crease in field.creases]
    edges = shapely.union_all([field.outline.boundary, *creases])
    kept: list[Floats] = []
    own: list[int] = []
    for part, number in zip(parts, line.tolist(), strict=True):
        fine = shapely.get_coordinates(shapely.segmentize(part, spacing / 4))
        step = np.hypot(*np.diff(fine, axis=0).T)
        beside = float(step[runs_beside(fine, edges, spacing)].sum())
        if beside <= step.sum() / 2 or step.sum() - beside >= _CLEAR_SPACINGS * spacing:
            kept.append(np.asarray(shapely.get_coordinates(part)))
            own.append(number)
    return kept, np.array(own, np.int64), cuts


def _thinned(points: Floats) -> Floats:
    """A curve without the places inside its straight stretches."""
    level = np.abs(np.diff(points[:, 1], 2)) < _STILL_MM
    out: Floats = points[np.concatenate([[True], ~level, [True]])]
    return out


def _not_passed(shape: shapely.Polygon) -> Finding:
    return Finding(
        code="keep-out-not-passed",
        severity="note",
        where=place(pole(shape)),
        message="the lines cannot bend round the keep-out here without crowding or leaving a "
        "wide place bare, and are cut by it as they meet it",
        remedy="another angle or another spacing may let them pass, or move what lies close "
        "beside it",
    )
