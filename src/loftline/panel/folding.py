"""The flat panel folded into the closed bag.

A fold is a reflection of everything beyond it; folds in series compose along a tree of
parts. One part, the root, lies still; the fold named later in the list closes later and
lies outside. The outer fabric ends up outside. Geometry, no source needed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.affinity import affine_transform

from loftline.geometry import only_polygons
from loftline.values import Area, Floats, Fold, Panel, Part, Point

_BESIDE_MM = 0.05
_LEAST_SHOWN_MM2 = 0.01


@dataclass(frozen=True, slots=True)
class Affine:
    """A move of the plane: ``x' = a x + b y + x0``, ``y' = d x + e y + y0``."""

    a: float
    b: float
    d: float
    e: float
    x0: float
    y0: float

    def __call__(self, point: Point) -> Point:
        """Where a point goes."""
        x, y = point
        return (
            self.a * x + self.b * y + self.x0,
            self.d * x + self.e * y + self.y0,
        )

    def then(self, other: Affine) -> Affine:
        """This move, and the other after it."""
        x0, y0 = other((self.x0, self.y0))
        return Affine(
            other.a * self.a + other.b * self.d,
            other.a * self.b + other.b * self.e,
            other.d * self.a + other.e * self.d,
            other.d * self.b + other.e * self.e,
            x0,
            y0,
        )

    @property
    def turned_over(self) -> bool:
        """Whether it shows the other side."""
        return self.a * self.e - self.b * self.d < 0

    def inverse(self) -> Affine:
        """The move back; it keeps lengths, so its matrix is turned about its diagonal."""
        a, b, d, e = self.a, self.d, self.b, self.e
        return Affine(a, b, d, e, -(a * self.x0 + b * self.y0), -(d * self.x0 + e * self.y0))

    def points(self, points: Floats) -> Floats:
        """Where points ``(n, 2)`` go."""
        matrix = np.array([[self.a, self.b], [self.d, self.e]])
        moved: Floats = points @ matrix.T + (self.x0, self.y0)
        return moved

    def area(self, area: shapely.Geometry) -> Area:
        """Where an area goes."""
        terms = (self.a, self.b, self.d, self.e, self.x0, self.y0)
        return only_polygons(affine_transform(area, terms))


STILL = Affine(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A part as one face of the closed bag shows it.

    Attributes:
        area: what of it is seen, closed coordinates of the face.
        move: from the flat panel to these coordinates.
        covered: what of it lies under parts painted after it.
    """

    part: str
    area: Area
    move: Affine
    covered: Area


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedFace:
    """One side of the closed bag, seen from outside; parts in the order they are painted."""

    name: str
    parts: tuple[Shown, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        whole = shapely.union_all([shapely.union(p.area, p.covered) for p in self.parts])
        x0, y0, x1, y1 = whole.bounds
        return (x1 - x0, y1 - y0)


def reflection(start: Point, end: Point) -> Affine:
    """Mirror over the line from ``start`` to ``end``.

    Raises:
        ValueError: when both are the same place.

    >>> reflection((0.0, 150.0), (250.0, 150.0))((75.0, 40.0))
    (75.0, 260.0)
    """
    x, y = end[0] - start[0], end[1] - start[1]
    square = x * x + y * y
    if square == 0:
        raise ValueError("a fold needs two different ends")
    cosine, sine = (x * x - y * y) / square, 2 * x * y / square
    moved = (cosine * start[0] + sine * start[1], sine * start[0] - cosine * start[1])
    return Affine(cosine, sine, sine, -cosine, start[0] - moved[0], start[1] - moved[1])


def folded(parts: Sequence[Part], folds: Sequence[Fold]) -> dict[str, tuple[Affine, int]]:
    """For each part its move into the closed bag and its layer, root 0, later folds higher.

    Parts that no fold joins to the root are left out.
    """
    joins = _joins(parts, folds)
    if not parts:
        return {}
    root = _root(parts, joins)
    places = {root: (STILL, 0)}
    waiting = [root]
    while waiting:
        here = waiting.pop(0)
        move, layer = places[here]
        for number, fold, one, two in joins:
            if here not in (one, two):
                continue
            there = two if here == one else one
            if there in places:
                continue
            mirror = reflection(fold.start, fold.end)
            places[there] = (mirror.then(move), max(layer, number + 1))
            waiting.append(there)
    return places


def mate_place(
    parts: Sequence[Part], folds: Sequence[Fold], home: str, point: Point
) -> tuple[str, Point] | None:
    """The part that lies against a point of another one in the closed bag, and where.

    The next layer outside counts first, then the next one inside; ``None`` where the point
    closes onto nothing.
    """
    places = folded(parts, folds)
    if home not in places:
        return None
    move, layer = places[home]
    closed = move(point)
    found: list[tuple[bool, int, str, Point]] = []
    for part in parts:
        if part.name == home or part.name not in places:
            continue
        other, height = places[part.name]
        back = other.inverse()(closed)
        if part.area.covers(shapely.Point(back)):
            found.append((height < layer, abs(height - layer), part.name, back))
    if not found:
        return None
    _, _, name, place = min(found)
    return name, place


def closed_faces(panel: Panel) -> tuple[ClosedFace, ...]:
    """The closed bag seen from the front and from the back, outer fabric outside.

    Coordinates of both: x to the right, y up, as the viewer of that face sees it, origin at
    the lower left. Empty for a panel without folds and parts.
    """
    places = folded(panel.parts, panel.folds)
    if len(places) < 2:
        return ()
    areas = {p.name: p.area for p in panel.parts}
    lying = {name: move.area(areas[name]) for name, (move, _) in places.items()}
    x0, y0, x1, _ = shapely.union_all(list(lying.values())).bounds
    to_front = Affine(-1.0, 0.0, 0.0, 1.0, x1, -y0)
    to_back = Affine(1.0, 0.0, 0.0, 1.0, -x0, -y0)
    return tuple(
        _face(name, turned, view, places, areas)
        for name, turned, view in (("front", True, to_front), ("back", False, to_back))
    )


def closed_size(parts: Sequence[Part], folds: Sequence[Fold]) -> tuple[float, float] | None:
    """Width and height of the closed bag lying flat, mm; ``None`` without folds."""
    places = folded(parts, folds)
    if len(places) < 2:
        return None
    whole = shapely.union_all([places[p.name][0].area(p.area) for p in parts if p.name in places])
    x0, y0, x1, y1 = whole.bounds
    return (x1 - x0, y1 - y0)


def _face(
    name: str,
    turned: bool,  # noqa: FBT001 - which of the two sides
    view: Affine,
    places: Mapping[str, tuple[Affine, int]],
    areas: Mapping[str, Area],
) -> ClosedFace:
    seen = [part for part, (move, _) in places.items() if move.turned_over == turned]
    # outside lies what closes last; seen from behind, the root covers what folds under it
    seen.sort(key=lambda part: places[part][1], reverse=not turned)
    moves = {part: places[part][0].then(view) for part in seen}
    lying = {part: moves[part].area(areas[part]) for part in seen}
    shown: list[Shown] = []
    for i, part in enumerate(seen):
        over = _united(lying[later] for later in seen[i + 1 :])
        shown.append(
            Shown(
                part=part,
                area=only_polygons(lying[part].difference(over)),
                move=moves[part],
                covered=only_polygons(lying[part].intersection(over)),
            )
        )
    return ClosedFace(
        name=name,
        parts=tuple(s for s in shown if s.area.area > _LEAST_SHOWN_MM2),
    )


def _united(areas: Iterable[Area]) -> shapely.Geometry:
    return shapely.union_all(list(areas))


def _joins(parts: Sequence[Part], folds: Sequence[Fold]) -> list[tuple[int, Fold, str, str]]:
    """Which two parts each fold joins."""
    out: list[tuple[int, Fold, str, str]] = []
    for number, fold in enumerate(folds):
        ends = np.array([fold.start, fold.end])
        along = ends[1] - ends[0]
        across = np.array([-along[1], along[0]]) / np.hypot(*along) * _BESIDE_MM
        spots = ends[0] + np.linspace(0.1, 0.9, 9)[:, None] * along
        sides = [
            _at(parts, np.asarray(shapely.points(spots + side * across), dtype=object))
            for side in (1, -1)
        ]
        pairs = {(one, two) for one, two in zip(*sides, strict=True) if one and two and one != two}
        out.extend((number, fold, one, two) for one, two in sorted(pairs))
    return out


def _at(parts: Sequence[Part], points: npt.NDArray[np.object_]) -> list[str]:
    names = np.full(len(points), "", dtype=object)
    for part in parts:
        names[shapely.covers(part.area, points)] = part.name
    return [str(name) for name in names]


def _root(parts: Sequence[Part], joins: list[tuple[int, Fold, str, str]]) -> str:
    """The part that lies still: the back, else the one with most folds, else the largest."""
    names = [part.name for part in parts]
    if "back" in names:
        return "back"
    count = {name: sum(name in join[2:] for join in joins) for name in names}
    return max(parts, key=lambda part: (count[part.name], part.area.area)).name
