"""Places as makers give them: from zero, in from an edge, from two edges, in a row."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from loftline.errors import Fault
from loftline.panel.edges import find_edge
from loftline.panel.rows import NoRowError, row_places
from loftline.panel.shape import Shape, between
from loftline.project import EdgePlace, EdgeRow
from loftline.units import format_length, show
from loftline.values import Point


def places_of(
    name: str,
    at: Point | EdgePlace | EdgeRow,
    shape: Shape,
    where: str,
    taken: set[str],
    faults: list[Fault],
) -> list[tuple[str, Point]]:
    """Where a piece lies; of a row, each piece with a number behind its name.

    ``taken`` holds the names that are in use and gains those of a row; ``faults`` gains edges
    that do not exist and rows that do not fit.
    """
    if not isinstance(at, EdgeRow):
        place = place_of(at, shape, where, faults)
        return [] if place is None else [(name, place)]
    edge = find_edge(at.along, shape.edges, f"{where}.along", faults)
    if edge is None:
        return []
    try:
        places = row_places(at, edge, shape.outline)
    except NoRowError as error:
        faults.append(Fault(where=f"{where}.{error.key}", message=str(error)))
        return []
    named = list(zip(_fresh(name, taken), places, strict=False))
    taken.update(word for word, _ in named)
    return named


def place_of(at: Point | EdgePlace, shape: Shape, where: str, faults: list[Fault]) -> Point | None:
    """A place on the panel; ``None``, with a fault added, when there is none."""
    if not isinstance(at, EdgePlace):
        return at
    # told here, not while the file is read: so it hides no fault of another place
    edges, far = at.from_, at.distance
    if isinstance(edges, tuple):
        if isinstance(far, tuple):
            return _from_two(edges, far, shape, f"{where}.from", faults)
        listed = " and ".join(show(name) for name in edges)
        says = f"found one, {format_length(far)}, for {listed}; give a list of two"
    elif isinstance(far, tuple):
        listed = " and ".join(format_length(mm) for mm in far)
        says = f"found two, {listed}, for the one edge {show(edges)}; give one distance"
    else:
        edge = find_edge(edges, shape.edges, f"{where}.from", faults)
        return None if edge is None else edge.inside(far)
    faults.append(Fault(where=f"{where}.distance", message=says))
    return None


def _from_two(
    names: tuple[str, str], far: Point, shape: Shape, where: str, faults: list[Fault]
) -> Point | None:
    first, second = (find_edge(name, shape.edges, where, faults) for name in names)
    if first is None or second is None:
        return None
    at_both = between(first, second, far)
    if at_both is None:
        says = f'"{names[0]}" and "{names[1]}" run the same way; name two that meet'
        faults.append(Fault(where=where, message=says))
    return at_both


def _fresh(name: str, taken: set[str]) -> Iterator[str]:
    return (word for n in itertools.count(1) if (word := f"{name} {n}") not in taken)
