"""Rows: where curves that lie side by side have their place in their family."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from loftline.fills.fill_lines import FillLines
from loftline.geometry import axes
from loftline.values import Affine, Floats


def joined_rows(made: Sequence[FillLines]) -> Floats | None:
    """The rows of several designs one after the other; ``None`` where none has any."""
    if all(lines.rows is None for lines in made):
        return None
    return np.concatenate([lines.every_row for lines in made])


def moved_rows(rows: Floats, move: Affine) -> Floats:
    """Rows after a move, a mirror among them: their headings turn, left is left of the new one.

    Args:
        rows: ``(m, 2)`` degrees, and mm to the left of them from the origin.
        move: without a change of size.
    """
    out = np.full_like(rows, np.nan)
    for k in np.flatnonzero(np.isfinite(rows).all(axis=1)).tolist():
        along, across = axes(float(rows[k, 0]))
        start = rows[k, 1] * across
        here, there = move.points(np.stack([start, start + along]))
        turn = float(np.degrees(np.arctan2(*(there - here)[::-1])))
        out[k] = turn % 360, here @ axes(turn)[1]
    return out
