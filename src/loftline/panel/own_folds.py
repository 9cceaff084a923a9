"""Folds and parts that the maker gives to a shape, and what is set about its own folds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon

from loftline.errors import Fault
from loftline.geometry import place, polygons
from loftline.panel.shape import Shape
from loftline.project import FoldSpec, PanelSpec
from loftline.project.fold_tables import no_such_fold
from loftline.values import Fold, Part

_PAST_MM = 0.01  # a fold that ends on the edge must cut it in spite of rounding
_PAST_DRAWN_MM = 0.5  # as far as the ends of drawn lines are joined


def with_own_folds(shape: Shape, spec: PanelSpec, faults: list[Fault]) -> Shape:
    """The shape with settings of its own folds, or cut along given ones, parts named.

    Faults are added in words.
    """
    shape = _with_settings(shape, spec, faults)
    own = {
        f"panel.folds[{i}]": _set(Fold(name=f.name, start=f.from_, end=f.to), f)
        for i, f in enumerate(spec.folds)
        if f.from_ is not None and f.to is not None
    }
    if not own and (shape.parts or not shape.folds):
        return shape
    if shape.parts:  # drawn with them
        for where, fold in own.items():
            trouble = _cuts_a_part(fold, shape.parts)
            if trouble:
                faults.append(Fault(where=where, message=trouble))
        return replace(shape, folds=(*shape.folds, *own.values()))
    return _with_parts(shape, own, spec, faults)


def _with_parts(shape: Shape, own: dict[str, Fold], spec: PanelSpec, faults: list[Fault]) -> Shape:
    """The shape cut along its folds, drawn ones first and then those of the file, by their keys."""
    lines = [_longer(fold, _PAST_DRAWN_MM) for fold in shape.folds]
    lines += [_longer(fold, _PAST_MM) for fold in own.values()]
    pieces = _cut(shape.outline, lines)
    drawn = [("panel.drawn.folds", fold) for fold in shape.folds]
    if len(pieces) < 2:
        for where, fold in [*drawn, *own.items()]:
            says = _loose_end(fold, pieces, shapely.buffer(pieces, -2 * _PAST_MM))
            says = says or f'"{fold.name}" does not cross the panel; a fold runs from edge to edge'
            faults.append(Fault(where=where, message=says))
        return shape
    within = shapely.buffer(pieces, -2 * _PAST_MM)
    for where, fold in [*drawn, *own.items()]:
        trouble = _loose_end(fold, pieces, within)
        if trouble:
            faults.append(Fault(where=where, message=trouble))
    names = _names(pieces, spec, faults)
    parts = tuple(Part(name=n, area=piece) for n, piece in zip(names, pieces, strict=True))
    return replace(shape, parts=parts, folds=(*shape.folds, *own.values()))


def _cuts_a_part(fold: Fold, parts: tuple[Part, ...]) -> str:
    """A fold across a drawn part, which would have to be two."""
    line = LineString([fold.start, fold.end])
    for part in parts:
        if shapely.intersection(line, part.area.buffer(-_PAST_DRAWN_MM)).length > _PAST_DRAWN_MM:
            return (
                f'"{fold.name}" cuts the drawn part "{part.name}"; draw the two halves as parts, '
                "or take parts out of [panel.drawn] and the folds cut the panel"
            )
    return ""


def _with_settings(shape: Shape, spec: PanelSpec, faults: list[Fault]) -> Shape:
    """Entries that name a fold and give no place are about a fold that the shape brings."""
    settings = {f.name: f for f in spec.folds if f.from_ is None}
    names = [fold.name for fold in shape.folds]
    for i, given in enumerate(spec.folds):
        if given.name in settings and given.name not in names:
            says = f'found "{given.name}"; '
            says += (
                no_such_fold(given.name, names, "the drawing")
                if names
                else "the drawing has no folds; name their layer as drawn.folds of the panel"
            )
            faults.append(Fault(where=f"panel.folds[{i}].name", message=says))
    folds = (_set(f, settings[f.name]) if f.name in settings else f for f in shape.folds)
    return replace(shape, folds=tuple(folds))


def _set(fold: Fold, spec: FoldSpec) -> Fold:
    return replace(
        fold, closed_to=spec.closed_to, gap=spec.gap, crease=spec.crease, bends=spec.bends
    )


def _cut(outline: Polygon, lines: list[LineString]) -> list[Polygon]:
    noded = shapely.union_all([outline.boundary, *lines])
    faces = polygons(shapely.polygonize(shapely.get_parts(noded).tolist()))
    kept = [f for f in faces if outline.covers(shapely.point_on_surface(f))]
    return sorted(kept, key=lambda f: (round(f.centroid.y, 6), round(f.centroid.x, 6)))


def _longer(fold: Fold, past: float) -> LineString:
    ends = np.array([fold.start, fold.end])
    step = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])) * past
    return LineString([ends[0] - step, ends[1] + step])


def _loose_end(fold: Fold, pieces: list[Polygon], within: npt.NDArray[np.object_]) -> str:
    """A fold that ends within a part, so that nothing could be folded along it.

    Args:
        fold: the fold.
        pieces: the parts.
        within: the same, a little smaller.
    """
    line = LineString([fold.start, fold.end])
    crossed = shapely.length(shapely.intersection(within, line)) > 2 * _PAST_MM
    if not crossed.any():
        return ""
    piece = pieces[int(np.argmax(crossed))]
    ends = [e for e in (fold.start, fold.end) if piece.covers(shapely.Point(e))]
    where = f" at {place(ends[0])}" if ends else ""
    return f'"{fold.name}" ends inside the panel{where}; a fold runs from edge to edge'


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
