"""How long the named edges of a panel are, for the seams that run along them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import shapely
from shapely import Polygon

from loftline.errors import Fault
from loftline.panel.edges import find_edge
from loftline.panel.shape import Shape
from loftline.project import SeamSpec
from loftline.trade.usual_seams import OUTLINE
from loftline.values import Floats


def edge_lengths(shape: Shape) -> Mapping[str, float]:
    """Millimetres of each named edge, and of the whole outline with its holes.

    An edge that bends, such as a side with rounded corners, has all of the outline that faces
    its way more than any other edge's, so such edges share the outline between them.
    """
    outline = shape.outline
    bent = [name for name, edge in shape.edges.items() if edge.length is None]
    inward = np.array([shape.edges[name].inward for name in bent]).reshape(-1, 2)
    found = {OUTLINE: float(shapely.length(shapely.boundary(outline)))}
    found |= {name: edge.length for name, edge in shape.edges.items() if edge.length is not None}
    found |= dict(zip(bent, _facing(outline, inward).tolist(), strict=True))
    return found | dict(shape.lengths)


def _facing(outline: Polygon, inward: Floats) -> Floats:
    """Length of the outer ring that faces each of some ways most."""
    if not len(inward):
        return np.empty(0)
    ring = shapely.get_coordinates(outline.exterior)
    step = np.diff(ring, axis=0)
    around = 1.0 if outline.exterior.is_ccw else -1.0
    square = np.column_stack([-step[:, 1], step[:, 0]]) * around
    nearest = (square @ inward.T).argmax(axis=1)
    return np.bincount(nearest, np.hypot(*step.T), len(inward)).astype(np.float64)


def check_seams(seams: Iterable[SeamSpec], shape: Shape, faults: list[Fault]) -> None:
    """A fault for each edge that a seam names and the shape has not."""
    for i, seam in enumerate(seams):
        for j, name in enumerate(seam.edges or ()):
            if name != OUTLINE:
                find_edge(name, shape.edges, f"seams[{i}].edges[{j}]", faults)
