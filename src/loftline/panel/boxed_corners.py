"""Boxed corners: the rectangle that goes at the end of a fold, so that the bag gets depth.

Geometry (checked in ``tests/reference/test_boxed_corner.py``, told in decision 0009). The side
seams of a panel that is folded flat lie a seam allowance ``a`` inside its cut edge and meet
the fold in a corner of the bag. Flattened the other way, side seam upon fold, the corner is a
triangle, and the seam across it is as long as the bag becomes deep when it lies half of that
depth ``d`` from the corner. Opened out, it lies ``d / 2`` above and below the fold and
``d / 2`` from the side seam; its cut edges lie ``a`` nearer to the corner.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, Polygon

from loftline.geometry import polygons
from loftline.panel.dart_drawing import Drawing, Refused, shown
from loftline.project import DartSpec
from loftline.units import Unit
from loftline.values import Floats, Fold

_STRAIGHT_MM = 0.5
"""About the width of a chalk line: an edge that strays by less is straight."""


def boxed_corner(
    spec: DartSpec, outline: Polygon, folds: Sequence[Fold], *, seam_allowance: float, units: Unit
) -> Drawing:
    """The rectangle astride a fold, from the cut edge inward.

    Args:
        spec: with ``fold``, ``side`` and ``depth``.
        outline: the panel's cut edge without holes.
        folds: the panel's.
        seam_allowance: mm, of the side seams and of the seam across the corner.
        units: for lengths in sentences.

    Raises:
        Refused: where the corner would cut nothing away or pass the fold's other end, or where
            the edge beside the fold is not straight and square to it.
    """
    fold = _find_fold(spec, folds)
    near, inward, length = _end_of(fold, spec, outline)
    depth = spec.depth or 0.0
    if depth <= 2 * seam_allowance:
        says = (
            f"makes the bag {shown(depth, units)} deep; a depth of up to two seam allowances, "
            f"here {shown(2 * seam_allowance, units)}, needs no cut: leave it out and sew "
            "across the corner, or give it more depth"
        )
        raise Refused("depth", says)
    half = depth / 2
    if half >= length - _STRAIGHT_MM:
        says = f"reaches {shown(half, units)} along the fold, which is {shown(length, units)} long"
        raise Refused("depth", says)
    across = np.array([-inward[1], inward[0]])
    if not _straight(outline, near, inward * half, across * half):
        says = (
            f"needs the edge straight and square to the fold for {shown(half, units)} on both "
            "sides of it; give a smaller depth, or points for another dart"
        )
        raise Refused("depth", says)
    tip, wide = near + inward * half, across * (half - seam_allowance)
    path = np.array([near + wide, tip + wide, tip, tip - wide, near - wide])
    # far enough out to take along what an edge strays
    out = near - inward * _STRAIGHT_MM
    wedge = Polygon([out + wide, tip + wide, tip - wide, out - wide])
    return Drawing(path=path, wedge=wedge, key="depth", tip=2, boxed=depth)


def _end_of(fold: Fold, spec: DartSpec, outline: Polygon) -> tuple[Floats, Floats, float]:
    """Where a fold meets the cut edge at the side asked for, the way inward, its length in mm."""
    start, end = np.asarray(fold.start), np.asarray(fold.end)
    span = np.abs(end - start)
    level = bool(span[0] >= span[1])
    words = ("left", "right") if level else ("lower", "upper")
    if spec.side not in words:
        runs = "across" if level else "up and down"
        says = f'lies on the fold "{fold.name}", which runs {runs}: its ends are '
        raise Refused("side", f"{says}{words[0]} and {words[1]}")
    near, far = sorted((start, end), key=lambda point: float(point[0 if level else 1]))
    if spec.side == words[1]:
        near, far = far, near
    length = float(np.hypot(*(far - near)))
    inward = (far - near) / length
    # a drawn fold may end a little before the edge or past it
    x0, y0, x1, y1 = outline.bounds
    beyond = near - inward * np.hypot(x1 - x0, y1 - y0)
    met = shapely.get_coordinates(
        shapely.intersection(LineString([near + inward * length / 2, beyond]), outline.exterior)
    )
    if not len(met):
        return near, inward, length
    edge: Floats = met[int(np.argmin(np.hypot(*(met - near).T)))]
    return edge, inward, float(np.hypot(*(far - edge)))


def _straight(outline: Polygon, near: Floats, inward: Floats, across: Floats) -> bool:
    """Whether the panel fills the square beside the edge and nothing lies outside of it."""
    corners = [near + across, near + across + inward, near - across + inward, near - across]
    meant = Polygon(corners)
    around = Polygon([corners[1], corners[2], corners[3] - inward, corners[0] - inward])
    found = polygons(shapely.intersection(outline, around))
    if len(found) != 1:
        return False
    apart = shapely.hausdorff_distance(found[0].exterior, meant.exterior, densify=0.05)
    return bool(apart <= _STRAIGHT_MM)


def _find_fold(spec: DartSpec, folds: Sequence[Fold]) -> Fold:
    names = {fold.name: fold for fold in folds}
    wanted = spec.fold or ""
    if wanted in names:
        return names[wanted]
    if not names:
        raise Refused("fold", "lies at a fold, and this panel has none; give its points")
    close = difflib.get_close_matches(wanted, names, 1)
    hint = f'did you mean "{close[0]}"?' if close else "this panel has "
    listed = "" if close else " and ".join(f'"{name}"' for name in names)
    raise Refused("fold", f'lies at the fold "{wanted}", which does not exist; {hint}{listed}')
