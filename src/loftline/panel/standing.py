"""How large a bag stands once its corners are boxed: width, height and depth as sewn.

Geometry, no source needed. The seam across a boxed corner lies half of the depth ``d`` from the
side seam and reaches ``d / 2`` up from the fold (see :mod:`loftline.panel.boxed_corners`). So
``d / 2`` goes at both ends of the bottom and ``d / 2`` of the height turns into the base. A boxed
tote side has its fold there already: only the ends go.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString

from loftline.project import PanelSpec
from loftline.units import SAME_PLACE_MM
from loftline.values import Area, ClosedFace, Dart, Fold

Size = tuple[float, float, float]


def standing_size(
    spec: PanelSpec,
    faces: Sequence[ClosedFace],
    folds: Sequence[Fold],
    darts: Sequence[Dart],
    finished: Area,
) -> Size | None:
    """Width, height and depth of the standing bag, mm.

    Args:
        spec: for a boxed tote side its depth.
        faces: the closed bag as sewn.
        folds: of the flat panel.
        darts: its boxed corners among them.
        finished: the outline less its seam allowance.

    Returns:
        ``None`` where the bag does not stand on a bottom with both its corners boxed alike.
    """
    if not faces:
        return None
    _, height = faces[0].size
    if spec.shape == "boxed tote side":
        depth = spec.depth or 0.0
        return _sound(_within(folds[0], finished) - depth, height, depth)
    boxed = {dart.boxed for dart in darts if dart.boxed is not None}
    if len(boxed) != 1:
        return None
    (depth,) = boxed
    tips = shapely.points([dart.tip for dart in darts if dart.boxed is not None])
    ended = [fold for fold in folds if (shapely.distance(_line(fold), tips) < SAME_PLACE_MM).any()]
    if len(tips) != 2 or len(ended) != 1 or not _at_bottom(ended[0], faces[0]):
        return None
    return _sound(_within(ended[0], finished) - depth, height - depth / 2, depth)


def _line(fold: Fold) -> LineString:
    return LineString([fold.start, fold.end])


def _within(fold: Fold, finished: Area) -> float:
    """Length of a fold from side seam to side seam."""
    start, end = np.asarray(fold.start), np.asarray(fold.end)
    # a drawn fold may end a little before the seam
    past = (end - start) * 0.5
    line = LineString([start - past, end + past])
    return float(shapely.intersection(line, finished).length)


def _at_bottom(fold: Fold, face: ClosedFace) -> bool:
    """Whether a fold is the lower edge of a face of the closed bag."""
    middle = ((fold.start[0] + fold.end[0]) / 2, (fold.start[1] + fold.end[1]) / 2)
    low = face.bounds[1]
    for shown in face.parts:
        (x0, y0), (x1, y1) = shown.move(fold.start), shown.move(fold.end)
        level = abs(y0 - y1) < SAME_PLACE_MM and abs(y0 - low) < SAME_PLACE_MM
        touches = shown.whole.distance(shapely.Point(shown.move(middle))) < SAME_PLACE_MM
        if level and touches and abs(x1 - x0) > SAME_PLACE_MM:
            return True
    return False


def _sound(width: float, height: float, depth: float) -> Size | None:
    return (width, height, depth) if min(width, height, depth) > SAME_PLACE_MM else None
