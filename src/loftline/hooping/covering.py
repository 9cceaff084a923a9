"""Rows of fields over the lines: the fewest, then the best borders.

A panel is laid out in rows, each of one way up of the hoop, or in columns: so a maker can lay
it by straight lines. For every band between two candidate heights the number of fields is
known from how far the lines reach in it; a shortest path over the bands (dynamic programming)
gives the fewest fields, among those the borders nearest to nothing they should keep away from,
and among those the fewest lines cut.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from loftline.hooping.strips import Sewing, Strips, strips
from loftline.values import Floats

Turning = Literal["none", "all alike", "each"]
Box = tuple[float, float, float, float]
Size = tuple[float, float]

_ONE: Final = 1e9
_NEAR: Final = 1e5
_ROOM_MM: Final = 16.0
"""Slack that an overlap at both sides of a field can use."""
_EXACT: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What one hooping sews.

    Attributes:
        box: x0, y0, x1, y1; the sides at the rim of the lines lie on it.
        field: width and height that its field has on the panel.
        turned: whether that is the hoop turned by a quarter.
        row, column: from the lower left.
    """

    box: Box
    field: Size
    turned: bool
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """Cells in rows, or in columns.

    Attributes:
        cells: row by row from below, each from the left; of columns the other way about.
        levels: heights of the borders between rows.
        sides: of each row the places of the borders along it.
        upright: whether they are rows; of columns x and y change places in the two above.
        near: how often a border comes too near to a fold or keep-out.
        cut: lines cut by all borders, about.
    """

    cells: tuple[Cell, ...]
    levels: tuple[float, ...]
    sides: tuple[tuple[float, ...], ...]
    upright: bool
    near: int
    cut: float

    @property
    def price(self) -> tuple[float, ...]:
        """What is compared: fields, borders too near, lines cut."""
        return (len(self.cells), self.near, self.cut)


def cover(sewing: Sewing, field: Size, turning: Turning = "all alike") -> Cover:
    """Cover the lines with the fewest fields in rows or columns.

    Args:
        sewing: what must be covered.
        field: width and height that the needle can reach.
        turning: whether the hoop may be turned by a quarter: all hoopings alike, or each row
            (or column) by itself.

    Returns:
        The cells; every line lies in them, none is larger than its field. O(n m) for n
        candidate heights and m of them in a field.
    """
    return covers(sewing, field, turning)[0]


def covers(sewing: Sewing, field: Size, turning: Turning = "all alike") -> list[Cover]:
    """The best rows and the best columns with each way up of the hoop, the best of all first."""
    tries = _tries(field, turning)
    found = [_rows(sewing, ways) for ways in tries]
    other = sewing.swapped()
    found += [_swapped(_rows(other, _seen(ways))) for ways in tries]
    return sorted(found, key=lambda one: one.price)


def fewest(sewing: Sewing, field: Size, turning: Turning) -> int:
    """How many fields :func:`cover` would need."""
    other = sewing.swapped()
    counts: list[int] = []
    for upright in _tries(field, turning):
        across = _seen(upright)
        counts.append(_counted(strips(sewing, _heights(upright)), upright))
        counts.append(_counted(strips(other, _heights(across)), across))
    return min(counts)


def _tries(field: Size, turning: Turning) -> list[list[tuple[Size, bool]]]:
    """Ways up of the hoop that one layout may use, for each layout to be tried."""
    upright, turned = (field, False), (field[::-1], True)
    if turning == "none" or field[0] == field[1]:
        return [[upright]]
    return [[upright], [turned], *([[upright, turned]] if turning == "each" else [])]


def _heights(ways: Sequence[tuple[Size, bool]]) -> list[float]:
    return [size[1] for size, _ in ways]


def _seen(ways: Sequence[tuple[Size, bool]]) -> list[tuple[Size, bool]]:
    """The same where x and y have changed places."""
    return [(size[::-1], turned) for size, turned in ways]


def _counted(found: Strips, ways: Sequence[tuple[Size, bool]]) -> int:
    total = 0
    for i, j, way in _bands(found, ways):
        reach = float(found.high[i:j].max() - found.low[i:j].min())
        total += max(1, math.ceil(reach / ways[way][0][0] - _EXACT))
    return total


def _swapped(found: Cover) -> Cover:
    cells = tuple(
        Cell(
            box=(cell.box[1], cell.box[0], cell.box[3], cell.box[2]),
            field=cell.field[::-1],
            turned=cell.turned,
            row=cell.column,
            column=cell.row,
        )
        for cell in found.cells
    )
    return replace(found, cells=cells, upright=False)


