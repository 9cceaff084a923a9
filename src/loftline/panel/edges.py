"""Names for the straight edges of an outline that is given by points or drawn."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.polygon import orient

from loftline.errors import Fault
from loftline.geometry import place
from loftline.panel.shape import Edge
from loftline.units import SAME_PLACE_MM, show
from loftline.values import Floats

LEAST_DRAWN_EDGE_MM = 10.0
"""A drawing's curves are flattened into short chords; what is shorter is no edge to measure
from (common practice, no source)."""

_ON_SIDE_MM = 0.1
"""A tenth, as far as a place is told: an edge so near a side of the panel's box lies on it."""

_MOST_LISTED = 12
_LONGEST_NAME = 40  # comparing is quadratic in the length
_NUMBERED = "edge "

_SIDES: Mapping[str, tuple[int, int]] = {
    "top": (1, 3),
    "bottom": (1, 1),
    "left": (0, 0),
    "right": (0, 2),
}
"""Of each side: the axis that stays the same along it, and which of the box's bounds it has."""


def point_edges(corners: Floats) -> dict[str, Edge]:
    """Edges of a polygon: "edge 1" runs from the first point to the second, and so on.

    Where one edge alone lies on a side of the panel it is called "top", "bottom", "left" or
    "right" as well.

    Args:
        corners: ``(n, 2)`` in the maker's order, either way round.

    >>> list(point_edges(np.array([[0, 0], [90, 0], [0, 60]])))
    ['bottom', 'left', 'edge 1', 'edge 2', 'edge 3']
    """
    after = np.roll(corners, -1, axis=0)
    return _named(corners, after, np.arange(len(corners)) + 1)


def outline_edges(outline: Polygon) -> dict[str, Edge]:
    """Straight edges of a drawn outline, counter-clockwise from its lower left corner.

    Pieces of one straight line are one edge; edges under
    :data:`LEAST_DRAWN_EDGE_MM` have no name.
    """
    ring = shapely.get_coordinates(orient(outline).exterior)[:-1]
    ring = ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > SAME_PLACE_MM]
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    scale = np.hypot(*before.T) * np.hypot(*after.T)
    corners = ring[np.abs(turn) > 1e-6 * scale]
    corners = np.roll(corners, -int(np.argmin(corners.sum(axis=1))), axis=0)
    ahead = np.roll(corners, -1, axis=0)
    long = np.hypot(*(ahead - corners).T) >= LEAST_DRAWN_EDGE_MM
    return _named(corners[long], ahead[long], np.arange(int(long.sum())) + 1, box=ring)


def find_edge(name: str, edges: Mapping[str, Edge], where: str, faults: list[Fault]) -> Edge | None:
    """The edge of a name; else ``None``, and a fault with the names there are."""
    edge = edges.get(name)
    if edge is not None:
        return edge
    if not edges:
        message = "this outline has no straight edge to measure from; give the place as [x, y]"
        faults.append(Fault(where=where, message=message))
        return None
    plain = [word for word in edges if not word.startswith(_NUMBERED)]
    counted = [word for word in edges if word.startswith(_NUMBERED)]
    known, like = [show(word) for word in plain], list(plain)
    if len(counted) <= _MOST_LISTED:
        like += counted
        known += [f"{show(word)} (middle {place(edges[word].at)})" for word in counted]
    else:
        known += [f"{show(counted[0])} to {show(counted[-1])}"]
    near = difflib.get_close_matches(name[:_LONGEST_NAME], like, 1)
    guess = f"; did you mean {show(near[0])}?" if near else ""
    message = f"no edge is called {show(name)}; this shape has {', '.join(known)}{guess}"
    faults.append(Fault(where=where, message=message))
    return None


def _named(
    starts: Floats, ends: Floats, numbers: Iterable[int], box: Floats | None = None
) -> dict[str, Edge]:
    """Sides of the panel's box first, then every edge by its number.

    ``box`` holds the corners of an outline that runs counter-clockwise; without it the edges
    are the whole outline, either way round.
    """
    step = ends - starts
    length = np.hypot(*step.T)
    square = np.column_stack([-step[:, 1], step[:, 0]]) / np.maximum(length, SAME_PLACE_MM)[:, None]
    around = (
        1.0 if box is not None else (starts[:, 0] * step[:, 1] - starts[:, 1] * step[:, 0]).sum()
    )
    inward = square * (1.0 if around >= 0 else -1.0) + 0.0
    middle = (starts + ends) / 2
    made = [
        Edge(at=(at[0], at[1]), inward=(way[0], way[1]), length=far)
        for at, way, far in zip(middle.tolist(), inward.tolist(), length.tolist(), strict=True)
    ]
    real = length > SAME_PLACE_MM
    every = starts if box is None else box
    bounds = np.concatenate([every.min(axis=0), every.max(axis=0)])
    named: dict[str, Edge] = {}
    for side, (axis, bound) in _SIDES.items():
        both = np.column_stack([starts[:, axis], ends[:, axis]])
        lying = np.flatnonzero((np.abs(both - bounds[bound]) <= _ON_SIDE_MM).all(axis=1) & real)
        if len(lying) == 1:
            named[side] = made[int(lying[0])]
    counted = zip(numbers, made, real.tolist(), strict=True)
    return named | {f"{_NUMBERED}{number}": edge for number, edge, kept in counted if kept}
