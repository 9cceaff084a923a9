"""What lies on a dart, and darts that are in each other's way or across a fold."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

import shapely
from shapely import LineString

from loftline.errors import Finding
from loftline.geometry import only_polygons, place, pole
from loftline.panel.darts import LEGS_DIFFER_MM
from loftline.panel.folding import reflection
from loftline.values import Dart, Fold, KeepOut, Piece

_LEAST_MM2: Final = 1e-6
_LEAST_MM: Final = 0.5
"""About the width of a chalk line: a fold that only brushes a dart is not cut by it."""

_UNLIKE: Final = 0.05
"""Share of a wedge that may lie differently on both sides of the fold through it."""


def on_darts(
    darts: Sequence[Dart], pieces: Sequence[Piece], keep_outs: Sequence[KeepOut]
) -> list[Finding]:
    """An error for every piece of hardware, label or other drawn zone that lies on a dart."""
    things: list[Piece | KeepOut] = [*pieces]
    things += [zone for zone in keep_outs if not zone.hardware]
    findings = []
    for dart, thing in itertools.product(darts, things):
        shared = shapely.intersection(dart.zone, thing.outline)
        if shapely.area(shared) <= 1e-6:
            continue
        over = shapely.area(shapely.intersection(dart.wedge, thing.outline)) > 1e-6
        lies = "lies on the dart" if over else "lies in the seam allowance of the dart"
        spot = shared.representative_point()
        findings.append(
            Finding(
                code="piece-on-dart",
                severity="error",
                where=f"{thing.name} and {dart.name}, near {place((spot.x, spot.y))}",
                message=f'"{thing.name}" {lies} "{dart.name}"',
                remedy="move one of them: nothing can be fitted where a dart is cut and sewn",
            )
        )
    return findings


def darts_apart(darts: Sequence[Dart]) -> list[Finding]:
    """A warning for two darts so near each other that their seam allowances overlap."""
    findings = []
    for one, two in itertools.combinations(darts, 2):
        shared = only_polygons(shapely.intersection(one.zone, two.zone))
        if shapely.area(shared) <= _LEAST_MM2:
            continue
        findings.append(
            Finding(
                code="darts-too-near",
                severity="warning",
                where=f"{one.name} and {two.name}, near {place(pole(shared))}",
                message=f'the seam allowances of the darts "{one.name}" and "{two.name}" overlap',
                remedy="make one of them smaller or move it: no cloth is left between the seams",
            )
        )
    return findings


def darts_across_folds(darts: Sequence[Dart], folds: Sequence[Fold]) -> list[Finding]:
    """A warning for a dart that a fold runs into and that is not alike on both sides of it."""
    findings = []
    for dart, fold in itertools.product(darts, folds):
        line = LineString([fold.start, fold.end])
        if shapely.length(shapely.intersection(dart.wedge, line)) < _LEAST_MM:
            continue
        one, two = dart.leg_lengths
        on_fold = shapely.distance(line, shapely.Point(dart.tip)) < _LEAST_MM
        if on_fold and abs(one - two) > LEGS_DIFFER_MM:
            continue  # that is told already
        mirrored = reflection(fold.start, fold.end).area(dart.wedge)
        unlike = shapely.area(shapely.difference(dart.wedge, mirrored))
        if unlike <= _UNLIKE * shapely.area(dart.wedge):
            continue
        findings.append(
            Finding(
                code="dart-across-fold",
                severity="warning",
                where=f"{dart.name} and {fold.name}, near {place(dart.tip)}",
                message=f'the fold "{fold.name}" runs into the dart "{dart.name}", which is not '
                "alike on both sides of it: folded, its legs do not lie on each other",
                remedy="move it off the fold, or draw it alike on both sides; a boxed corner there "
                f'has fold = "{fold.name}", a side and a depth',
            )
        )
    return findings
