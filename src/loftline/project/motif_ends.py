"""Where the lines of a motif lead: every end goes on in the next tile, or lies on a line."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Point

from loftline.project.drawn import Refusal
from loftline.project.motif_tile import (
    TOUCHING_MM,
    Floats,
    Leads,
    MotifLine,
    Repeat,
    two_rows,
)


def led(
    curves: Sequence[Floats], width: float, height: float, pitch: float, repeat: Repeat
) -> tuple[MotifLine, ...]:
    """The lines of a motif with where each leads; those that go on run to the right, or up.

    Args:
        curves: ``(n, 2)`` each, mm; a closed one repeats its first point.
        width: mm from tile to tile of a row.
        height: mm of the tile.
        pitch: mm from row to row.
        repeat: how the rows lie.

    Raises:
        Refusal: when an end leads nowhere.
    """
    lines = []
    for curve in curves:
        step = curve[-1] - curve[0]
        leads = _leads(step, width, pitch, repeat)
        back = (leads == "along" and step[0] < 0) or (leads == "up" and step[1] < 0)
        lines.append(MotifLine(points=curve[::-1].copy() if back else curve, leads=leads))
    loose = [k for k, line in enumerate(lines) if line.leads == "between"]
    if loose:
        others = _with_neighbours(lines, width, height, pitch, repeat)
        for k in loose:
            _held(lines[k].points, k, others, width)
    return tuple(lines)


def _leads(step: Floats, width: float, pitch: float, repeat: Repeat) -> Leads:
    def near(x: float, y: float) -> bool:
        return math.hypot(step[0] - x, step[1] - y) <= TOUCHING_MM

    if near(0.0, 0.0):
        return "round"
    if near(width, 0.0) or near(-width, 0.0):
        return "along"
    if repeat == "row" and (near(0.0, pitch) or near(0.0, -pitch)):
        return "up"
    return "between"


def _with_neighbours(
    lines: Sequence[MotifLine], width: float, height: float, pitch: float, repeat: Repeat
) -> npt.NDArray[np.object_]:
    """The lines of a tile, first, and those of the tiles around it."""
    rows = two_rows([line.points for line in lines], width, height, pitch, repeat)
    points = np.concatenate(rows)
    spread = points.max(axis=0) - points.min(axis=0)
    high = pitch * len(rows) / len(lines)
    across, up = (math.ceil(s / step) + 1 for s, step in zip(spread, (width, high), strict=True))
    shifts = [
        (i * width, j * high)
        for j in range(-up, up + 1)
        for i in range(-across, across + 1)
        if (i, j) != (0, 0)
    ]
    curves = [*rows, *(row + np.array(shift) for shift in shifts for row in rows)]
    return np.array([shapely.linestrings(curve) for curve in curves], dtype=object)


def _held(curve: Floats, number: int, others: npt.NDArray[np.object_], width: float) -> None:
    """Refuse a line one of whose ends lies on no other line."""
    for x, y in curve[[0, -1]].tolist():
        if not shapely.dwithin(np.delete(others, number), Point(x, y), TOUCHING_MM).any():
            step = curve[-1] - curve[0]
            raise Refusal(
                "file",
                f"line {number + 1} of the motif has an end {x:.2f} mm from the left and {y:.2f} "
                "mm from the lower side of the tile that leads nowhere; it should lie on another "
                f"line, or the line should end {width:.2f} mm to the right of its start, where "
                f"the next tile goes on (found {step[0]:.2f} to the right and {step[1]:.2f} up)",
            )
