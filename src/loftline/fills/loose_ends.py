"""What of lines goes on beyond a fold, so that none ends on the fold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from scipy.spatial import cKDTree

from loftline.fills.fill_lines import FillLines
from loftline.fills.rows import moved_rows
from loftline.geometry import are_lines
from loftline.values import Bools, Field, Floats, Ints

_SAME_MM = 1e-5

_More = tuple[Floats, int, Floats]
"""A piece, the number of its family, its row."""


def with_ends(made: Sequence[FillLines], field: Field) -> list[FillLines]:
    """Lines of each part with what was left out beyond a fold that another line comes to.

    A piece shorter than a stitch, or one close beside an edge, is not worth sewing by itself.
    Where the rest of its line lies beyond a fold it is: the line goes on to the edge or to a
    keep-out, where travel begins, and not to a loose end on the fold. Folding brings what goes
    on over a fold onto what came to it, so the missing piece is the other's own beginning.

    Args:
        made: of each part of the field, in order, on the flat panel.
        field: with its pieces laid on the closed bag.
    """
    out = list(made)
    # what goes on over one fold may come to the next
    for _ in made:
        more = _missing(out, field)
        if not any(more):
            break
        out = [_with(lines, found) for lines, found in zip(out, more, strict=True)]
    return out


def _missing(made: Sequence[FillLines], field: Field) -> list[list[_More]]:
    """For each part what goes on beyond loose ends of others."""
    more: list[list[_More]] = [[] for _ in made]
    ends, part, line, last = _ends(made)
    if not len(ends):
        return more
    edge = field.region.boundary
    loose = _alone(ends) & (shapely.distance(shapely.points(ends), edge) > _SAME_MM)
    for k in np.flatnonzero(loose).tolist():
        lines, own = made[part[k]], field.laid[part[k]]
        curve = lines.curves[line[k]]
        curve = curve[::-1] if last[k] else curve
        for beyond, other in enumerate(field.laid):
            if beyond == part[k]:
                continue
            # so it lies on the other part: to the closed bag, and back through its own move
            moved = other.move.inverse().points(own.move.points(curve))
            if np.hypot(*(moved[0] - ends[k])) > _SAME_MM:
                continue
            piece = first_piece(moved, other.region)
            if piece is not None:
                row = lines.every_row[line[k]][None]
                row = moved_rows(moved_rows(row, own.move), other.move.inverse())
                more[beyond].append((piece, int(lines.family[line[k]]), row))
    return more


def _ends(made: Sequence[FillLines]) -> tuple[Floats, Ints, Ints, Bools]:
    """Both ends of all open lines: place, part, line of the part, whether the last."""
    rows = [
        (*curve[end], part, line, end)
        for part, lines in enumerate(made)
        for line, curve in enumerate(lines.curves)
        for end in (0, -1)
        if not lines.closed[line]
    ]
    table = np.array(rows, np.float64).reshape(-1, 5)
    part, line = table[:, 2].astype(np.int64), table[:, 3].astype(np.int64)
    return table[:, :2], part, line, table[:, 4] < 0


def _alone(ends: Floats) -> Bools:
    tree = cKDTree(ends)
    pairs = tree.query_pairs(_SAME_MM, output_type="ndarray")
    alone = np.ones(len(ends), bool)
    alone[pairs.ravel()] = False
    return alone


def first_piece(curve: Floats, region: shapely.Geometry) -> Floats | None:
    """The first piece of a line in a region."""
    cut = shapely.get_parts(shapely.intersection(shapely.linestrings(curve), region))
    for piece in cut[are_lines(cut)]:
        points = np.asarray(shapely.get_coordinates(piece))
        for way in (points, points[::-1]):
            close = np.hypot(*(way[0] - curve[0])) <= _SAME_MM
            if close and shapely.length(piece) > _SAME_MM:
                return way
    return None


def _with(lines: FillLines, found: list[_More]) -> FillLines:
    if not found:
        return lines
    family = lines.family
    count = int(family.max()) + 1 if len(family) else 0
    # of the part's own family, where it has one of that number
    more = [min(number, count) for _, number, _ in found]
    angle = [
        float(lines.angle[family == number][0]) if (family == number).any() else np.nan
        for number in more
    ]
    rows = np.concatenate([lines.every_row, *(row for _, _, row in found)])
    return replace(
        lines,
        curves=(*lines.curves, *(curve for curve, _, _ in found)),
        family=np.concatenate([family, np.array(more, np.int64)]),
        angle=np.concatenate([lines.angle, np.array(angle)]),
        closed=np.concatenate([lines.closed, np.zeros(len(found), bool)]),
        rows=rows if np.isfinite(rows).any() else None,
    )
