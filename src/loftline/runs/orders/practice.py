"""What a habit needs to know besides the lines: the machine's room, its bar, the closed edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import reach_leftward
from loftline.values import ClosedEdge, Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """How the maker sews.

    Sides are those of the maker at the machine. She sees the needle come towards her over
    the panel, so her right lies at the left of the direction in which a line is sewn.

    Attributes:
        closed_edge: where the order "from an edge" begins.
        bar_right: whether the guide bar follows the last line at the right of the needle.
        throat: room between needle and pillar, at her right, mm; ``None`` for no limit.
        corners: ``(k, 2)`` of the panel as it is quilted, overhang included.
        outer_down: whether the panel lies outer fabric down, so that all sides change places.
    """

    closed_edge: ClosedEdge | None = None
    bar_right: bool = True
    throat: float | None = None
    corners: Floats | None = None
    outer_down: bool = False

    def beyond(self, at: Floats, towards: Floats) -> Floats:
        """How far the panel reaches beyond what the throat holds, mm; 0 where it fits.

        Args:
            at: ``(m, 2)`` places of the needle.
            towards: ``(m, 2)`` unit vectors in which it sews there.
        """
        if self.throat is None or self.corners is None or not len(at):
            return np.zeros(len(at))
        way = -towards if self.outer_down else towards
        over: Floats = np.maximum(reach_leftward(self.corners, at, way) - self.throat, 0.0)
        return over
