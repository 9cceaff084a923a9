"""A motif as it was drawn: one tile, and how it repeats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal, get_args

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Repeat = Literal["row", "half drop", "mirrored"]
Leads = Literal["along", "up", "round", "between"]

REPEATS: Final[tuple[Repeat, ...]] = get_args(Repeat)

FLAT_MM: Final = 0.005
"""How far the straight pieces that stand for a motif's curve may lie from it. With two curves
that touch, the points next to the touching one are then 8 times that apart, or more."""

TOUCHING_MM: Final = 0.012
"""Lines of a motif nearer than this touch: more than a curve's pieces leave it and rounding
moves a drawn point, less than the points beside a touching one are apart."""

LEAST_SIZE_MM: Final = 3.0
MOST_SIZE_MM: Final = 1000.0

LEAST_LINE_MM: Final = 1.0
"""Shorter, a line of a motif is no line once it is sewn."""

LEAST_APART_MM: Final = 0.5
"""Mean distance between lines: nearer, the holes of the needle cut the cloth."""

MOST_CROSSINGS: Final = 20_000
"""Of the lines of one tile."""

MOST_LINES: Final = 200
MOST_POINTS: Final = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class MotifLine:
    """A line of a motif.

    Attributes:
        points: ``(n, 2)`` mm from the lower left corner of the tile, y up; a closed one repeats
            its first point.
        leads: along: from tile to tile of a row; up: from row to row; round: closed; between:
            both its ends lie on other lines.
    """

    points: Floats = field(compare=False)
    leads: Leads


@dataclass(frozen=True, slots=True, kw_only=True)
class Motif:
    """A motif in the size in which it is sewn.

    Attributes:
        name: one of ours, or the name of a maker's own file.
        width, height: mm of its tile.
        pitch: mm from row to row.
        repeat: row: rows alike; half drop: every second row moved half a tile along; mirrored:
            every second row upside down.
        data: the file itself.
    """

    name: str
    width: float
    height: float
    pitch: float
    repeat: Repeat
    lines: tuple[MotifLine, ...]
    data: bytes = field(repr=False)

    @property
    def apart(self) -> float:
        """Mean distance between its lines, mm: the area of a tile by the length of its lines."""
        length = sum(float(np.hypot(*np.diff(line.points, axis=0).T).sum()) for line in self.lines)
        return self.width * self.pitch / length


def two_rows(
    curves: Sequence[Floats], width: float, height: float, pitch: float, repeat: Repeat
) -> list[Floats]:
    """The lines of as many rows as it takes until they are alike again: one, or two.

    Args:
        curves: ``(n, 2)`` each, of one tile; they come first.
        width: mm of the tile.
        height: mm of the tile.
        pitch: mm from row to row.
        repeat: how the rows lie.
    """
    if repeat == "row":
        return list(curves)
    if repeat == "half drop":
        return [*curves, *(curve + np.array([width / 2, pitch]) for curve in curves)]
    turned = [np.column_stack([c[:, 0], height - c[:, 1] + pitch]) for c in curves]
    return [*curves, *turned]
