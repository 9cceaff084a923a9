"""From moves to runs: what the readers of all formats have in common.

A stitch file is a list of moves, each relative to the one before. Most put the needle
down at their end; the others (jumps) only move the frame. The needle points and the places
between the runs follow from sums along that list, without a Python loop.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.errors import StitchFileError
from loftline.values import Bools, Ints, Sewn

GREATEST_FILE = 1 << 23
"""Bytes, 8 MiB. A plan with a million stitches stays under 7 MiB in every format."""

SIGNAL_REACH = 5
"""Tenths of a millimetre: jumps that stay this near and come back only ask for a cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """The records of a stitch file in order, one element each.

    Attributes:
        dx, dy: ``(n,)`` the move, tenths of a millimetre, y up.
        needle: ``(n,)`` whether the needle goes down where the move ends.
        cut: ``(n,)`` whether the record says that the thread is cut or changed.
    """

    dx: Ints
    dy: Ints
    needle: Bools
    cut: Bools


def check_size(data: bytes, ext: str) -> None:
    """Refuse a file too large to be sewn.

    Raises:
        StitchFileError: when ``data`` is longer than :data:`GREATEST_FILE`.
    """
    if len(data) > GREATEST_FILE:
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
        StitchFileError: when the needle never goes down.
    """
    at = np.flatnonzero(moves.needle)
    if at.size == 0:
        raise StitchFileError(f"the {ext} file holds no stitch")
    place = np.column_stack((np.cumsum(moves.dx), np.cumsum(moves.dy)))
    jumps = _between(at, ~moves.needle & ~moves.cut)
    begins = (jumps >= jumps_that_cut) | (_between(at, moves.cut) > 0)
    begins[0] = True
    run = np.cumsum(begins) - 1
    moved = ~moves.needle & ((moves.dx != 0) | (moves.dy != 0) | ~moves.cut)
    stop, towards = _stops(np.flatnonzero(moved), at, begins, place)
    return Sewn(
        x=place[at, 0],
        y=place[at, 1],
        run=run,
        kind=np.zeros(at.size, np.int64),
        via=place[stop],
        via_run=run[towards],
    )


def _between(at: Ints, flags: Bools) -> Ints:
    """How many flags are set between each needle point and the one before it."""
    return np.diff(np.cumsum(flags)[at], prepend=0)


def _stops(stop: Ints, at: Ints, begins: Bools, place: Ints) -> tuple[Ints, Ints]:
    """Which records bring the frame to a place of its own on the way to a run.

    Args:
        stop: ``(k,)`` records that move without a needle point.
        at: ``(n,)`` records with a needle point.
        begins: ``(n,)`` whether a needle point is the first of its run.
        place: ``(m, 2)`` where each record ends.

    Returns:
        The records, and of each the needle point it leads to.
    """
    towards = np.searchsorted(at, stop)
    stop = stop[towards < at.size]  # what comes after the last needle point leads nowhere
    towards = towards[: stop.size]
    leads = begins[towards]
    stop, towards = stop[leads], towards[leads]

    origin = np.where((towards > 0)[:, None], place[at[np.maximum(towards - 1, 0)]], 0)
    far = np.abs(place[stop] - origin).max(axis=1, initial=0)
    away = far > SIGNAL_REACH
    first = np.searchsorted(towards, towards)
    gone = np.cumsum(away)
    gone -= gone[first] - away[first]
    home = (far == 0) & (gone == 0)
    back = np.full(at.size, -1, np.int64)
    np.maximum.at(back, towards[home], stop[home])

    there = np.all(place[stop] == place[at[towards]], axis=1)
    keep = ~there & (stop > back[towards])
    return stop[keep], towards[keep]


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
    place = np.arange(n)
    chain_start = high.copy()
    chain_start[1:] &= ~high[:-1]
    since = place - np.maximum.accumulate(np.where(chain_start, place, 0))
    taken = np.zeros(n, np.bool_)
    taken[1:] = (high & (since % 2 == 0))[:-1]
    return ~taken
