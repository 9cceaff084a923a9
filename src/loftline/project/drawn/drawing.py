"""What a drawing is read into, and what is asked of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    from shapely import Polygon

Point = tuple[float, float]
DrawnUnit = Literal["mm", "cm", "in"]


class Refusal(Exception):  # noqa: N818 - an answer; never leaves the project package
    """A drawing that cannot be read: the key it is about, and one sentence."""

    def __init__(self, key: str, says: str) -> None:
        self.key = key
        self.says = says
        super().__init__(says)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which layer or id of the drawing holds what; ``None`` where none was named.

    Attributes:
        unit: unit of the drawing's numbers, ``None`` to believe the file.
    """

    outline: str | None = None
    holes: str | None = None
    folds: str | None = None
    keep_outs: str | None = None
    parts: str | None = None
    unit: DrawnUnit | None = None

    def layers(self) -> dict[str, str]:
        """Names by key, of those that are given."""
        keys = ("outline", "holes", "folds", "keep_outs", "parts")
        given = ((key, getattr(self, key)) for key in keys)
        return {key: name for key, name in given if name is not None}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """A line of the drawing in mm, y up.

    Attributes:
        points: ``(n, 2)``; a closed one does not repeat its first point.
        own: its own name or id, empty when it has none.
        names: all names it answers to: its own, and those of the groups and layers around it.
        layer: the innermost layer or named group it lies in; empty outside all.
    """

    points: npt.NDArray[np.float64]
    closed: bool
    own: str
    names: tuple[str, ...]
    layer: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """All lines of a drawing.

    Attributes:
        ignored: how many of what was left out, by plain word (one, several).
        unit: where the unit comes from, as the rest of a sentence.
    """

    strokes: tuple[Stroke, ...]
    ignored: Mapping[tuple[str, str], int]
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFold:
    """A straight fold line."""

    name: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnZone:
    """A named area: a keep-out or a part."""

    name: str
    area: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What was found in a drawing, in mm from the lower left corner of the outline's box.

    Attributes:
        found: what was found, one sentence.
        ignored: what was left out, one sentence, empty when nothing was.
        data: the file itself.
    """

    name: str
    outline: Polygon
    folds: tuple[DrawnFold, ...]
    keep_outs: tuple[DrawnZone, ...]
    parts: tuple[DrawnZone, ...]
    found: str
    ignored: str
    data: bytes = field(repr=False)
