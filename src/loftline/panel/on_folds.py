"""What cannot bend with a fold: hardware across it, and a fold that crosses another aslant."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import LineString, Polygon

from loftline.errors import Finding
from loftline.geometry import place
from loftline.panel.folding import reflection
from loftline.units import SAME_PLACE_MM, format_length, show
from loftline.values import Floats, Fold, Piece, Point

_LEAST_MM: Final = 0.5
"""About the width of a chalk line: a piece that reaches no farther over a fold lies beside it."""


_SQUARE: Final = 0.002
"""Cosine of a tenth of a degree from a right angle, about 0.5 mm over the length of a bag.

On a smaller panel more is no more than that half millimetre.
"""


_NEARLY: Final = 89.9
"""From here on an angle is told more exactly, so as not to be called a right one."""


def folds_aslant(folds: Sequence[Fold], outline: Polygon, pieces: Sequence[Piece]) -> list[Finding]:
    """A finding for each two folds that cross inside the panel at no right angle.

    Only two folds that cross square can both be closed flat: at a crossing every other angle
    adds up to 180 degrees (Kawasaki's theorem). Where a closure depends on the folds it is an
    error: where its other half lies cannot be said. So it is at a smaller angle too where the
    other half would lie more than half a millimetre elsewhere were the folds closed the other
    way about.
    """
    closures = any(piece.mate_of is not None for piece in pieces)
    findings = []
    x0, y0, x1, y1 = outline.bounds
    square = max(_SQUARE, _LEAST_MM / max(x1 - x0, y1 - y0))
    for one, two in itertools.combinations(folds, 2):
        first, second = _along(one), _along(two)
        lean = abs(float(first @ second))
        met = LineString([one.start, one.end]).intersection(LineString([two.start, two.end]))
        if met.geom_type != "Point" or not outline.contains_properly(met):
            continue
        ends: tuple[Point, ...] = (one.start, one.end, two.start, two.end)
        if shapely.distance(shapely.points(ends), met).min() < _LEAST_MM:
            continue
        spot = shapely.get_coordinates(met)[0]
        astray = _astray(pieces, folds, spot, lean)
        if lean <= square and astray is None:
            continue
        angle = float(np.degrees(np.arccos(min(1.0, lean))))
        told = f"{angle:.3g}" if angle < _NEARLY else f"{angle:.5g}"
        findings.append(
            Finding(
                code="folds-aslant",
                severity="error" if closures else "warning",
                where=f"{one.name} and {two.name}, {place(spot)}",
                message=f"the folds {show(one.name)} and {show(two.name)} cross at an angle of "
                f"{told} degrees, so they cannot both be closed flat"
                + ("" if astray is None else f": {astray}"),
                remedy="let them cross at a right angle, or end one at the other",
            )
        )
    return findings


def _astray(
    pieces: Sequence[Piece], folds: Sequence[Fold], spot: Floats, lean: float
) -> str | None:
    """The other half that lies least surely, and how far off; ``None`` where all are sure enough.

    What one fold alone brings there is sure. Closed in turn, the second fold is creased through
    both layers of the first, and only one of them has it where it was drawn. The two ways about
    differ by a turn of four times the lean from a right angle.
    """
    at = {piece.name: piece.at for piece in pieces}
    worst: tuple[float, str] | None = None
    for mate in pieces:
        home = at.get(mate.mate_of or "")
        if home is None or any(
            math.dist(reflection(fold.start, fold.end)(home), mate.at) < SAME_PLACE_MM
            for fold in folds
        ):
            continue
        off = 2 * math.sin(2 * math.asin(min(lean, 1.0))) * math.dist(mate.at, spot)
        if off > _LEAST_MM:
            worst = max(worst or (0.0, ""), (off, mate.name))
    return None if worst is None else f"{show(worst[1])} may lie {format_length(worst[0])} off"


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
