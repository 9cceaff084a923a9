"""Ties: small stitches that lock the thread at both ends of a run.

A run begins a stitch's length in, goes back to the line's start in small stitches and then
sews over them; it ends the same way. No hole is used twice, and all of it lies on the
run's own first and last stitch (5 to 6 stitches of 0.5 mm, as machine quilters teach).

A walking foot sews forward only: there the first and the last stitch are sewn as small ones,
one after the other, without going back.
"""

from __future__ import annotations

import numpy as np

from loftline.geometry import ranges
from loftline.stitches.path import Path
from loftline.stitches.placing import Placed
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Bools, Ints, Kind

MOST = 5
FEWEST_HOLES = 3
"""Small stitches in cloth that keeps every hole."""

_LEAST_TENTHS = 4.0


def with_ties(
    path: Path,
    placed: Placed,
    most: int,
    *,
    forward: bool = False,
    wanted: Bools | None = None,
) -> tuple[Placed, Ints]:
    """Add ties to every run.

    Args:
        path: the path of the runs.
        placed: needle points on it without ties.
        most: greatest number of small stitches in a tie.
        forward: whether the foot cannot go back.
        wanted: ``(r, 2)`` whether each run's beginning and end are tied; all by default.

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
    asked = np.ones((len(first), 2), bool) if wanted is None else wanted
    before = _tie(x, y, first, np.minimum(first + 1, last), most, whole & asked[:, 0])
    # a run of one stitch has no second one to sew small without going back
    room = whole & (last - first > 1) if forward else whole
    after = _tie(x, y, last, np.maximum(last - 1, first), most, room & asked[:, 1])
    # in front of each run's first point, far to near; behind its last point, near to far
    count = np.zeros((n, 2), np.int64)
    count[first, int(forward)] = before
    count[last, int(not forward)] = after
    total = count.sum(axis=1) + 1
    owner = np.repeat(np.arange(n), total)
    place = ranges(np.zeros(n, np.int64), total)
    lead = count[owner, 0]
    step = np.where(place < lead, lead - place, np.maximum(place - lead, 0))
    onward = (place < lead) != forward
    toward = np.where(onward, owner + 1, owner - 1)
    toward = np.where(step == 0, owner, np.clip(toward, 0, n - 1))
    size = np.where(place < lead, lead, count[owner, 1]) + 1
    share = step / size
    small = np.zeros(n, bool)
    if forward:
        small[first[before > 0]] = True
        small[first[before > 0] + 1] = True
    is_tie = (place != lead) | (lead > 0) | small[owner]
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


def _tie(x: Ints, y: Ints, end: Ints, inner: Ints, most: int, whole: Bools) -> Ints:
    length = np.hypot(x[inner] - x[end], y[inner] - y[end])
    count = np.clip(np.floor(length / _LEAST_TENTHS).astype(np.int64) - 1, 0, most)
    return np.where(whole, count, 0)
