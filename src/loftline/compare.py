"""Is what a stitch file holds what was planned? Needle point by needle point."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loftline.errors import Finding
from loftline.values import Ints, Sewn

TOLERANCE = 1.0
"""Tenths of a millimetre between a planned needle point and the one in the file."""


def lay(read: Sewn, origin: tuple[int, int]) -> Sewn:
    """A file's needle points and places where its zero lies at ``origin``, tenths of a mm."""
    x, y = origin
    via = read.via + np.array([x, y], np.int64)
    return replace(read, x=read.x + x, y=read.y + y, via=via, origin=origin)


def to_panel(read: Sewn, planned: Sewn) -> Sewn:
    """A file's needle points and places in panel coordinates, with the planned kinds.

    Args:
        read: what a reader returned; zero where the file's zero is.
        planned: what was to be written. Its kinds are taken over where the number of
            needle points agrees, else every stitch counts as a line.

    Returns:
        The value that the checks take, for the bytes as for the plan.
    """
    kind = planned.kind if len(planned) == len(read) else read.kind
    return replace(lay(read, planned.origin), kind=kind)


def compare(planned: Sewn, read: Sewn, *, file: str = "the file") -> tuple[Finding, ...]:
    """Compare a file's needle points and runs with the planned ones.

    Args:
        planned: what was to be written, panel coordinates.
        read: what a reader returned, file coordinates.
        file: named in the finding.

    Returns:
        Nothing when all agree to 0.1 mm, else one finding ``file-differs`` that names the
        first needle point that does not.
    """
    return _told(planned, *_first_difference(planned, to_panel(read, planned)), file)


def compare_table(planned: Sewn, read: Sewn, *, file: str = "the file") -> tuple[Finding, ...]:
    """Compare the table of needle points with the planned ones, the kinds of stitches too.

    Args:
        planned: what was to be written.
        read: what the reader of the table returned; both in panel coordinates.
        file: named in the finding.

    Returns:
        As :func:`compare`.
    """
    there = replace(planned, origin=(0, 0))
    at, message = _first_difference(there, read)
    other = np.flatnonzero(planned.kind != read.kind) if at < 0 else np.empty(0, np.int64)
    if other.size:
        at, message = int(other[0]), "a stitch is said to be for something else"
    return _told(there, at, message, file)


def _told(planned: Sewn, at: int, message: str, file: str) -> tuple[Finding, ...]:
    if at < 0:
        return ()
    shown = min(at, max(len(planned), 1) - 1)
    place = ""
    if len(planned):
        place = f" near ({planned.x[shown] / 10:.1f}, {planned.y[shown] / 10:.1f}) mm"
    return (
        Finding(
            code="file-differs",
            severity="error",
            where=f"{file}, needle point {at + 1}{place}",
            message=f"{file} does not hold what was planned: {message}",
            remedy="this is a fault of loftline: nothing was written, please report it",
        ),
    )


def _first_difference(planned: Sewn, found: Sewn) -> tuple[int, str]:
    """Index of the first needle point that differs, and how; ``-1`` where none does."""
    both = min(len(planned), len(found))
    away = np.hypot(planned.x[:both] - found.x[:both], planned.y[:both] - found.y[:both])
    moved = np.flatnonzero(away > TOLERANCE)
    cut = np.flatnonzero(_begins(planned.run)[:both] != _begins(found.run)[:both])
    first = min(_head(moved, both), _head(cut, both))
    if first < both:
        if first == _head(moved, both):
            return first, f"a needle point lies {away[first] / 10:.1f} mm from its place"
        planned_cut = bool(_begins(planned.run)[first])
        return first, (
            "the thread cut before it is missing"
            if planned_cut
            else "a thread cut stands before it that was not planned"
        )
    if len(planned) != len(found):
        return both, f"{len(planned)} needle points were planned, it has {len(found)}"
    return -1, ""


def _begins(run: Ints) -> Ints:
    """1 where a needle point is the first of its run."""
    return np.concatenate((np.ones(min(1, run.size), np.int64), np.diff(run) != 0))


def _head(found: Ints, otherwise: int) -> int:
    return int(found[0]) if found.size else otherwise
