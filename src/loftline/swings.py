"""How often the panel must be swung round along a way of sewing.

A **turn** is a place inside a run where the direction of sewing changes by 45 degrees or
more. Corners within 3 mm of each other are one swing of the panel: changes of direction are
added up (left against right), and where the sum over the last 3 mm of sewing or less reaches
45 degrees, a turn is complete. It takes up the 3 mm from the first of the corners that made
it; what lies there belongs to the same swing. Needle points lie on whole tenths, so corner
and distance may be sewn a little smaller or larger than they were drawn; :data:`ROUNDING`
and :data:`ROUNDING_MM` are allowed for that.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from loftline.values import Floats, Ints

TURN: Final = 45.0
ROUNDING: Final = 5.0
"""Degrees by which two stitches of 3 mm may differ when their ends are rounded to tenths."""
REACH_MM: Final = 3.0
ROUNDING_MM: Final = 0.15
"""A stitch's length changes by at most 0.142 mm when both its ends are rounded to tenths."""


def count_swings(step: Floats, run: Ints) -> int:
    """Number of turns along steps of some runs.

    Args:
        step: ``(n, 2)`` mm, in sewing order; what stands still does not count.
        run: ``(n,)`` run of each step, never falling.

    Returns:
        The number; near O(n).
    """
    moved = (step != 0).any(axis=1)
    step, run = step[moved], run[moved]
    if len(step) < 2:
        return 0
    change, along = _corners(step, run)
    reach = REACH_MM + ROUNDING_MM
    begun = _begun(change, along, reach)
    begun = begun[begun >= 0]
    count, behind = 0, -np.inf
    for start in along[begun].tolist():  # one step a corner, on plain floats
        if start > behind:
            count += 1
            behind = start + reach
    return count


def _corners(step: Floats, run: Ints) -> tuple[Floats, Floats]:
    """Signed change of direction (degrees) between steps and the way sewn up to it.

    Runs are set apart along the way by more than a corner's reach.
    """
    before, after = step[:-1], step[1:]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = (before * after).sum(axis=1)
    change = np.degrees(np.arctan2(cross, dot))
    same = run[1:] == run[:-1]
    along = np.cumsum(np.hypot(*step.T))[:-1]
    along += np.cumsum(~same) * (2 * (REACH_MM + ROUNDING_MM))
    return change[same], along[same]


def _begun(change: Floats, along: Floats, reach: float) -> Ints:
    """For each needle point the last one from which the changes up to it are a turn, or -1."""
    first = np.searchsorted(along, along - reach)
    total = np.zeros(len(change))
    begun = np.full(len(change), -1)
    open_ = np.arange(len(change))
    back = 0
    while len(open_):
        total[open_] += change[open_ - back]
        done = np.abs(total[open_]) >= TURN - ROUNDING
        begun[open_[done]] = open_[done] - back
        back += 1
        open_ = open_[~done]
        open_ = open_[open_ - back >= first[open_]]
    return begun
