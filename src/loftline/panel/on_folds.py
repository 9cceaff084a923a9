"""What cannot bend with a fold: hardware across it, and a fold that crosses another aslant."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import LineString, Polygon

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import show
from loftline.values import Floats, Fold, Piece, Point

_LEAST_MM: Final = 0.5
"""About the width of a chalk line: a piece that reaches no farther over a fold lies beside it."""


_SQUARE: Final = 0.002
"""Cosine of a tenth of a degree from a right angle, about 0.5 mm over the length of a bag.

On a smaller panel more is no more than that half millimetre.
"""


def folds_aslant(folds: Sequence[Fold], outline: Polygon, pieces: Sequence[Piece]) -> list[Finding]:
    """A finding for each two folds that cross inside the panel at no right angle.

    Only two folds that cross square can both be closed flat: at a crossing every other angle
    adds up to 180 degrees (Kawasaki's theorem). Where a closure depends on the folds it is an
    error: where its other half lies cannot be said.
    """
    closures = any(piece.mate_of is not None for piece in pieces)
    findings = []
    x0, y0, x1, y1 = outline.bounds
    square = max(_SQUARE, _LEAST_MM / max(x1 - x0, y1 - y0))
    for one, two in itertools.combinations(folds, 2):
        first, second = _along(one), _along(two)
        if abs(float(first @ second)) <= square:
            continue
        met = LineString([one.start, one.end]).intersection(LineString([two.start, two.end]))
        if met.geom_type != "Point" or not outline.contains_properly(met):
            continue
        ends: tuple[Point, ...] = (one.start, one.end, two.start, two.end)
        if shapely.distance(shapely.points(ends), met).min() < _LEAST_MM:
            continue
        angle = np.degrees(np.arccos(min(1.0, abs(float(first @ second)))))
        spot = shapely.get_coordinates(met)[0].tolist()
        findings.append(
            Finding(
                code="folds-aslant",
                severity="error" if closures else "warning",
                where=f"{one.name} and {two.name}, {place(spot)}",
                message=f"the folds {show(one.name)} and {show(two.name)} cross at an angle of "
                f"{angle:.3g} degrees, so they cannot both be closed flat",
                remedy="let them cross at a right angle, or end one at the other",
            )
        )
    return findings


def _along(fold: Fold) -> Floats:
    step = np.subtract(fold.end, fold.start)
    unit: Floats = step / np.hypot(*step)
    return unit


def on_folds(pieces: Sequence[Piece], folds: Sequence[Fold]) -> list[Finding]:
    """A warning for each piece that a fold runs through.

    Other halves are left out: one that does not lie wholly on its part is an error by itself.
    """
    lines = [LineString([fold.start, fold.end]) for fold in folds]
    placed = [piece for piece in pieces if piece.mate_of is None]
    if not lines or not placed:
        return []
    tree = shapely.STRtree([piece.outline for piece in placed])
    findings = []
    for fold, line in zip(folds, lines, strict=True):
        for i in sorted(tree.query(line, predicate="intersects").tolist()):
            piece = placed[i]
            if not shapely.intersects(piece.outline.buffer(-_LEAST_MM), line):
                continue
            findings.append(
                Finding(
                    code="piece-on-fold",
                    severity="warning",
                    where=f"{piece.name} at {place(piece.at)}",
                    message=f"{show(piece.name)} lies across the fold {show(fold.name)}, where "
                    "the panel bends",
                    remedy="move it off the fold, unless it is soft enough to bend with it",
                )
            )
    return findings
