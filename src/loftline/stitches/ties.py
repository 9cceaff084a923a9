"""Ties: small stitches that lock the thread at both ends of a run.

A run begins a stitch's length in, goes back to the line's start in small stitches and then
sews over them; it ends the same way. No hole is used twice, and all of it lies on the
run's own first and last stitch (5 to 6 stitches of 0.5 mm, as machine quilters teach).
"""

from __future__ import annotations

import numpy as np

from loftline.geometry import ranges
from loftline.stitches.path import Path
from loftline.stitches.placing import Placed
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Ints, Kind

MOST = 5
FEWEST_HOLES = 3
"""Small stitches in cloth that keeps every hole."""

_LEAST_TENTHS = 4.0


def with_ties(path: Path, placed: Placed, most: int) -> tuple[Placed, Ints]:
    """Add ties to every run.

    Args:
        path: the path of the runs.
        placed: needle points on it without ties.
        most: greatest number of small stitches in a tie.

    Returns:
        Needle points and kinds with ties. A first or last stitch too short for small
        stitches gets fewer, down to none.
    """
    x, y, run = placed.x, placed.y, placed.run
    n = len(x)
    fresh = np.append(True, run[1:] != run[:-1])
    first = np.flatnonzero(fresh)
    last = np.append(first[1:], n) - 1
    whole = last > first
    before = _tie(x, y, first, np.minimum(first + 1, last), most, whole)
    after = _tie(x, y, last, np.maximum(last - 1, first), most, whole)
    # in front of each run's first point, far to near; behind its last point, near to far
    count = np.zeros((n, 2), np.int64)
    count[first, 0] = before
    count[last, 1] = after
    total = count.sum(axis=1) + 1
    owner = np.repeat(np.arange(n), total)
    place = ranges(np.zeros(n, np.int64), total)
    lead = count[owner, 0]
    step = np.where(place < lead, lead - place, np.maximum(place - lead, 0))
    toward = np.where(place < lead, owner + 1, owner - 1)
    toward = np.where(step == 0, owner, np.clip(toward, 0, n - 1))
    size = np.where(place < lead, lead, count[owner, 1]) + 1
    share = step / size
    is_tie = (place != lead) | ((lead > 0) & (place == lead))
    # along the path itself, so that a tie on a bend leaves it no farther than a stitch does
    added = np.flatnonzero(step)
    number = owner[added] + (toward - owner)[added] * share[added]
    new_x, new_y = x[owner], y[owner]
    for new, axis in ((new_x, 0), (new_y, 1)):
        spot = np.interp(number, placed.position, path.points[:, axis])
        new[added] = np.rint(spot / NEEDLE_GRID_MM).astype(np.int64)
    kind = np.where(is_tie, int(Kind.TIE), path.kind[placed.vertex][owner])
    tied = Placed(
        x=new_x,
        y=new_y,
        vertex=placed.vertex[owner],
        run=run[owner],
        position=placed.position,
    )
    return tied, kind


def _tie(x: Ints, y: Ints, end: Ints, inner: Ints, most: int, whole: object) -> Ints:
    length = np.hypot(x[inner] - x[end], y[inner] - y[end])
    count = np.clip(np.floor(length / _LEAST_TENTHS).astype(np.int64) - 1, 0, most)
    return np.where(np.asarray(whole), count, 0)
