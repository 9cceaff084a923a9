"""From moves to runs: what the readers of all formats have in common.

A stitch file is a list of moves, each relative to the one before. Most put the needle
down at their end; the others (jumps) only move the frame. The needle points and the places
between the runs follow from sums along that list, without a Python loop.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from loftline.errors import StitchFileError
from loftline.values import Bools, Ints, Sewn

GREATEST_FILE = 1 << 23
"""Bytes, 8 MiB. A million stitches stay under 7 MiB in every format that is no text."""

Small = npt.NDArray[np.signedinteger[Any]]
"""Whole numbers of any width: hostile files hold millions of records, and bytes add up."""

GREATEST_POINTS = 1_000_000
"""Needle points of one file: more than a day of sewing."""

SIGNAL_REACH = 5
"""Tenths of a millimetre: jumps that stay this near and come back only ask for a cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """The records of a stitch file in order, one element each.

    Attributes:
        dx, dy: ``(n,)`` the move, tenths of a millimetre, y up; in whatever whole numbers are
            narrow and hold them.
        needle: ``(n,)`` whether the needle goes down where the move ends.
        cut: ``(n,)`` whether the record says that the thread is cut or changed.
    """

    dx: Small
    dy: Small
    needle: Bools
    cut: Bools


def check_size(data: bytes, ext: str, greatest: int = GREATEST_FILE) -> None:
    """Refuse a file too large to be sewn.

    Raises:
        StitchFileError: when ``data`` is longer than ``greatest``.
    """
    if len(data) > greatest:
        raise StitchFileError(f"the {ext} file has {len(data):,} bytes, more than can be sewn")


def as_sewn(moves: Moves, ext: str, *, jumps_that_cut: int = 1) -> Sewn:
    """Needle points, runs and the places between runs.

    A run ends where a record says so, or where at least ``jumps_that_cut`` jumps follow
    each other; fewer belong to one long stitch. Jumps at the head of such a gap that stay
    within half a millimetre of the last needle point and come back to it are how some
    formats ask for a cut: they are no places and left out of ``via``. So are landing
    places on the run's first needle point itself.

    Args:
        moves: the records.
        ext: named in messages.
        jumps_that_cut: how many jumps in a row end a run.

    Raises:
        StitchFileError: when the needle never goes down, or oftener than can be sewn.
    """
    at = np.flatnonzero(moves.needle)
    if at.size == 0:
        raise StitchFileError(f"the {ext} file holds no stitch")
    if at.size > GREATEST_POINTS:
        raise StitchFileError(
            f"the {ext} file holds {at.size:,} needle points, more than can be sewn"
        )
    jumps = _between(at, ~moves.needle & ~moves.cut)
    begins = (jumps >= jumps_that_cut) | (_between(at, moves.cut) > 0)
    begins[0] = True
    moved = ~moves.needle & ((moves.dx != 0) | (moves.dy != 0) | ~moves.cut)
    stop, towards = _leading(np.flatnonzero(moved), at, begins)
    x, stop_x, far_x = _places(moves.dx, at, stop, towards)
    y, stop_y, far_y = _places(moves.dy, at, stop, towards)
    keep = (stop_x != x[towards]) | (stop_y != y[towards])
    keep &= _own_places(stop, towards, np.maximum(far_x, far_y))
    run: Ints = np.cumsum(begins, dtype=np.int64) - 1
    return Sewn(
        x=x,
        y=y,
        run=run,
        kind=np.zeros(at.size, np.int64),
        via=np.column_stack((stop_x[keep], stop_y[keep])),
        via_run=run[towards[keep]],
    )


def _places(move: Small, at: Ints, stop: Ints, towards: Ints) -> tuple[Ints, Ints, Ints]:
    """On one axis: needle points, stops, and how far each stop lies from the point before it."""
    place = np.cumsum(move, dtype=np.int64)
    points, stops = place[at], place[stop]
    before = np.where(towards > 0, points[towards - 1], 0)
    return points, stops, np.abs(stops - before)


def _between(at: Ints, flags: Bools) -> Ints:
    """How many flags are set between each needle point and the one before it."""
    return np.diff(np.cumsum(flags, dtype=np.int64)[at], prepend=0)


def _leading(stop: Ints, at: Ints, begins: Bools) -> tuple[Ints, Ints]:
    """Which records move the frame on the way to a run, and the needle point each leads to.

    Args:
        stop: ``(k,)`` records that move without a needle point.
        at: ``(n,)`` records with a needle point.
        begins: ``(n,)`` whether a needle point is the first of its run.
    """
    towards = np.searchsorted(at, stop)
    stop = stop[towards < at.size]  # what comes after the last needle point leads nowhere
    towards = towards[: stop.size]
    leads = begins[towards]
    return stop[leads], towards[leads]


def _own_places(stop: Ints, towards: Ints, far: Ints) -> Bools:
    """Which stops are places of their own, and no mere sign for a cut.

    Args:
        stop: ``(k,)`` records, rising.
        towards: ``(k,)`` the needle point that each leads to.
        far: ``(k,)`` how far each lies from the needle point that it comes from.
    """
    away = far > SIGNAL_REACH
    first = np.searchsorted(towards, towards)
    gone = np.cumsum(away, dtype=np.int64)
    gone -= gone[first] - away[first]
    home = (far == 0) & (gone == 0)
    back = np.full(int(towards[-1]) + 1 if towards.size else 0, -1, np.int64)
    np.maximum.at(back, towards[home], stop[home])
    return np.asarray(stop > back[towards])


def escape_starts(high: Bools) -> Bools:
    """Where records begin, if a set flag means that the next element belongs to this one.

    The element behind a record's flagged one is taken whatever its own flag says; so in a
    chain of flagged elements every second one begins a record, the first included.

    Args:
        high: ``(n,)`` flag of each element.

    Returns:
        ``(n,)``; ``False`` where the element belongs to the one before it.

    >>> escape_starts(np.array([False, True, True, True, False, False])).tolist()
    [True, True, False, True, False, True]
    """
    n = high.size
    if n == 0:
        return np.zeros(0, np.bool_)
    place = np.arange(n, dtype=np.int32)
    chain_start = high.copy()
    chain_start[1:] &= ~high[:-1]
    since = place - np.maximum.accumulate(np.where(chain_start, place, np.int32(0)))
    taken = np.zeros(n, np.bool_)
    taken[1:] = (high & (since % 2 == 0))[:-1]
    return ~taken
