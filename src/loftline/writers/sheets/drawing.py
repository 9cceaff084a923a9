"""What is drawn at full size, in panel coordinates: the panel with all that lies on it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import ARC_SEGMENTS, inside_seams, only_polygons, polygons
from loftline.trade.hardware import look_up
from loftline.units import Unit
from loftline.values import Area, Dart, Floats, Fold, KeepOut, Panel, Piece, Point
from loftline.writers.sheets.ink import (
    BLACK,
    PALE,
    SOFT,
    TEXT,
    Curves,
    Ink,
    Shape,
    edge,
    lines,
    straight,
)
from loftline.writers.sheets.placing import Label
from loftline.writers.svg.folds import fold_words
from loftline.writers.svg.letters import lettered
from loftline.writers.svg.marks import arrow_corners
from loftline.writers.svg.up_arrows import ups

OUTLINE = Ink(width=0.7)
OVERHANG = Ink(width=0.35, colour=SOFT, dashes=(6.0, 2.0))
SEAM = Ink(width=0.25, dashes=(2.6, 1.6))
FOLD = Ink(width=0.35, dashes=(8.0, 2.0, 1.0, 2.0))
CLOSED_FOLD = Ink(width=0.7, dashes=(8.0, 2.0, 1.0, 2.0))
CENTRE = Ink(width=0.25, colour=SOFT, dashes=(12.0, 1.6, 2.4, 1.6))
HARD = Ink(width=0.5)
LATER = Ink(width=0.5, dashes=(1.4, 1.0))
RING = Ink(width=0.35, dashes=(3.2, 1.4))
CROSS = Ink(width=0.25)
ARROW = 4.5
SLIT = Ink(width=0.7)
BEYOND = 3.0
"""Millimetres a centre cross reaches past the hard edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Something at full size.

    Attributes:
        area: the ground it covers: a tile that holds none of it is left out.
        shapes, curves: from the lowest up; all shapes lie below the curves but those on top.
        labels: the most important first.
    """

    area: Area
    shapes: tuple[Shape, ...]
    curves: tuple[Curves, ...]
    top: tuple[Shape, ...] = ()
    labels: tuple[Label, ...] = ()


def ground(panel: Panel) -> Area:
    """The panel with what is trimmed off."""
    if panel.overhang <= 0:
        return panel.outline
    return only_polygons(panel.outline.buffer(panel.overhang, quad_segs=ARC_SEGMENTS))


def zone_of(zone: KeepOut) -> Area:
    """The zone no needle enters."""
    if zone.zone is not None:
        return zone.zone
    return only_polygons(zone.outline.buffer(zone.reach, quad_segs=ARC_SEGMENTS // 2))


def cross(at: Point, wide: float, tall: float, ink: Ink = CROSS) -> Curves:
    """A cross through a centre."""
    x, y = at
    return lines(
        [np.array([(x - wide, y), (x + wide, y)]), np.array([(x, y - tall), (x, y + tall)])], ink
    )


def slits(piece: Piece) -> tuple[float, float] | None:
    """From one prong slit of a piece to the other, and the length of each, mm.

    ``None`` for a piece without prongs.
    """
    row = look_up(piece.kind)
    if row is None or row.prongs is None:
        return None
    x0, _, x1, _ = piece.outline.bounds
    apart, long = row.prongs
    return apart * (x1 - x0), long * (x1 - x0)


def draw_slits(piece: Piece) -> list[Curves]:
    """Two upright lines at both sides of the centre, one list or none."""
    found = slits(piece)
    if found is None:
        return []
    (x, y), (apart, long) = piece.at, found
    sides = (x - apart / 2, x + apart / 2)
    return [lines([np.array([(at, y - long / 2), (at, y + long / 2)]) for at in sides], SLIT)]


def centre_of(thing: KeepOut | Piece) -> Point:
    """Where its cross stands."""
    if isinstance(thing, Piece):
        return thing.at
    middle = thing.outline.centroid
    return (middle.x, middle.y)


def draw_panel(panel: Panel, units: Unit) -> Drawing:
    """Outline, trimming line, folds, darts, centre lines, grain, hardware, parts by name."""
    shapes, curves, labels = _ground(panel, units)
    more_shapes, more, told = hardware(panel)
    arrows = list(_arrows(panel))
    x0, y0, x1, y1 = panel.outline.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    centre = shapely.intersection(
        shapely.MultiLineString(
            [[(middle[0], y0), (middle[0], y1)], [(x0, middle[1]), (x1, middle[1])]]
        ),
        panel.outline,
    )
    grain_line, grain_head = _grain(panel)
    centre_lines = [shapely.get_coordinates(part) for part in shapely.get_parts(centre)]
    return Drawing(
        area=ground(panel),
        shapes=(*shapes, *more_shapes),
        curves=(
            *curves,
            lines([line for line in centre_lines if len(line) > 1], CENTRE),
            *more,
            grain_line,
            *(shaft for shaft, _, _ in arrows),
            edge(panel.outline, OUTLINE),
        ),
        top=(grain_head, *(head for _, head, _ in arrows)),
        labels=(
            *told,
            *labels,
            *_parts(panel),
            Label(lines=("grain",), near=_line(grain_line), gap=1.0, lead=False),
            *(Label(lines=("up in the bag",), near=near, lead=False, gap=1.0)
              for _, _, near in arrows),
            *_edge_labels(panel),
            Label(lines=("centre line",), near=centre, lead=False, gap=0.6),
        ),
    )  # fmt: skip


def _edge_labels(panel: Panel) -> Iterator[Label]:
    yield Label(
        lines=("trim to this line after quilting" if panel.overhang > 0 else "cut edge",),
        near=panel.outline.exterior,
        gap=1.0,
        lead=False,
    )
    if panel.overhang > 0:
        rim = max(polygons(ground(panel)), key=lambda one: one.area).exterior
        yield Label(lines=("cut all layers here first",), near=rim, gap=1.0, lead=False)
    if panel.seam_allowance > 0:
        inner = inside_seams(panel.outline, panel.seam_allowance)
        if not inner.is_empty:
            yield Label(lines=("seam line",), near=inner.boundary, gap=1.0, lead=False)


def _ground(
    panel: Panel, units: Unit, *, slim: bool = False
) -> tuple[list[Shape], list[Curves], list[Label]]:
    shapes: list[Shape] = []
    curves: list[Curves] = []
    labels: list[Label] = []
    if panel.overhang > 0:
        curves.append(edge(ground(panel), OVERHANG))
    inner = inside_seams(panel.outline, panel.seam_allowance)
    if panel.seam_allowance > 0 and not inner.is_empty and not slim:
        curves.append(edge(inner, SEAM))
    for fold in panel.folds:
        curves += _fold(fold, panel)
        near = shapely.LineString([fold.start, fold.end])
        name = fold.name if slim else f"{fold.name}{_way(fold, panel)}"
        told = (name, *fold_words(fold, units))
        labels.append(Label(lines=told, near=near, gap=1.0, lead=False))
    for dart in panel.darts:
        shapes.append(Shape(area=dart.wedge, fill=PALE))
        curves += _dart(dart)
        labels.append(Label(lines=(dart.name,), near=dart.wedge, gap=1.0))
    return shapes, curves, labels


def _way(fold: Fold, panel: Panel) -> str:
    """Which way the panel folds there, as it is seen; nothing where it is not known.

    Two parts that show their outer fabric on the two faces of the closed bag lie back to back,
    so what is between them folds away from who looks at the outer fabric.
    """
    start, end = np.asarray(fold.start), np.asarray(fold.end)
    along = (end - start) / (np.hypot(*(end - start)) or 1.0)
    middle, aside = (start + end) / 2, np.array([-along[1], along[0]])
    shown = [{one.part for one in face.parts} for face in panel.closed]
    if len(shown) != 2:
        return ""
    sides = []
    for turn in (1.0, -1.0):
        at = shapely.Point(middle + turn * aside)
        sides.append({part.name for part in panel.parts if shapely.covers(part.area, at)})
    (front, back), (one, two) = shown, sides
    split = (one & front and two & back) or (one & back and two & front)
    both = (one | two) & front & back
    way = "away from" if panel.seen_from == "outer" else "towards"
    return f", folds {way} you" if split and not both else ""


def _fold(fold: Fold, panel: Panel) -> Iterator[Curves]:
    if fold.gap > 0:
        strip = shapely.LineString([fold.start, fold.end]).buffer(fold.gap / 2, cap_style="flat")
        yield edge(only_polygons(strip.intersection(panel.outline)), Ink(dashes=(0.8, 0.8)))
    ink = FOLD if fold.closed_to == "nothing" else CLOSED_FOLD
    yield straight(fold.start, fold.end, ink)


def _dart(dart: Dart) -> Iterator[Curves]:
    yield edge(dart.zone, SEAM)
    yield lines(list(dart.legs), Ink(width=0.5))
    if dart.boxed is None:
        yield edge(shapely.Point(dart.tip).buffer(0.8), Ink(width=0.7))


def hardware(panel: Panel, *, brief: bool = False) -> tuple[list[Shape], list[Curves], list[Label]]:
    """Hard edges, clearance rings, centre crosses; what is fitted later in short dashes.

    Args:
        panel: what they lie on.
        brief: with letters alone and without crosses, where lines run close.
    """
    pieces = {piece.name: piece for piece in panel.pieces}
    shapes: list[Shape] = []
    curves: list[Curves] = []
    labels: list[Label] = []
    for letter, thing in lettered(panel):
        x0, y0, x1, y1 = thing.outline.bounds
        now = isinstance(thing, KeepOut)
        piece = pieces.get(thing.name)
        solid = not isinstance(thing, KeepOut) or thing.hardware
        if now and solid:
            shapes.append(Shape(area=thing.outline, fill=PALE))
        curves.append(edge(thing.outline, HARD if now else LATER))
        told = [f"{letter}  {thing.name}"]
        near: Area = thing.outline
        if isinstance(thing, KeepOut):
            near = zone_of(thing)
            curves.append(edge(near, RING))
            if solid:
                told.append("tape here")
        else:
            told.append(f"fit {thing.fitted}")
        if piece is not None and piece.face_up:
            told.append(piece.face_up)
        if brief and solid:
            labels.append(
                Label(lines=(letter,), near=thing.outline, inside=True, bold=True, block=True)
            )
            continue
        if solid:
            wide, tall = (x1 - x0) / 2 + BEYOND, (y1 - y0) / 2 + BEYOND
            curves.append(cross(centre_of(thing), wide, tall))
            curves += [] if piece is None else draw_slits(piece)
        x0, y0, x1, y1 = thing.outline.bounds
        roomy = not solid and x1 - x0 > 30 and y1 - y0 > 8
        if roomy:
            near = thing.outline
        labels.append(Label(lines=tuple(told), near=near, inside=roomy, gap=0.6, block=True))
    return shapes, curves, labels


def _parts(panel: Panel) -> Iterator[Label]:
    if len(panel.parts) < 2:
        return
    for part in panel.parts:
        yield Label(
            lines=(part.name,), near=part.area, inside=True, only=True, bold=True, size=1.4 * TEXT
        )


def arrow(tip: Point, heading: float, length: float, colour: str = BLACK) -> Shape:
    """A slender arrow head, pointing along ``heading`` (radians)."""
    return Shape(area=shapely.Polygon(arrow_corners(tip, heading, length)), fill=colour)


def _arrows(panel: Panel) -> Iterator[tuple[Curves, Shape, shapely.Geometry]]:
    """On each part that is seen in the closed bag, which way is up there."""
    upward, free = ups(panel), _free(panel)
    for part in panel.parts:
        up = upward.get(part.name)
        if up is None:
            continue
        way = np.asarray(up)
        at = _clear_place(only_polygons(part.area), free, 10.0)
        tail, tip = at - 8 * way, at + 8 * way
        shaft = lines([np.array([tail, tip - 3 * way])], Ink(width=0.5))
        heading = math.atan2(up[1], up[0])
        yield shaft, arrow((tip[0], tip[1]), heading, ARROW), shapely.LineString([tail, tip])


def _grain(panel: Panel) -> tuple[Curves, Shape]:
    """A line along the cloth, with a head at each end."""
    _, y0, _, y1 = panel.outline.bounds
    half = min(40.0, 0.2 * (y1 - y0))
    x, y = _grain_place(panel, half)
    line = straight((x, y - half), (x, y + half), Ink(width=0.35))
    up, down = (arrow_corners((x, y + s * half), s * math.pi / 2, 3.6) for s in (1, -1))
    heads = shapely.MultiPolygon([shapely.Polygon(up), shapely.Polygon(down)])
    return line, Shape(area=heads, fill=BLACK)


def _free(panel: Panel) -> Area:
    """Where nothing lies on the panel, nor its folds."""
    folds = [shapely.LineString([fold.start, fold.end]).buffer(2.0) for fold in panel.folds]
    things = [zone_of(zone) for zone in panel.keep_outs] + [one.outline for one in panel.pieces]
    return only_polygons(shapely.difference(panel.outline, shapely.union_all([*things, *folds])))


def _clear_place(area: Area, free: Area, reach: float) -> Floats:
    """A place in an area with so much room round it, at the left rather than at the right."""
    x0, y0, x1, y1 = area.bounds
    across, up = np.meshgrid((0.3, 0.2, 0.4, 0.7, 0.6, 0.8), (0.5, 0.35, 0.65, 0.2, 0.8))
    places = np.column_stack([x0 + across.ravel() * (x1 - x0), y0 + up.ravel() * (y1 - y0)])
    rounds = shapely.buffer(shapely.points(places), reach)
    within = shapely.covers(shapely.intersection(area, free), rounds)
    if not within.any():
        places = shapely.get_coordinates(shapely.point_on_surface(area))
        within = np.ones(1, bool)
    found: Floats = places[int(np.argmax(within))]
    return found


def _grain_place(panel: Panel, half: float) -> Point:
    """The middle of a place with room for a line along the cloth."""
    x0, y0, x1, y1 = panel.outline.bounds
    free = _free(panel)
    for right in (0.72, 0.65, 0.8, 0.6, 0.85, 0.4, 0.9):
        for up in (0.3, 0.5, 0.2, 0.6, 0.4, 0.7):
            x, y = x0 + right * (x1 - x0), y0 + up * (y1 - y0)
            if shapely.covers(free, shapely.box(x - 3, y - half, x + 3, y + half)):
                return (x, y)
    return ((x0 + x1) / 2 + 6.0, (y0 + y1) / 2)


def _line(curves: Curves) -> shapely.LineString:
    return shapely.LineString(curves.points)


def base(panel: Panel, units: Unit, *, brief: bool = False) -> Drawing:
    """What lies under the quilting: the panel without what is only for cutting.

    Args:
        panel: the panel.
        units: the maker's.
        brief: as for :func:`hardware`.
    """
    shapes, curves, labels = _ground(panel, units, slim=True)
    more_shapes, more, told = hardware(panel, brief=brief)
    return Drawing(
        area=ground(panel),
        shapes=(*shapes, *more_shapes),
        curves=(*curves, *more, edge(panel.outline, OUTLINE)),
        labels=(*told, *labels),
    )


def packed(curves: Sequence[Floats], ink: Ink) -> Curves:
    """Polylines of one look, those without length left out."""
    return lines([curve for curve in curves if len(curve) > 1], ink)
