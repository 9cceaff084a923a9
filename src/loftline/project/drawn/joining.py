"""Lines whose ends meet become closed rings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loftline.project.drawn.drawing import Point, Stroke
from loftline.project.drawn.limits import GAP_MM

Floats = npt.NDArray[np.float64]
_NEIGHBOURS = 8
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """A closed line.

    Attributes:
        points: ``(n, 2)``, the first not repeated.
        stroke: the line it is made of, or the first of them.
        gaps: how wide the gaps were that were closed, and where.
    """

    points: Floats
    stroke: Stroke
    gaps: tuple[tuple[float, Point], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Lines joined end to end that do not close."""

    points: Floats
    stroke: Stroke


def join(strokes: Sequence[Stroke], *, by_layer: bool) -> tuple[list[Ring], list[Chain]]:
    """Rings of all closed lines, and of open ones whose ends lie within the gap.

    Nearest ends are joined first; with ``by_layer`` only lines of one layer are joined.
    """
    rings = [
        Ring(points=_fresh(s.points), stroke=s)
        for s in strokes
        if s.closed and len(_fresh(s.points)) >= 3
    ]
    chains: list[Chain] = []
    layers: dict[str, list[Stroke]] = {}
    for stroke in strokes:
        if not stroke.closed and len(stroke.points) >= 2:
            layers.setdefault(stroke.layer.casefold() if by_layer else "", []).append(stroke)
    for group in layers.values():
        for order, closes in _walks(group, _partners(group)):
            found = _put_together(group, order, closes=closes)
            if isinstance(found, Ring):
                rings.append(found)
            else:
                chains.append(found)
    return rings, chains


def _partners(strokes: Sequence[Stroke]) -> dict[int, int]:
    """Ends that are joined, both ways; end 2i is the start of line i, 2i + 1 its end."""
    ends = np.concatenate([stroke.points[[0, -1]] for stroke in strokes])
    near = min(_NEIGHBOURS, len(ends))
    from scipy.spatial import KDTree  # noqa: PLC0415 - loaded when needed

    found = KDTree(ends).query(ends, k=near, distance_upper_bound=GAP_MM)
    apart, other = (np.asarray(part).reshape(len(ends), near) for part in found)
    first = np.repeat(np.arange(len(ends)), near)
    close = np.isfinite(apart.ravel()) & (first < other.ravel())
    pairs = np.column_stack([first, other.ravel()])[close]
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0], apart.ravel()[close]))]
    long_enough = np.array([np.ptp(s.points, axis=0).max() > GAP_MM for s in strokes])
    partner: dict[int, int] = {}
    for a, b in pairs.tolist():
        own = a // 2 == b // 2  # the two ends of one line: no dot may close on itself
        if a not in partner and b not in partner and not (own and not long_enough[a // 2]):
            partner[a], partner[b] = b, a
    return partner


def _walks(
    strokes: Sequence[Stroke], partner: dict[int, int]
) -> list[tuple[list[tuple[int, bool]], bool]]:
    """Each chain as lines with a direction, and whether it closes; open chains first."""
    used: set[int] = set()
    loose = [end for end in range(2 * len(strokes)) if end not in partner]
    out = []
    for end in [*loose, *range(0, 2 * len(strokes), 2)]:
        if end // 2 in used:
            continue
        order: list[tuple[int, bool]] = []
        here: int | None = end
        while here is not None and here // 2 not in used:
            used.add(here // 2)
            order.append((here // 2, here % 2 == 0))
            here = partner.get(here ^ 1)
        out.append((order, here is not None))
    return out


def _put_together(
    strokes: Sequence[Stroke], order: list[tuple[int, bool]], *, closes: bool
) -> Ring | Chain:
    pieces = [strokes[i].points if ahead else strokes[i].points[::-1] for i, ahead in order]
    stroke = strokes[min(i for i, _ in order)]
    points = np.concatenate(pieces)
    if not closes:
        return Chain(points=points, stroke=stroke)
    ends = np.stack([piece[-1] for piece in pieces])
    starts = np.roll(np.stack([piece[0] for piece in pieces]), -1, axis=0)
    gaps = np.hypot(*(starts - ends).T)
    told = tuple(
        (float(gaps[i]), (float(ends[i, 0]), float(ends[i, 1])))
        for i in np.flatnonzero(gaps > 0.01).tolist()
    )
    fresh = _fresh(points)
    if len(fresh) < 3:
        return Chain(points=points, stroke=stroke)
    return Ring(points=fresh, stroke=stroke, gaps=told)


def _fresh(points: Floats) -> Floats:
    """Without points that repeat the one before, the last before the first included."""
    if len(points) < 2:
        return points
    cell = np.round(points / _SAME_MM)
    out: Floats = points[(cell != np.roll(cell, 1, axis=0)).any(axis=1)]
    return out
