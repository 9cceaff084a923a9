"""Where there is no travel: across folds closed to it, and where the foam has a gap."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from loftline.values import Bools, Panel

BESIDE_FOLD_MM = 0.5
"""A line so near a closed fold may cross it once its stitches are rounded."""

_AT_GAP_MM = 0.05
"""Lines that end at a gap do not lie in it."""


def barred_by_folds(panel: Panel, pieces: npt.NDArray[np.object_]) -> Bools:
    """Which pieces of sewing meet a fold closed to travel, or lie where its foam has a gap."""
    barred = np.zeros(len(pieces), bool)
    for place, reach in _places(panel):
        shapely.prepare(place)
        barred |= shapely.dwithin(place, pieces, reach)
    return barred


def bars_travel(panel: Panel) -> bool:
    """Whether there is any such fold."""
    return bool(_places(panel))


def _places(panel: Panel) -> list[tuple[shapely.Geometry, float]]:
    barred: list[tuple[shapely.Geometry, float]] = []
    for fold in panel.folds:
        if fold.closed_to in ("travel", "both"):
            barred.append((shapely.linestrings(fold.across), BESIDE_FOLD_MM))
        if fold.gap > 0:
            within = shapely.intersection(
                shapely.linestrings([fold.start, fold.end]), panel.outline
            )
            barred.append((within, max(fold.gap / 2 - _AT_GAP_MM, 0.0)))
    return barred
