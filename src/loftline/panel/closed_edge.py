"""An edge or fold by its name, such as the one that some sewing orders begin at."""

from __future__ import annotations

import math

from loftline.errors import Fault
from loftline.panel.edges import find_edge
from loftline.panel.shape import Edge, Shape
from loftline.values import ClosedEdge


def closed_edge(name: str | None, shape: Shape, faults: list[Fault]) -> ClosedEdge | None:
    """The edge or fold of a name, with which way leads inward; a fault when there is none.

    Args:
        name: as ``quilting.from_edge`` gives it.
        shape: with its edges and folds.
        faults: gains one where nothing is called so.
    """
    if name is None:
        return None
    edge = edge_or_fold(name, shape, "quilting.from_edge", faults)
    if edge is None:
        return None
    fold_meant = name not in shape.edges
    return ClosedEdge(name=name, at=edge.at, inward=edge.inward, both_sides=fold_meant)


def edge_or_fold(name: str, shape: Shape, where: str, faults: list[Fault]) -> Edge | None:
    """The edge of a name, or else the fold; ``None``, with a fault added, when there is none."""
    folds = {}
    for fold in shape.folds:
        (x0, y0), (x1, y1) = fold.start, fold.end
        far = math.hypot(x1 - x0, y1 - y0)
        square = ((y0 - y1) / far, (x1 - x0) / far)
        folds[fold.name] = Edge(at=((x0 + x1) / 2, (y0 + y1) / 2), inward=square, length=far)
    return find_edge(name, {**folds, **shape.edges}, where, faults)
