"""Places as makers give them: from zero, in from an edge, from two edges, in a row."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from loftline.errors import Fault
from loftline.panel.edges import find_edge
from loftline.panel.rows import NoRowError, row_places
from loftline.panel.shape import Shape, between
from loftline.project import EdgePlace, EdgeRow
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
    if isinstance(at.from_, str):
        edge = find_edge(at.from_, shape.edges, f"{where}.from", faults)
        return None if edge is None else edge.inside(_one(at.distance))
    first, second = (find_edge(name, shape.edges, f"{where}.from", faults) for name in at.from_)
    if first is None or second is None:
        return None
    far = at.distance if isinstance(at.distance, tuple) else (at.distance, at.distance)
    at_both = between(first, second, far)
    if at_both is None:
        says = f'"{at.from_[0]}" and "{at.from_[1]}" run the same way; name two that meet'
        faults.append(Fault(where=f"{where}.from", message=says))
    return at_both


def _fresh(name: str, taken: set[str]) -> Iterator[str]:
    return (word for n in itertools.count(1) if (word := f"{name} {n}") not in taken)


def _one(distance: float | tuple[float, float]) -> float:
    return distance[0] if isinstance(distance, tuple) else distance
