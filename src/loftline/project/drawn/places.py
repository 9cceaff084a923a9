"""Places of a drawing in words."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from shapely import Polygon

from loftline.project.drawn.drawing import Point


def at(point: Iterable[float]) -> str:
    """A place, to a tenth of a millimetre.

    >>> at((3.14, 12))
    '(3.1, 12.0)'
    """
    x, y = point
    return f"({x:.1f}, {y:.1f})"


def pair(point: Iterable[float]) -> Point:
    """Two plain numbers."""
    x, y = point
    return float(x), float(y)


def trouble_of(area: Polygon, shell: Polygon, what: str, verb: str) -> str:
    """What is wrong with an area that is none, with the place."""
    _, _, rest = shapely.is_valid_reason(area).partition("[")
    if not rest:
        return f"{what} holds no area"
    spot = np.array([float(number) for number in rest.rstrip("]").split()])
    corner = np.array(shell.bounds[:2])
    return f"{what} {verb} at {at(spot - corner)} mm from the outline's lower left corner"
