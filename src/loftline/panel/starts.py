"""Where the lines of each quilting design start."""

from __future__ import annotations

from collections.abc import Sequence

from loftline.errors import Fault
from loftline.panel.closed_edge import edge_or_fold
from loftline.panel.places import place_of
from loftline.panel.shape import Shape
from loftline.project import FillSpec
from loftline.values import Point


def find_starts(
    fills: Sequence[FillSpec], shape: Shape, faults: list[Fault]
) -> tuple[Point | None, ...]:
    """The place that each design starts at, ``None`` for the centre of its part.

    Of an edge or fold that is named its middle is meant: a line along it through there lies on
    it, so the others lie whole spacings from it.

    Args:
        fills: as they are in the file.
        shape: with its edges and folds.
        faults: gains one for each edge that does not exist.
    """
    starts: list[Point | None] = []
    for i, fill in enumerate(fills):
        start, where = fill.start_at, f"fills[{i}].start_at"
        if start == "centre":
            starts.append(None)
        elif isinstance(start, str):
            edge = edge_or_fold(start, shape, where, faults)
            starts.append(None if edge is None else edge.at)
        else:
            starts.append(place_of(start, shape, where, faults))
    return tuple(starts)
