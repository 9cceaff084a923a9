"""Where a step may lie: within what may be sewn, across no line and no fold closed to travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from loftline.geometry import strokes
from loftline.runs.barred import barred_by_folds
from loftline.runs.ends import MERGE_MM
from loftline.runs.facing import Curves
from loftline.values import Bools, Floats, Ints, Panel

_INSET_MM = 1e-3
_STRAY_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where a step may lie.

    Attributes:
        panel: for its ways and folds.
        sewable: where the needle may go.
        tree: the lines' strokes.
        farthest: no step is longer.
    """

    panel: Panel
    sewable: shapely.Geometry
    tree: shapely.STRtree
    farthest: float

    @classmethod
    def of(cls, panel: Panel, lines: Curves, farthest: float) -> Ground:
        """The ground of a panel and the lines on it."""
        sewable = shapely.buffer(panel.sewable, _STRAY_MM)
        shapely.prepare(sewable)
        owner = np.repeat(np.arange(len(lines)), np.diff(lines.starts))
        inner = np.flatnonzero(owner[1:] == owner[:-1])
        tree = shapely.STRtree(strokes(lines.points[inner], lines.points[inner + 1]))
        return cls(panel=panel, sewable=sewable, tree=tree, farthest=farthest)

    def allows(self, a: Floats, b: Floats) -> Bools:
        """Whether the straight steps from ``a`` to ``b`` may be sewn."""
        length = np.hypot(*(b - a).T)
        good = (length >= MERGE_MM) & (length <= self.farthest)
        k = np.flatnonzero(good)
        drawn = strokes(a[k], b[k])
        inset = ((b - a)[k].T * (_INSET_MM / length[k])).T
        inner = strokes(a[k] + inset, b[k] - inset)
        fine = shapely.covers(self.sewable, drawn)
        fine &= ~barred_by_folds(self.panel, drawn)
        fine[self.tree.query(inner, predicate="intersects")[0]] = False
        good[k] = fine
        return np.asarray(good)

    def may_travel(self, curve: Ints, along: Floats, curves: Curves) -> Bools:
        """Whether the needle may travel at places on curves, where these are ways.

        Args:
            curve: ``(k,)``.
            along: ``(k,)``.
            curves: lines and then the panel's ways.
        """
        ways = self.panel.ways
        out = np.ones(len(curve), bool)
        first = len(curves) - (len(ways.starts) - 1)
        at = np.flatnonzero(curve >= first)
        if len(at):
            piece = curves.piece(curve[at], along[at]) - int(curves.starts[first])
            out[at] = ways.open[piece]
        return out
