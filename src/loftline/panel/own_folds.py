"""Folds and parts that the maker gives to a shape: the outline cut along the folds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, Polygon

from loftline.errors import Fault
from loftline.geometry import place, polygons
from loftline.panel.shape import Shape
from loftline.project import PanelSpec
from loftline.values import Fold, Part

_PAST_MM = 0.01  # a fold that ends on the edge must cut it in spite of rounding


def with_own_folds(shape: Shape, spec: PanelSpec, faults: list[Fault]) -> Shape:
    """The shape cut along its own folds, parts named; faults are added in words."""
    if not spec.folds:
        return shape
    folds = tuple(Fold(name=f.name, start=f.from_, end=f.to) for f in spec.folds)
    pieces = _cut(shape.outline, folds)
    if len(pieces) < 2:
        fault = "no fold cuts the panel; a fold runs from edge to edge"
        faults.append(Fault(where="panel.folds", message=fault))
        return shape
    for i, fold in enumerate(folds):
        trouble = _loose_end(fold, pieces)
        if trouble:
            faults.append(Fault(where=f"panel.folds[{i}]", message=trouble))
    names = _names(pieces, spec, faults)
    parts = tuple(Part(name=n, area=piece) for n, piece in zip(names, pieces, strict=True))
    return replace(shape, parts=parts, folds=folds)


def _cut(outline: Polygon, folds: tuple[Fold, ...]) -> list[Polygon]:
    lines = [_longer(fold) for fold in folds]
    noded = shapely.union_all([outline.boundary, *lines])
    faces = polygons(shapely.polygonize(shapely.get_parts(noded).tolist()))
    kept = [f for f in faces if outline.covers(shapely.point_on_surface(f))]
    return sorted(kept, key=lambda f: (round(f.centroid.y, 6), round(f.centroid.x, 6)))


def _longer(fold: Fold) -> LineString:
    ends = np.array([fold.start, fold.end])
    step = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])) * _PAST_MM
    return LineString([ends[0] - step, ends[1] + step])


def _loose_end(fold: Fold, pieces: list[Polygon]) -> str:
    """A fold that ends within a part, so that nothing could be folded along it."""
    line = LineString([fold.start, fold.end])
    for piece in pieces:
        inside = shapely.intersection(line, piece.buffer(-2 * _PAST_MM))
        if not inside.is_empty and inside.length > 2 * _PAST_MM:
            ends = [e for e in (fold.start, fold.end) if piece.covers(shapely.Point(e))]
            where = f" at {place(ends[0])}" if ends else ""
            return f'"{fold.name}" ends inside the panel{where}; a fold runs from edge to edge'
    return ""


def _names(pieces: list[Polygon], spec: PanelSpec, faults: list[Fault]) -> list[str]:
    names: list[str | None] = [None] * len(pieces)
    for i, part in enumerate(spec.parts):
        where = f"panel.parts[{i}].at"
        point = shapely.Point(part.at)
        home = [k for k, piece in enumerate(pieces) if piece.covers(point)]
        if len(home) != 1:
            lies = "lies on a fold" if home else "lies outside the panel"
            says = f'"{part.name}" at {place(part.at)} {lies}; give a place inside one part'
            faults.append(Fault(where=where, message=says))
        elif names[home[0]] is not None:
            says = f'"{part.name}" and "{names[home[0]]}" lie in the same part; name it once'
            faults.append(Fault(where=where, message=says))
        else:
            names[home[0]] = part.name
    taken = {name for name in names if name}
    fresh = (name for n in range(1, 1000) if (name := f"part {n}") not in taken)
    return [name or next(fresh) for name in names]
