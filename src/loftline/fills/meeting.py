"""How well lines meet where one part of the closed bag lies over another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from loftline.values import Affine, Area, ClosedFace, Floats, Ints, Lines, Panel

MEETS_MM = 0.5
"""Lines that miss by less seem to run on: about a thread's width (common practice, no source)."""

_ALIKE = np.sin(np.radians(15))
_EDGE_MM = 0.05
_REACH = 0.75
"""Of the spacing: a line farther off is not the one that would go on."""


class Miss(NamedTuple):
    """The worst place where a line ends at an edge and none goes on beyond it.

    Attributes:
        mm: across the lines.
        fill: of which design.
        over, under: the parts.
    """

    mm: float
    fill: int
    over: str
    under: str


class _Strokes(NamedTuple):
    """Straight stretches of lines: ``(m, 2, 2)``, the design of each, and as geometries."""

    ends: Floats
    fill: Ints
    drawn: npt.NDArray[np.object_]

    @classmethod
    def of(cls, ends: Floats, fill: Ints) -> _Strokes:
        return cls(ends, fill, np.asarray(shapely.linestrings(ends), dtype=object))


def worst_misses(
    panel: Panel,
    lines: Lines,
    spacing: Sequence[float],
    same: Callable[[int, int], bool],
) -> list[Miss]:
    """Of each design the worst miss at the edge of what lies over it in the closed bag.

    Along the finished edge of the part on top each line that crosses it is followed over to
    the other part: how far is it, across the lines, to the nearest one that runs alike?

    Args:
        panel: with its closed faces.
        lines: of the flat panel.
        spacing: of each fill, mm.
        same: whether lines of two fills are meant to run on in each other.

    Returns:
        At most one for each fill and pair of parts.
    """
    strokes = _strokes(lines)
    if not len(strokes.ends):
        return []
    found: dict[tuple[int, str, str], Miss] = {}
    folds = shapely.MultiLineString([(fold.start, fold.end) for fold in panel.folds])
    for face in panel.closed:
        for i, j, edge in _edges_over(face, folds):
            over, under = face.parts[i], face.parts[j]
            for mm, fill in _misses(edge, over.move, under.move, strokes, spacing, same):
                key = (fill, over.part, under.part)
                if key not in found or mm > found[key].mm:
                    found[key] = Miss(mm, fill, over.part, under.part)
    return list(found.values())


def _edges_over(
    face: ClosedFace, folds: shapely.Geometry
) -> list[tuple[int, int, shapely.Geometry]]:
    """Pairs of parts, upper one first, and where the edge of the upper lies on the lower."""
    wholes = [shown.whole for shown in face.parts]
    found: list[tuple[int, int, shapely.Geometry]] = []
    for i, shown in enumerate(face.parts):
        bent = shapely.buffer(shapely.transform(folds, shown.move.points), _EDGE_MM)
        left = shapely.difference(shapely.boundary(wholes[i]), bent)
        left = shapely.difference(left, shapely.union_all(wholes[i + 1 :]))
        for j in range(i - 1, -1, -1):
            within: Area = shapely.buffer(wholes[j], -_EDGE_MM)
            edge = shapely.intersection(left, within)
            if shapely.length(edge) > 1.0:
                found.append((i, j, edge))
            left = shapely.difference(left, wholes[j])
    return found


def _misses(
    edge: shapely.Geometry,
    over: Affine,
    under: Affine,
    strokes: _Strokes,
    spacing: Sequence[float],
    same: Callable[[int, int], bool],
) -> list[tuple[float, int]]:
    """How far each line that crosses the edge misses, and its design."""
    upper = _near(strokes, shapely.transform(edge, over.inverse().points), over, 0.0)
    reach = _REACH * max(spacing)
    lower = _near(strokes, shapely.transform(edge, under.inverse().points), under, reach)
    if not len(upper.ends) or not len(lower.ends):
        return []
    crossed = shapely.intersection(upper.drawn, edge)
    spots, which = shapely.get_parts(crossed, return_index=True)
    point = shapely.get_type_id(spots) == 0
    spots, which = spots[point], which[point]
    tree = shapely.STRtree(lower.drawn)
    out = []
    for spot, k in zip(spots, which, strict=True):
        fill = int(upper.fill[k])
        within = tree.query(spot, predicate="dwithin", distance=_REACH * spacing[fill])
        near = [int(n) for n in within if same(fill, int(lower.fill[n]))]
        along = _direction(upper.ends[k])
        lean = [abs(_cross(along, _direction(lower.ends[n]))) for n in near]
        near = [n for n, sine in zip(near, lean, strict=True) if sine < _ALIKE]
        if near:
            at = shapely.get_coordinates(spot)[0]
            out.append((min(abs(_cross(along, lower.ends[n, 0] - at)) for n in near), fill))
    return out


def _strokes(lines: Lines) -> _Strokes:
    first = np.ones(len(lines.points), bool)
    first[lines.starts[1:] - 1] = False
    at = np.flatnonzero(first)
    owner = np.repeat(np.arange(len(lines)), np.diff(lines.starts))[at]
    ends = np.stack([lines.points[at], lines.points[at + 1]], axis=1)
    drawn = lines.fill[owner] >= 0
    return _Strokes.of(ends[drawn], lines.fill[owner][drawn])


def _near(strokes: _Strokes, edge: shapely.Geometry, move: Affine, reach: float) -> _Strokes:
    """Those that cross an edge of the flat panel, or come near it, as they lie in the bag."""
    shapely.prepare(edge)
    drawn = strokes.drawn
    near = shapely.dwithin(edge, drawn, reach) if reach else shapely.intersects(edge, drawn)
    moved = move.points(strokes.ends[near].reshape(-1, 2)).reshape(-1, 2, 2)
    return _Strokes.of(moved, strokes.fill[near])


def _direction(stroke: Floats) -> Floats:
    step = stroke[1] - stroke[0]
    out: Floats = step / max(float(np.hypot(*step)), 1e-12)
    return out


def _cross(a: Floats, b: Floats) -> float:
    return float(a[0] * b[1] - a[1] * b[0])
