"""What a sheet is drawn of: frozen values in millimetres, y up from the lower left corner.

The layout knows nothing of how a sheet is stored; what stores it moves nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol, TypeAlias

import numpy as np
import shapely

from loftline.geometry import are_lines, only_polygons, pack, rings
from loftline.values import Area, Floats, Ints, Point

Box: TypeAlias = tuple[float, float, float, float]
"""Least x and y, greatest x and y."""

POINT = 25.4 / 72
"""Millimetres of a printer's point."""

TEXT = 10 * POINT
"""The smallest letters of any sheet."""

LEADING = 1.32
"""From one line of text to the next, of its size."""

RISE, FALL = 0.78, 0.24
"""How far letters reach above and below their baseline, of their size."""

BLACK, SOFT, PALE, WHITE = "#000000", "#4d4d4d", "#e4e4e4", "#ffffff"
"""Ink that a printer without colours prints as well."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How a line is drawn.

    Attributes:
        width: mm, 0.25 to 0.7 but for what is only a tint.
        dashes: mm of dash and gap in turn; none for a full line.
    """

    width: float = 0.25
    colour: str = BLACK
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """Polylines of one look, packed."""

    points: Floats
    starts: Ints
    ink: Ink

    def moved(self, scale: float, by: Point) -> Curves:
        """Drawn larger or smaller, then moved; lines keep their width."""
        return replace(self, points=self.points * scale + np.asarray(by))

    def within(self, window: Box) -> Curves:
        """What of them lies in a window. O(n)."""
        if len(self.starts) < 2:
            return self
        count = np.diff(self.starts)
        lines = shapely.linestrings(self.points, indices=np.repeat(np.arange(len(count)), count))
        found = shapely.get_parts(shapely.clip_by_rect(lines, *window))
        found = found[are_lines(found)]
        starts = np.concatenate([[0], np.cumsum(shapely.get_num_points(found))]).astype(np.int64)
        return replace(self, points=shapely.get_coordinates(found), starts=starts)

    def segments(self) -> tuple[Floats, Floats]:
        """Starts and ends of all straight pieces."""
        inner = np.ones(len(self.points), bool)
        inner[self.starts[1:] - 1] = False
        at = np.flatnonzero(inner)
        return self.points[at], self.points[at + 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """An area filled even-odd, without an edge."""

    area: Area
    fill: str

    def moved(self, scale: float, by: Point) -> Shape:
        """Larger or smaller, then moved."""
        there = shapely.transform(self.area, lambda points: points * scale + np.asarray(by))
        return replace(self, area=there)

    def within(self, window: Box) -> Shape:
        """What of it lies in a window."""
        x0, y0, x1, y1 = shapely.bounds(self.area).tolist()
        if window[0] <= x0 and window[1] <= y0 and x1 <= window[2] and y1 <= window[3]:
            return self
        inside = only_polygons(shapely.clip_by_rect(self.area, *window))
        return replace(self, area=inside)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text.

    Attributes:
        at: left end of its baseline (lower end, where it is turned).
        size: mm.
        width: mm, as the font measures it.
        turned: whether it reads upward.
    """

    text: str
    at: Point
    size: float
    width: float
    bold: bool = False
    colour: str = BLACK
    turned: bool = False

    @property
    def box(self) -> Box:
        """What the letters cover."""
        x, y = self.at
        rise, fall = RISE * self.size, FALL * self.size
        if self.turned:
            return (x - rise, y, x + fall, y + self.width)
        return (x, y - fall, x + self.width, y + rise)


Mark: TypeAlias = Curves | Shape | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One tile of a drawing at full size.

    Attributes:
        name: letter of its row and number of its column.
        shift: what is added to a place on the drawing to get that on the sheet.
        window: what of the sheet the drawing covers, glue strips included.
        crosses: places of the registration crosses on the sheet.
    """

    name: str
    row: int
    column: int
    shift: Point
    window: Box
    crosses: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet of paper.

    Attributes:
        kind: which of the sheets it belongs to, a word of :data:`KINDS`.
        title: for the list of sheets that a viewer shows.
        size: width and height.
        marks: in the order they are drawn and read.
        squares: lower left corners of the 50 mm and the 2 in square.
        frame: what of the sheet printers reach.
    """

    kind: str
    title: str
    size: tuple[float, float]
    marks: tuple[Mark, ...]
    frame: Box
    squares: tuple[Point, ...] = ()
    tile: Tile | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """All sheets of one file."""

    title: str
    about: str
    sheets: tuple[Sheet, ...] = field(default=())


class Face(Protocol):
    """The letters of the sheets."""

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a line of text is, in the unit of its size."""

    def missing(self, text: str) -> str:
        """The letters of a text that cannot be printed."""


def lines(curves: Sequence[Floats], ink: Ink) -> Curves:
    """Polylines of one look."""
    points, starts = pack(curves)
    return Curves(points=points, starts=starts, ink=ink)


def edge(area: Area, ink: Ink) -> Curves:
    """The edge of an area, holes included."""
    return lines(rings(area), ink)


def straight(start: Point, end: Point, ink: Ink) -> Curves:
    """One straight line."""
    return lines([np.array([start, end])], ink)


def box_edge(box: Box, ink: Ink) -> Curves:
    """An upright rectangle."""
    return edge(shapely.box(*box), ink)
