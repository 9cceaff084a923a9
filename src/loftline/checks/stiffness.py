"""Needle points by area: where quilting makes the panel stiff, and where it weakens it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from loftline.errors import Finding
from loftline.geometry import place
from loftline.values import Floats, Panel, Point, Sewn

WINDOW_MM: Final = 20.0
"""Side of the square in which needle points are counted."""

STIFF: Final = 20.0
"""Needle points per square centimetre: they lie 2.2 mm from each other on average, lines as close
as stitches are long (common practice, no source)."""

WEAK: Final = 50.0
"""They lie 1.4 mm apart on average, hardly more than a needle of size 90 is thick (common
practice, no source)."""

_SHARES: Final = 4
"""Steps of the window in its side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Densest:
    """The place with most needle points.

    Attributes:
        at: middle of the window.
        per_cm2: needle points per square centimetre in it.
    """

    at: Point
    per_cm2: float


def densest(panel: Panel, sewn: Sewn) -> Densest | None:
    """Where most needle points lie in a window of :data:`WINDOW_MM`, moved in quarters of it.

    Every needle point inside the outline counts, travel and ties too; those in the overhang are
    trimmed off. ``None`` where nothing is sewn.
    """
    at = np.column_stack([sewn.x, sewn.y]) / 10
    shapely.prepare(panel.outline)
    at = at[np.asarray(shapely.intersects_xy(panel.outline, *at.T), np.bool_)]
    if not len(at):
        return None
    step = WINDOW_MM / _SHARES
    low = at.min(axis=0) - WINDOW_MM + step
    column, row = np.floor((at - low) / step).astype(np.int64).T
    shape = (int(row.max()) + _SHARES, int(column.max()) + _SHARES)
    count = np.bincount(row * shape[1] + column, minlength=shape[0] * shape[1])
    window = _moving_sum(_moving_sum(count.reshape(shape).astype(np.float64)).T).T
    j, i = np.unravel_index(int(np.argmax(window)), window.shape)
    middle = low + np.array([float(i), float(j)]) * step + WINDOW_MM / 2
    per_cm2 = float(window[j, i]) / (WINDOW_MM / 10) ** 2
    return Densest(at=(float(middle[0]), float(middle[1])), per_cm2=per_cm2)


def _moving_sum(count: Floats) -> Floats:
    """Sums of so many rows from each row on."""
    total = np.concatenate([np.zeros((1, count.shape[1])), np.cumsum(count, axis=0)])
    out: Floats = total[_SHARES:] - total[:-_SHARES]
    return out


def check_stiffness(found: Densest | None) -> tuple[Finding, ...]:
    """A finding where needle points are so many that the panel grows stiff or weak."""
    if found is None or found.per_cm2 <= STIFF:
        return ()
    weak = found.per_cm2 > WEAK
    does = "weaken the cloth like a perforation" if weak else "make the panel stiff there"
    return (
        Finding(
            code="stitches-weaken" if weak else "stitches-stiffen",
            severity="warning" if weak else "note",
            where=f"near {place(found.at)}",
            message=f"{found.per_cm2:.0f} needle points lie in a square centimetre, so many "
            f"that they {does}",
            remedy="take a wider spacing or longer stitches there",
        ),
    )
