"""What the ways to draw a dart have in common."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon

from loftline.units import Unit, format_length
from loftline.values import Floats


class Refused(Exception):  # noqa: N818 - never leaves the panel
    """A dart that cannot be: the key, and one sentence."""

    def __init__(self, key: str, says: str) -> None:
        self.key, self.says = key, says
        super().__init__(says)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A wedge as it is meant, before it is fitted to the outline.

    Attributes:
        path: ``(k, 2)`` from one end on the edge over the tip to the other end.
        wedge: what lies between the legs; it may hang over the edge.
        key: the key to name when it does not fit.
        tip: number of the tip in ``path``; by default what lies farthest from its open side.
        boxed: depth of the bag at a boxed corner, mm.
    """

    path: Floats
    wedge: Polygon
    key: str
    tip: int | None = None
    boxed: float | None = None


def shown(length: float, units: Unit) -> str:
    """A length in a sentence."""
    return format_length(length, units)
