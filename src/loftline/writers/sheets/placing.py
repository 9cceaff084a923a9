"""Where words stand: in the window, off the lines, off each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely

from loftline.geometry import strokes
from loftline.values import Floats, Ints, Point
from loftline.writers.sheets.ink import (
    BLACK,
    FALL,
    LEADING,
    RISE,
    SOFT,
    TEXT,
    WHITE,
    Box,
    Curves,
    Face,
    Ink,
    Mark,
    Shape,
    edge,
    straight,
)
from loftline.writers.sheets.lettering import words

Shapes = npt.NDArray[np.object_]

AIR = 0.7
"""Millimetres kept free round words."""

REACHES = (0.0, 1.5, 3.5, 6.0, 9.0, 13.0, 18.0, 24.0, 31.0, 40.0)
LINES = (
    shapely.GeometryType.LINESTRING,
    shapely.GeometryType.LINEARRING,
    shapely.GeometryType.MULTILINESTRING,
)

NEAR = 4
"""So many of them for words that no line leads to."""

LEADS = 2.5
"""Words farther off than this (mm) have a line that leads to them."""

PLATE = 0.3
"""How much less than their box (mm) the plate of words is."""

TRIES = 100
"""So many places are tried for one whose line leads over nothing else."""

TURNS = np.radians([45, 135, -45, -135, 0, 180, 90, -90, 20, 160, -20, -160, 70, -70, 110, -110])


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words about something on the drawing.

    Attributes:
        near: what they name, in the drawing's coordinates.
        inside: whether they stand within it, if it is an area, where there is room.
        only: whether they stand nowhere else.
        ring: colour of a ring round them, as run numbers have.
        lead: whether a thin line leads to them where they stand farther off.
        gap: mm kept from what they name.
        block: whether other words keep off what they name.
        plate: whether they stand on a plate of paper beside it, whatever lines run there.
    """

    lines: tuple[str, ...]
    near: shapely.Geometry
    inside: bool = False
    only: bool = False
    bold: bool = False
    size: float = TEXT
    ring: str = ""
    lead: bool = True
    gap: float = 0.0
    block: bool = False
    plate: bool = False

    def moved(self, by: Point) -> Label:
        """The same, elsewhere."""
        near = shapely.transform(self.near, lambda points: points + np.asarray(by))
        return replace(self, near=near)


class Placer:
    """Places words in one window, one after the other."""

    def __init__(self, face: Face, window: Box, curves: Sequence[Curves]) -> None:
        self.face, self.window = face, window
        self.taken: list[Box] = []
        self.links: list[shapely.LineString] = []
        pieces = [curve.segments() for curve in curves if len(curve.starts) > 1]
        starts = np.concatenate([np.empty((0, 2)), *(one for one, _ in pieces)])
        ends = np.concatenate([np.empty((0, 2)), *(two for _, two in pieces)])
        self.lines = shapely.STRtree(strokes(starts, ends))

    def crossed(self, boxes: Shapes) -> Floats:
        """How many lines each geometry meets."""
        found = self.lines.query(boxes, predicate="intersects")
        return np.bincount(found[0], minlength=len(boxes)).astype(np.float64)

    def covered(self, boxes: Shapes) -> Floats:
        """How many of the boxes that are taken each geometry meets."""
        found = np.zeros(len(boxes))
        for box in self.taken:
            found += shapely.intersects(shapely.box(*box), boxes)
        return found

    def take(self, box: Box) -> None:
        """Keep words off a box."""
        self.taken.append(box)

    def place(self, label: Label) -> list[Mark]:
        """The label's marks in its best place; none where there is no room for it."""
        near = shapely.intersection(label.near, shapely.box(*self.window))
        if shapely.is_empty(near):
            return []
        marks = self._place(label, near)
        if label.block:
            self.take(bounds_of(near))
        return marks

    def _place(self, label: Label, near: shapely.Geometry) -> list[Mark]:
        wide = max(self.face.width(text, label.size, bold=label.bold) for text in label.lines)
        step = LEADING * label.size
        tall = (RISE + FALL) * label.size + step * (len(label.lines) - 1)
        if label.ring:
            wide = max(wide + 1.4, tall + 0.8)
            tall += 0.8
        half = (wide / 2 + AIR, tall / 2 + AIR)
        found = self._best(label, near, half)
        turned = False
        if _may_turn(label, near) and (found is None or not found[1]):
            other = self._best(label, near, (half[1], half[0]))
            if other is not None and (found is None or other[1]):
                found, turned = other, True
        if found is None:
            return []
        at, clear = found
        box = _about(at, (half[1], half[0]) if turned else half)
        self.take(box)
        marks = self._under(label, near, at, box, plate=not clear)
        top = tall / 2 - RISE * label.size - (0.4 if label.ring else 0.0)
        for i, text in enumerate(label.lines):
            down = top - step * i
            marks.append(
                words(
                    self.face,
                    text,
                    (at[0] - down, at[1]) if turned else (at[0], at[1] + down),
                    size=label.size,
                    bold=label.bold,
                    anchor="middle",
                    colour=label.ring or BLACK,
                    turned=turned,
                )
            )
        return marks

    def _best(self, label: Label, near: shapely.Geometry, half: Point) -> tuple[Point, bool] | None:
        """The middle of the best place, and whether no line runs there."""
        places = np.array(list(_candidates(label, near, half)))
        low, high = places - half, places + half
        room = (low >= self.window[:2]).all(axis=1) & (high <= self.window[2:]).all(axis=1)
        if self.taken:
            taken = np.array(self.taken)
            over = (low[:, None] < taken[None, :, 2:]) & (taken[None, :, :2] < high[:, None])
            room &= ~np.any(np.all(over, axis=2), axis=1)
        places = places[room]
        boxes = _boxes(low[room], high[room])
        if label.inside and len(places):
            shapely.prepare(near)
            within = shapely.covers(near, boxes)
            if label.only or within.any():
                places, boxes = places[within], boxes[within]
        if not len(places):
            return None
        if label.plate:
            return (float(places[0, 0]), float(places[0, 1])), False
        meets = self.crossed(boxes)
        for link in self.links:
            meets += shapely.intersects(link, boxes)
        best = self._led_clear(label, near, boxes, np.argsort(meets, kind="stable"))
        return (float(places[best, 0]), float(places[best, 1])), bool(meets[best] == 0)

    def _led_clear(self, label: Label, near: shapely.Geometry, boxes: Shapes, order: Ints) -> int:
        """Of some places, best first, one whose line leads over the fewest words and squares."""
        if not label.lead or not self.taken:
            return int(order[0])
        kept = shapely.box(*np.array(self.taken).T)
        for some in (order[:1], order[:TRIES]):
            links = shapely.shortest_line(
                near, shapely.buffer(boxes[some], -PLATE, join_style="mitre")
            )
            led = shapely.length(links) > LEADS
            over = led * shapely.intersects(links[:, None], kept).sum(axis=1)
            best = int(np.argmin(over))
            if over[best] == 0:
                break
        return int(some[best])

    def _under(
        self, label: Label, near: shapely.Geometry, at: Point, box: Box, *, plate: bool
    ) -> list[Mark]:
        """What lies under the words: a line that leads to them, a ring, a plate of paper."""
        marks: list[Mark] = []
        body = shapely.box(box[0] + PLATE, box[1] + PLATE, box[2] - PLATE, box[3] - PLATE)
        link = shapely.shortest_line(near, body) if label.lead else None
        if link is not None and link.length > LEADS:
            self.links.append(link)
            start, end = shapely.get_coordinates(link).tolist()
            marks.append(straight((start[0], start[1]), (end[0], end[1]), Ink(colour=SOFT)))
        if label.ring:
            radius = min(box[2] - box[0], box[3] - box[1]) / 2 - AIR
            spine = shapely.LineString(
                [(box[0] + AIR + radius, at[1]), (box[2] - AIR - radius, at[1])]
            )
            disc = spine.buffer(radius) if spine.length > 0 else spine.centroid.buffer(radius)
            marks += [
                Shape(area=disc, fill=WHITE),
                edge(disc, Ink(width=0.4, colour=label.ring)),
            ]
        elif plate:
            marks.append(Shape(area=body, fill=WHITE))
        return marks


