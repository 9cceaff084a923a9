"""Words beside the panel, in page coordinates (y down): measures, names of parts and folds."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

import shapely

from loftline.geometry import pole, polygons
from loftline.units import Unit, format_length
from loftline.values import Area, Dart, Panel, Part, Point
from loftline.writers.svg import style
from loftline.writers.svg.fold_names import LONGEST_NAME, draw_fold_name, name_folds
from loftline.writers.svg.marks import (
    Element,
    box,
    group,
    num,
    open_path,
    path,
    shorten,
    text_width,
    words,
)
from loftline.writers.svg.style import Scale, drawn_bounds
from loftline.writers.svg.up_arrows import LENGTH, UP_WORDS, up_arrow, ups

Box = tuple[float, float, float, float]

GUTTER = 2.6
"""Ems between what is drawn of the panel and the words beside it: room for run numbers."""

ROOM_BELOW = 9.5
"""Ems of a part's height that leave room for an arrow under its name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where the panel lies on the page.

    Attributes:
        origin: page place of the panel's (0, 0).
    """

    origin: Point

    def place(self, point: Point) -> Point:
        """Page place of a place on the panel."""
        return (self.origin[0] + point[0], self.origin[1] - point[1])


@dataclass(slots=True)
class Taken:
    """Where words and numbers already stand."""

    boxes: list[Box] = field(default_factory=list)

    def free(self, a: Box) -> bool:
        """Whether nothing overlaps a box."""
        return all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for b in self.boxes)

    def take(self, a: Box) -> None:
        """Keep others off a box."""
        self.boxes.append(a)


def stacked(panel: Panel) -> bool:
    """Whether the parts lie above each other, so that each can be named beside the panel."""
    if len(panel.parts) < 2:
        return False
    spans = sorted((part.area.bounds[1], part.area.bounds[3]) for part in panel.parts)
    return all(low[1] <= high[0] + 1e-6 for low, high in itertools.pairwise(spans))


def room(panel: Panel, scale: Scale, units: Unit) -> tuple[float, float, float, float]:
    """Room needed left of, above, right of and below what is drawn of the panel, mm."""
    _, y0, _, y1 = panel.outline.bounds
    beside = [format_length(y1 - y0, units)]
    if stacked(panel):
        beside += [part.name for part in panel.parts]
        beside += [UP_WORDS] if panel.closed else []
    names = name_folds(panel, scale, units)
    _, _, edge, top = drawn_bounds(panel)
    highest = max((name.box[3] - top for name in names if not name.across), default=0.0)
    farthest = max((name.box[2] - edge for name in names if name.across), default=0.0)
    left = GUTTER + 1.2 + _longest(beside)
    if panel.closed and stacked(panel):
        left = max(left, GUTTER + 0.5 + _beside_names(panel, units) + 0.5 * LENGTH)
    above = max(GUTTER, 1.6 + highest / scale.em)
    right = max(GUTTER, 0.4 + farthest / scale.em)
    return left * scale.em, above * scale.em, right * scale.em, (GUTTER + 2.0) * scale.em


def _beside_names(panel: Panel, units: Unit) -> float:
    """Ems left of the brackets where an arrow clears names and heights."""
    spans = [part.area.bounds for part in panel.parts]
    told = [format_length(y1 - y0, units) for _, y0, _, y1 in spans]
    return 0.5 + _longest([*told, *(part.name for part in panel.parts)]) + 1.5


def _longest(names: list[str]) -> float:
    return min(LONGEST_NAME, max((text_width(name, 1.0) for name in names), default=0.0))


def draw_measures(
    panel: Panel, frame: Frame, scale: Scale, *, units: Unit, taken: Taken
) -> Element:
    """Width below, heights of the parts (or of the whole) to the left."""
    em = scale.em
    x0, y0, x1, y1 = panel.outline.bounds
    left, low, _, _ = drawn_bounds(panel)
    measures = group("measures")
    y = frame.place((0, low))[1] + GUTTER * em
    a, b = frame.place((x0, 0))[0], frame.place((x1, 0))[0]
    tick = 0.45 * em
    bracket = open_path((a, y - tick), (a, y), (b, y), (b, y - tick))
    measures.add(path(bracket, **style.thin(scale)))
    middle = ((a + b) / 2, y + 1.25 * em)
    text = format_length(x1 - x0, units)
    measures.add(words(text, middle, em, text_anchor="middle", fill=style.SOFT_INK))
    x = frame.place((left, 0))[0] - GUTTER * em
    spans = [("", y0, y1)]
    if stacked(panel):
        spans = [(part.name, part.area.bounds[1], part.area.bounds[3]) for part in panel.parts]
    upward = ups(panel)
    for name, bottom, top in spans:
        a, b = frame.place((0, top))[1] + 0.12 * em, frame.place((0, bottom))[1] - 0.12 * em
        bracket = open_path((x + tick, a), (x, a), (x, b), (x + tick, b))
        measures.add(path(bracket, **style.thin(scale)))
        at = (x - 0.5 * em, (a + b) / 2)
        measures.add(_height(name, format_length(top - bottom, units), at, scale))
        if name not in upward:
            continue
        if b - a > ROOM_BELOW * em:
            measures.add(_upward(upward[name], at, scale))
        else:
            beside = (x - _beside_names(panel, units) * em, at[1])
            measures.add(up_arrow(beside, upward[name], scale, min(LENGTH, (b - a) / em - 0.8)))
        taken.take((x - 4 * em, at[1] - 2 * em, x, at[1] + 2 * em))
    return measures


def _height(name: str, text: str, at: Point, scale: Scale) -> Element:
    """A height, under the name of the part it belongs to."""
    em, (x, y) = scale.em, at
    mark = group(text_anchor="end")
    if not name:
        mark.add(words(text, (x, y + 0.35 * em), em, fill=style.SOFT_INK))
        return mark
    short = shorten(name, LONGEST_NAME * em, em)
    mark.add(words(short, (x, y - 0.1 * em), em, fill=style.INK, class_="part"))
    mark.add(words(text, (x, y + 1.05 * em), 0.9 * em, fill=style.SOFT_INK))
    return mark


def _upward(up: Point, below: Point, scale: Scale) -> Element:
    """An arrow that points up in the closed bag, under a part's height."""
    em, (x, y) = scale.em, below
    mark = group()
    tall = max(abs(up[1]) * LENGTH, 1.0)
    mark.add(up_arrow((x - 0.5 * LENGTH * em, y + (1.75 + 0.5 * tall) * em), up, scale))
    at = (x, y + (2.75 + tall) * em)
    mark.add(words(UP_WORDS, at, 0.8 * em, fill=style.SOFT_INK, text_anchor="end"))
    return mark