def _rows(sewing: Sewing, ways: Sequence[tuple[Size, bool]]) -> Cover:
    found = strips(sewing, _heights(ways))
    cells: list[Cell] = []
    near, cut = 0, 0.0
    bands: list[tuple[float, float]] = []
    sides: list[tuple[float, ...]] = []
    for row, (i, j, way) in enumerate(_bands(found, ways)):
        low, high = float(found.at[i]), float(found.at[j])
        if j < len(found.at) - 1:
            near, cut = near + int(found.near[j]), cut + float(found.cut[j])
        size, turned = ways[way]
        edges, beside, through = _columns(sewing.band(low, high), size[0])
        near, cut = near + beside, cut + through
        bands.append((low, high))
        sides.append(tuple(edges[1:-1]))
        cells.extend(
            Cell(
                box=(edges[k], low, edges[k + 1], high),
                field=size,
                turned=turned,
                row=row,
                column=k,
            )
            for k in range(len(edges) - 1)
        )
    # between two rows there may be a strip without lines
    levels = tuple((below[1] + above[0]) / 2 for below, above in itertools.pairwise(bands))
    return Cover(
        cells=tuple(cells), levels=levels, sides=tuple(sides), upright=True, near=near, cut=cut
    )


def _bands(found: Strips, ways: Sequence[tuple[Size, bool]]) -> list[tuple[int, int, int]]:
    """Rows from below: first and last candidate and the way up of the hoop."""
    at = found.at
    last = len(at) - 1
    best = np.full(last + 1, np.inf)
    best[0] = 0.0
    before = np.zeros((last + 1, 2), np.int64)
    for i in range(last):  # one step a candidate, the bands from it as arrays
        if not np.isfinite(best[i]):
            continue
        for way, ((width, height), _) in enumerate(ways):
            end = int(np.searchsorted(at, at[i] + height + _EXACT, side="right"))
            if end <= i + 1:
                continue
            low = np.minimum.accumulate(found.low[i : end - 1])
            high = np.maximum.accumulate(found.high[i : end - 1])
            reach = np.maximum(high - low, 0.0)
            fields = np.where(low <= high, np.maximum(np.ceil(reach / width - _EXACT), 1.0), 0.0)
            j = np.arange(i + 1, end)
            border = np.where(j < last, _NEAR * found.near[j] + found.cut[j], 0.0)
            price = best[i] + _ONE * fields + border + _tight(at[j] - at[i], height)
            better = price < best[j] - _EXACT
            best[j[better]] = price[better]
            before[j[better]] = (i, way)
    rows: list[tuple[int, int, int]] = []
    to = last
    while to > 0:
        start, turned = int(before[to, 0]), int(before[to, 1])
        if found.high[start:to].max() >= found.low[start:to].min():
            rows.append((start, to, turned))
        to = start
    return rows[::-1]


def _tight(size: Floats, field: float) -> Floats:
    """A little for what leaves a field no room, so that equal borders come out even."""
    out: Floats = np.maximum(size - (field - _ROOM_MM), 0.0) / _ROOM_MM + 0.5 * (size / field) ** 2
    return out


def _columns(band: Sewing, width: float) -> tuple[list[float], int, float]:
    """Edges of the fewest fields along one row, borders too near, lines cut."""
    turned = band.swapped()
    _, x0, _, x1 = turned.bounds
    count = max(1, math.ceil((x1 - x0) / width - _EXACT))
    if count == 1:
        return [x0, x1], 0, 0.0
    found = strips(turned, [width])
    at, last = found.at, len(found.at) - 1
    best = np.full((count + 1, last + 1), np.inf)
    best[0, 0] = 0.0
    before = np.zeros((count + 1, last + 1), np.int64)
    border = np.where(np.arange(last + 1) < last, _NEAR * found.near + found.cut, 0.0)
    for k in range(count):
        # from farther left the fields that are left would not reach the end
        reaching = at >= at[last] - (count - k) * width - _EXACT
        for i in np.flatnonzero(np.isfinite(best[k]) & reaching).tolist():
            end = int(np.searchsorted(at, at[i] + width + _EXACT, side="right"))
            j = np.arange(i + 1, end)
            price = best[k, i] + border[j] + _tight(at[j] - at[i], width)
            better = price < best[k + 1, j] - _EXACT
            best[k + 1, j[better]] = price[better]
            before[k + 1, j[better]] = i
    edges = [last]
    for k in range(count, 0, -1):
        edges.append(int(before[k, edges[-1]]))
    inner = edges[-2:0:-1]
    return at[edges[::-1]].tolist(), int(found.near[inner].sum()), float(found.cut[inner].sum())
