"""Hardware and drawn keep-outs on a face of the closed bag: what shows, and what is hidden."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import Polygon

from loftline.geometry import only_polygons
from loftline.values import Area, ClosedFace, KeepOut, Panel, Piece, Point
from loftline.writers.svg import style
from loftline.writers.svg.closed_place import Slot
from loftline.writers.svg.labels import Taken, plate
from loftline.writers.svg.letters import LEAST_LETTER, lettered
from loftline.writers.svg.marks import Element, area_path, group, text_width, words
from loftline.writers.svg.style import Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceMark:
    """One thing on one part, page coordinates.

    Attributes:
        seen, hidden: what of it shows, and what lies inside or underneath.
        solid: whether it is hardware.
        clear: whether no thread runs over it.
    """

    letter: str
    seen: Area
    hidden: Area
    solid: bool
    clear: bool

    @property
    def whole(self) -> Area:
        """All of it."""
        return only_polygons(shapely.union(self.seen, self.hidden))


def shows(thing: KeepOut | Piece) -> bool:
    """Whether it is seen on the outer fabric of the bag: a drawn zone, or what stands above."""
    return thing.sits == "above" or (isinstance(thing, KeepOut) and not thing.hardware)


def draw_hardware(face: ClosedFace, panel: Panel, slot: Slot, scale: Scale) -> Element:
    """What shows in full lines, what is inside or underneath in dashes, each with its letter.

    Two things at one place, as the halves of a closure are, share one letter plate.
    """
    drawn = group(class_="closed-hardware")
    marks = list(face_marks(face, panel, slot))
    for mark in marks:
        if not mark.hidden.is_empty:
            drawn.add(area_path(mark.hidden, class_="hidden", **style.hidden_look(scale)))
        if not mark.seen.is_empty:
            look = {"fill": style.HARD} if mark.solid else _plain(scale)
            drawn.add(area_path(mark.seen, class_="shows", **look))
    taken, room = Taken(), slot.move.area(shapely.box(*face.bounds))
    for letters, at, shape, white, clear in _gathered(marks, scale):
        drawn.add(_letter(letters, at, shape, (taken, room), scale, white=white, clear=clear))
    return drawn


def _plain(scale: Scale) -> style.Look:
    return style.outline_look(scale) | {"fill": style.PAPER}


def face_marks(face: ClosedFace, panel: Panel, slot: Slot) -> Iterator[FaceMark]:
    """What lies on each part of a face, moved into its slot."""
    areas = {part.name: part.area for part in panel.parts}
    for letter, thing in lettered(panel):
        for shown in face.parts:
            on_part = only_polygons(shapely.intersection(thing.outline, areas[shown.part]))
            if on_part.is_empty:
                continue
            lies = shown.move.area(on_part)
            seen = _page(shapely.intersection(lies, shown.area), slot)
            covered = _page(shapely.intersection(lies, shown.covered), slot)
            if not shows(thing):
                seen, covered = Polygon(), _page(shapely.intersection(lies, shown.whole), slot)
            if seen.is_empty and covered.is_empty:
                continue
            hard = isinstance(thing, Piece) or thing.hardware
            clear = isinstance(thing, KeepOut) and bool(shapely.covers(shown.area, lies))
            yield FaceMark(letter=letter, seen=seen, hidden=covered, solid=hard, clear=clear)


def _page(area: shapely.Geometry, slot: Slot) -> Area:
    return slot.move.area(only_polygons(area))


def _gathered(marks: list[FaceMark], scale: Scale) -> Iterator[tuple[str, Point, Area, bool, bool]]:
    """Letters of things whose middles lie within an em of each other, taken together."""
    waiting = list(marks)
    while waiting:
        first = waiting.pop(0)
        middle = first.whole.centroid
        same = [m for m in waiting if m.whole.centroid.distance(middle) < scale.em]
        waiting = [m for m in waiting if m not in same]
        together = [first, *same]
        letters = " ".join(dict.fromkeys(mark.letter for mark in together))
        white = all(mark.solid and mark.hidden.is_empty for mark in together)
        clear = white or any(mark.clear for mark in together)
        yield letters, (middle.x, middle.y), first.whole, white, clear


def _letter(
    letters: str,
    at: Point,
    shape: Area,
    where: tuple[Taken, Area],
    scale: Scale,
    *,
    white: bool,
    clear: bool,
) -> Element:
    """Inside the shape where no line runs there and there is room, else on a plate beside it.

    The plate stands on the bag where it can.
    """
    em, (taken, room) = scale.em, where
    x0, y0, x1, y1 = shape.bounds
    size = min(1.15 * em, 0.8 * (y1 - y0), 0.8 * (x1 - x0) / text_width(letters, 1.0))
    if clear and size >= LEAST_LETTER * em and shape.covers(shapely.Point(at)):
        ink = style.WHITE if white else style.INK
        look = {"text_anchor": "middle", "font_weight": "bold", "fill": ink}
        return words(letters, (at[0], at[1] + 0.36 * size), size, **look)
    half = text_width(letters, em) / 2 + 0.3 * em
    places = [
        (x + side * half, y + down * 0.75 * em)
        for x, side in ((x1, 1), (x0, -1))
        for y, down in ((y0, -1), (y1, 1))
    ]
    boxes = {p: (p[0] - half, p[1] - 0.75 * em, p[0] + half, p[1] + 0.75 * em) for p in places}
    free = [p for p in places if taken.free(boxes[p])] or places
    inside = [p for p in free if room.covers(shapely.box(*boxes[p]))] or free
    return plate(letters, inside[0], em, taken)