def draw_names(panel: Panel, frame: Frame, scale: Scale, *, units: Unit, taken: Taken) -> Element:
    """Names of the folds beside the panel, and of parts that cannot be named there."""
    names = group("names")
    for name in name_folds(panel, scale, units):
        names.add(draw_fold_name(name, frame.place(name.at), frame.place(name.end), scale))
        (left, low), (right, high) = frame.place(name.box[:2]), frame.place(name.box[2:])
        taken.take((left, high, right, low))
    for dart in panel.darts:
        names.add(_name_dart(dart, panel, frame, scale, taken))
    if len(panel.parts) > 1 and not stacked(panel):
        upward = ups(panel)
        for part in panel.parts:
            up = upward.get(part.name)
            at = frame.place(_free_place(part, frame, scale, taken, arrow=up is not None))
            names.add(plate(part.name, at, scale.em, taken))
            if up is not None:
                names.add(_up_plate(up, at, scale, taken))
    return names


def _free_place(part: Part, frame: Frame, scale: Scale, taken: Taken, *, arrow: bool) -> Point:
    """Well inside a part, or above or below there where other words stand."""
    em, area = scale.em, _largest(part.area)
    middle = pole(area)
    half = max(text_width(part.name, em) / 2, 0.5 * LENGTH * em) + 0.3 * em
    tall = (1.5 + (LENGTH + 0.6 if arrow else 0.0)) * em
    for step in (0, 1, -1, 2, -2, 3, -3):
        at = (middle[0], middle[1] + step * tall)
        x, y = frame.place(at)
        box_there = (x - half, y - 0.75 * em, x + half, y - 0.75 * em + tall)
        if taken.free(box_there) and shapely.covers(area, shapely.Point(at)):
            return at
    return middle


def _up_plate(up: Point, name: Point, scale: Scale, taken: Taken) -> Element:
    """The arrow on a plate of its own, under the name of its part."""
    em = scale.em
    half = 0.5 * LENGTH * em + 0.3 * em
    corner = (name[0] - half, name[1] + 0.75 * em)
    taken.take((*corner, corner[0] + 2 * half, corner[1] + 2 * half))
    mark = group(class_="plate")
    mark.add(box(corner, 2 * half, 2 * half, **_paper(em)))
    mark.add(up_arrow((name[0], corner[1] + half), up, scale))
    return mark


def _name_dart(dart: Dart, panel: Panel, frame: Frame, scale: Scale, taken: Taken) -> Element:
    """A dart's name past its open side, or past one end of it where other words stand."""
    size = 0.9 * scale.em
    name = shorten(dart.name, LONGEST_NAME / 2 * size, size)
    half = text_width(name, size) / 2 + 0.3 * size
    (x0, y0), (x1, y1) = dart.ends
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    across, up = middle[0] - dart.tip[0], middle[1] - dart.tip[1]
    away = math.hypot(across, up) or 1.0
    clear = (half * abs(across) + size * abs(up)) / away + 0.3 * size
    share = max(panel.overhang / 2, clear) / away
    places = [
        frame.place((x + share * across, y + share * up)) for x, y in (middle, (x0, y0), (x1, y1))
    ]
    free = (at for at in places if taken.free((at[0] - half, at[1] - size, at[0] + half, at[1])))
    return plate(name, next(free, places[0]), size, taken)


def _largest(area: Area) -> Area:
    return max(polygons(area), key=lambda polygon: polygon.area, default=area)


def _paper(size: float) -> dict[str, str]:
    return {"fill": style.PAPER, "fill_opacity": "0.92", "rx": num(0.3 * size)}


def plate(text: str, at: Point, size: float, taken: Taken) -> Element:
    """A word on a small plate of paper, for places where lines run."""
    text = shorten(text, LONGEST_NAME * size, size)
    half = text_width(text, size) / 2 + 0.3 * size
    corner = (at[0] - half, at[1] - 0.75 * size)
    taken.take((*corner, at[0] + half, at[1] + 0.75 * size))
    mark = group(class_="plate")
    mark.add(box(corner, 2 * half, 1.5 * size, **_paper(size)))
    baseline = (at[0], at[1] + 0.36 * size)
    mark.add(words(text, baseline, size, text_anchor="middle", fill=style.INK))
    return mark
