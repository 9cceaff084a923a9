"""A spacing, and where need be an angle, with which plain lines run on over the closed bag.

Where one part lies over another in the closed bag, a flap over a front, the two are apart on
the flat panel by a step. Lines drawn straight over both meet at the flap's edge when the
step, taken across the lines, is a whole number of spacings (reference 35e). Round a side seam
they go on straight when they meet the seam at places that folding brings onto each other.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.errors import Finding
from loftline.fills.spacing import MOST_STRETCH
from loftline.geometry import axes, inside_seams
from loftline.project import FillSpec
from loftline.units import Unit, format_length
from loftline.values import Affine, Floats, Panel, Point

MOST_TURN = 2.0
"""Degrees by which an angle may be changed: less is not seen."""

_SAME = 1e-9
_LIES_OVER_MM2 = 1.0
_LEAST_STEP_MM = 1e-3


def steps_over(panel: Panel) -> list[Floats]:
    """The steps ``(2,)`` from parts to those that lie over them, as far as all keep straight."""
    steps: list[Floats] = []
    for face in panel.closed:
        for under, over in itertools.combinations(face.parts, 2):
            if shapely.area(shapely.intersection(under.whole, over.whole)) < _LIES_OVER_MM2:
                continue
            move = under.move.then(over.move.inverse())
            step = np.array([move.x0, move.y0])
            if _only_shifts(move) and np.hypot(*step) > _LEAST_STEP_MM:
                steps.append(step)
    return steps


def fitting_spacing(
    steps: list[Floats], angles: tuple[float, ...], spacing: float, most: float = MOST_STRETCH
) -> float | None:
    """The spacing nearest to the wanted one of which a whole number fits in all steps.

    Args:
        steps: ``(2,)`` each.
        angles: degrees, of each family.
        spacing: mm, as wanted.
        most: share by which it may be changed.

    Returns:
        Millimetres; ``None`` where none within the share makes all lines meet to
        :data:`FITS_MM`.

    >>> step = np.array([0.0, 300.0])  # reference 35e
    >>> round(fitting_spacing([step], (45.0,), 12.0), 3)
    11.785
    """
    far = [abs(float(step @ axes(angle)[1])) for step in steps for angle in angles]
    far = [mm for mm in far if mm > FITS_MM]
    if not far:
        return spacing
    counts = {
        (mm, count)
        for mm in far
        for count in range(
            math.ceil(mm / spacing / (1 + most) - _SAME),
            math.floor(mm / spacing / (1 - most) + _SAME) + 1,
        )
        if count > 0
    }
    fits = [mm / count for mm, count in counts]
    fits = [fit for fit in fits if max(_left_over(mm, fit) for mm in far) <= FITS_MM]
    return min(fits, key=lambda fit: (abs(fit - spacing), fit), default=None)


FITS_MM = 0.25
"""Lines that miss each other by less meet as well as they can be sewn."""


def fitted(panel: Panel, spec: FillSpec, index: int, units: Unit) -> tuple[FillSpec, list[Finding]]:
    """A fill's entry with what makes its lines run on, and what was changed.

    Args:
        panel: how it closes.
        spec: with ``match``.
        index: its place in the file.
        units: for words.
    """
    if spec.match == "closed" and spec.at_side_seam == "straight":
        return _straight_round(panel, spec, index, units)
    steps = steps_over(panel)
    where = f"fills[{index}].match"
    if not steps:
        return spec, [_nothing_over(where)]
    fit = fitting_spacing(steps, spec.angles, spec.spacing)
    fits = None if fit is None else _fitting_waves(steps, spec)
    if fit is None or fits is None:
        return spec, [_no_fit(where, spec, units)]
    return spec.model_copy(update={"spacing": fit, **fits}), _changed(spec, fit, None, index, units)


def _fitting_waves(steps: list[Floats], spec: FillSpec) -> dict[str, float] | None:
    """The wave length of which a whole number fits along the steps."""
    if spec.wave_length is None:
        return {}
    square = tuple(angle + 90.0 for angle in spec.angles)
    fit = fitting_spacing(steps, square, spec.wave_length)
    return None if fit is None else {"wave_length": fit}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Round:
    """How lines go on round the bag.

    Attributes:
        along: direction of the fold, degrees.
        wide: from side seam to side seam, mm.
        step: twice as far as from fold to fold, mm; 0 where nothing lies over anything.
        start: where the fold meets the first seam.
    """

    along: float
    wide: float
    step: float
    start: Point


def _straight_round(
    panel: Panel, spec: FillSpec, index: int, units: Unit
) -> tuple[FillSpec, list[Finding]]:
    """Spacing and angle with which lines meet at both side seams and at the flap.

    With n across the lines, the seam's two ends of the fold must lie on lines or midway, and
    the step from part to part a whole number of spacings apart: 2 W sin(a) / s and
    D cos(a) / s are whole, a from the fold. Two whole numbers give both a and s.
    """
    where = f"fills[{index}].match"
    bag = _round_the_bag(panel)
    if bag is None:
        return spec, [_nothing_over(where)]
    spacing = spec.spacing
    turned = math.radians(spec.angles[0] - bag.along)
    sine, cosine = math.sin(turned), math.cos(turned)
    ups = _about(2 * bag.wide * sine / spacing)
    overs = _about(bag.step * cosine / spacing) if bag.step else [0]
    best: tuple[float, float, float] | None = None
    for up, over in itertools.product(ups, overs):
        rise = up / (2 * bag.wide)
        run = over / bag.step if bag.step else cosine / spacing
        if math.hypot(rise, run) < _SAME:
            continue
        fit = 1 / math.hypot(rise, run)
        angle = math.degrees(math.remainder(math.atan2(rise, run) - turned, math.pi))
        stretch = abs(fit / spacing - 1)
        if stretch <= MOST_STRETCH and abs(angle) <= MOST_TURN:
            cost = stretch / MOST_STRETCH + abs(angle) / MOST_TURN
            best = min(best or (math.inf, 0.0, 0.0), (cost, fit, angle))
    if best is None:
        return spec, [_no_fit(where, spec, units)]
    _, fit, turn = best
    angle = spec.angles[0] + turn
    changed = {"spacing": fit, "angles": (angle,), "start_at": bag.start}
    return spec.model_copy(update=changed), _changed(spec, fit, angle, index, units)


def _about(count: float) -> list[int]:
    return [math.floor(count), math.floor(count) + 1]


def _round_the_bag(panel: Panel) -> _Round | None:
    """The fold that front and back hang from, and how wide the bag is sewn along it."""
    moves = panel.moves
    finished = inside_seams(panel.outline, panel.seam_allowance)
    areas = {part.name: shapely.intersection(part.area, finished) for part in panel.parts}
    for one, two in itertools.permutations(moves, 2):
        if not moves[one].turned_over or moves[two].turned_over:
            continue
        mirror = moves[one].then(moves[two].inverse())
        for fold in panel.folds:
            ends = np.array([fold.start, fold.end])
            if np.abs(mirror.points(ends) - ends).max() > _LEAST_STEP_MM:
                continue
            along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
            if any(shapely.is_empty(areas[name]) for name in (one, two)):
                continue  # what lies all in the seams shows nothing
            reach = [shapely.get_coordinates(areas[name]) @ along for name in (one, two)]
            low = max(float(mm.min()) for mm in reach)
            high = min(float(mm.max()) for mm in reach)
            start = ends[0] + (low - float(ends[0] @ along)) * along
            steps = [abs(float(step @ axes(_angle(along))[1])) for step in steps_over(panel)]
            return _Round(
                along=_angle(along),
                wide=high - low,
                step=max(steps, default=0.0),
                start=(float(start[0]), float(start[1])),
            )
    return None


def _angle(along: Floats) -> float:
    return math.degrees(math.atan2(along[1], along[0]))


def _only_shifts(move: Affine) -> bool:
    return abs(move.a - 1) + abs(move.b) + abs(move.d) + abs(move.e - 1) < _SAME


def _left_over(mm: float, spacing: float) -> float:
    """How far lines miss each other over a distance across them."""
    return abs(mm - round(mm / spacing) * spacing)


def _changed(
    spec: FillSpec, fit: float, angle: float | None, index: int, units: Unit
) -> list[Finding]:
    """A note on what was changed."""
    changes = []
    if abs(fit - spec.spacing) > _LEAST_STEP_MM:
        exact, asked = format_length(fit, units, 3), format_length(spec.spacing, units)
        changes.append(f"lie {exact} apart instead of {asked}")
    if angle is not None and abs(angle - spec.angles[0]) > _LEAST_STEP_MM:
        changes.append(f"run at {angle:.2f} degrees instead of {spec.angles[0]:g}")
    if not changes:
        return []
    return [
        Finding(
            code="lines-fitted",
            severity="note",
            where=f"fills[{index}].spacing",
            message=f"lines {' and '.join(changes)}, so that they run on over the closed bag",
        )
    ]


def _nothing_over(where: str) -> Finding:
    return Finding(
        code="nothing-to-match",
        severity="note",
        where=where,
        message="no part of the closed bag lies over another that shows on the same side, so "
        "there is nothing to match",
        remedy="take match out",
    )


def _no_fit(where: str, spec: FillSpec, units: Unit) -> Finding:
    much = format_length(spec.spacing, units)
    return Finding(
        code="no-spacing-fits",
        severity="warning",
        where=where,
        message=f"no spacing within {100 * MOST_STRETCH:g} % of {much} makes lines run on over "
        "the closed bag; they are drawn as if there was no match",
        remedy='match = "closed", with a chevron at the side seams, or another spacing',
    )