def _may_turn(label: Label, near: shapely.Geometry) -> bool:
    """Whether words may read upward: along a line, or within something narrow."""
    if label.ring or not (label.inside or shapely.get_type_id(near) in LINES):
        return False
    x0, y0, x1, y1 = bounds_of(near if label.inside else _longest(near))
    return y1 - y0 > x1 - x0


def _longest(lines: shapely.Geometry) -> shapely.Geometry:
    parts = shapely.get_parts(lines)
    longest: shapely.Geometry = parts[int(np.argmax(shapely.length(parts)))]
    return longest


def _candidates(label: Label, near: shapely.Geometry, half: Point) -> Iterator[Point]:
    """Places for the middle of the words, best first."""
    if label.inside:
        middle = shapely.point_on_surface(near)
        yield (middle.x, middle.y)
        x0, y0, x1, y1 = bounds_of(near)
        across = np.linspace(x0 + half[0], x1 - half[0], 9)
        up = np.linspace(y0 + half[1], y1 - half[1], 13)
        grid = [(float(x), float(y)) for x in across for y in up]
        yield from sorted(grid, key=lambda at: (at[0] - middle.x) ** 2 + (at[1] - middle.y) ** 2)
        return
    for anchor, (wide, tall) in _anchors(near):
        for reach in REACHES if label.lead else REACHES[:NEAR]:
            away = reach + label.gap
            for turn in TURNS.tolist():
                dx, dy = math.cos(turn), math.sin(turn)
                side = (_sign(dx) * (half[0] + wide), _sign(dy) * (half[1] + tall))
                yield (anchor[0] + side[0] + away * dx, anchor[1] + side[1] + away * dy)


def _sign(value: float) -> float:
    """-1, 0 or 1, a little less than whole between the axes."""
    return 0.0 if abs(value) < 0.1 else math.copysign(1.0, value)


def _anchors(near: shapely.Geometry) -> Iterator[tuple[Point, tuple[float, float]]]:
    """Places on what is named, and half the width and height to keep off about each."""
    if shapely.get_type_id(near) in LINES:
        line = cast("shapely.LineString", _longest(near))
        for share in (0.5, 0.25, 0.75, 0.1, 0.9):
            at = shapely.line_interpolate_point(line, share, normalized=True)
            yield (at.x, at.y), (0.0, 0.0)
        return
    x0, y0, x1, y1 = bounds_of(near)
    yield ((x0 + x1) / 2, (y0 + y1) / 2), ((x1 - x0) / 2, (y1 - y0) / 2)


def bounds_of(shape: shapely.Geometry) -> Box:
    """Least x and y, greatest x and y."""
    x0, y0, x1, y1 = shapely.bounds(shape).tolist()
    return (x0, y0, x1, y1)


def _boxes(low: Floats, high: Floats) -> Shapes:
    """Upright rectangles from their corners, ``(n, 2)`` each."""
    return np.atleast_1d(np.asarray(shapely.box(*low.T, *high.T), dtype=object))


def _about(at: Point, half: Point) -> Box:
    return (at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1])
