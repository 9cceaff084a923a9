"""Marks that a hooping is laid by, and how far it can lie off where one of them is missed.

Laid on two or more points, the panel is a rigid body: the best fit (least squares, small
angles) of a point missed by a vector e shifts everything by e / n and turns it about the
points' centre c by (p - c) x e / sum |p - c|^2. What lies at q is off by the sum of both; the
worst over all directions of e is the greatest singular value of that linear map.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from loftline.hooping.covering import Box
from loftline.values import Floats, Mark, Point

MISSED_MM: Final = 0.5
"""How far off a mark is met, for the figure that is told."""

MOST_SEWN: Final = 4
"""Marks that a maker will go to with the needle before she sews."""

_APART_MM: Final = 10.0


def choose_marks(
    crosses: Sequence[Point], ends: Floats, sheet: Sequence[Point]
) -> tuple[Mark, ...]:
    """Crosses that are sewn, ends of lines that are sewn as far apart as can be, and the rest.

    Args:
        crosses: sewn by earlier hoopings.
        ends: ``(e, 2)`` ends of lines that earlier hoopings have sewn.
        sheet: places pricked from the full-size sheet.
    """
    chosen = [Mark(at=at, kind="cross", sewn=True) for at in crosses]
    left = ends
    while len(chosen) < MOST_SEWN and len(left):
        if chosen:
            places = np.array([mark.at for mark in chosen])
            away = np.hypot(*(left[:, None] - places).transpose(2, 0, 1)).min(axis=1)
        else:
            away = np.hypot(*(left - left.mean(axis=0)).T) + 2 * _APART_MM
        k = int(away.argmax())
        if away[k] < _APART_MM:
            break
        chosen.append(Mark(at=(float(left[k, 0]), float(left[k, 1])), kind="line end", sewn=True))
        left = np.delete(left, k, axis=0)
    return (*chosen, *(Mark(at=at, kind="sheet", sewn=False) for at in sheet))


def misplacing(marks: Sequence[Mark], cell: Box) -> float | None:
    """How far off anything in a cell can lie where one sewn mark is met 0.5 mm off.

    Args:
        marks: of the hooping.
        cell: x0, y0, x1, y1; the worst place of a box is one of its corners.

    Returns:
        mm; ``None`` where fewer than two marks are sewn, so that nothing holds the angle.
    """
    points = np.array([mark.at for mark in marks if mark.sewn])
    if len(points) < 2:
        return None
    centre = points.mean(axis=0)
    spread = float(((points - centre) ** 2).sum())
    if spread <= 0:
        return None
    x0, y0, x1, y1 = cell
    worst = 0.0
    for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)):
        arm = np.array(corner) - centre
        swing = np.array([-arm[1], arm[0]])
        for point in points:
            out = point - centre
            # a turn by (out x e) / spread moves the corner square to its own arm
            moved = np.eye(2) / len(points) + np.outer(swing, [-out[1], out[0]]) / spread
            worst = max(worst, float(np.linalg.svd(moved, compute_uv=False)[0]))
    return round(MISSED_MM * worst, 2)
