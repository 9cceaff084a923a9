"""Holes punched after quilting against the thread that is sewn where they will be."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import scale

from loftline.errors import Finding
from loftline.geometry import place
from loftline.trade.hardware import look_up
from loftline.values import Panel, Piece, Sewn

from .segments import Stitches, count_of


def check_punched(panel: Panel, sewn: Sewn) -> tuple[Finding, ...]:
    """One note for each piece fitted after quilting whose hole would cut sewn thread.

    A stitch is cut when it meets the hole, a tie counts with its stitches. The hole is that
    of the piece's kind (:attr:`loftline.trade.hardware.HardwareKind.hole`). O(p n) at worst
    for p punched pieces; boxes sort out what is far away.
    """
    holes = [(piece, hole) for piece in panel.pieces if (hole := _hole(piece)) is not None]
    if not holes or not len(sewn):
        return ()
    stitches = Stitches.of(sewn)
    ends = stitches.ends(np.ones(len(stitches.first), dtype=bool))
    low, high = ends.min(axis=1), ends.max(axis=1)
    findings = []
    for piece, hole in holes:
        x0, y0, x1, y1 = hole.bounds
        near = (low <= (x1, y1)).all(axis=1) & (high >= (x0, y0)).all(axis=1)
        if not near.any():
            continue
        cut = int(shapely.intersects(hole, shapely.linestrings(ends[near])).sum())
        if cut:
            findings.append(
                Finding(
                    code="hole-cuts-thread",
                    severity="note",
                    where=f"{piece.name} at {place(piece.at)}",
                    message=f'the hole of "{piece.name}", fitted {piece.fitted}, cuts '
                    f"{count_of(cut, 'stitch', 'stitches')}",
                    remedy="secure the thread ends on both sides of the hole before it is "
                    "punched, or move it off the lines",
                )
            )
    return tuple(findings)


def _hole(piece: Piece) -> Polygon | None:
    kind = look_up(piece.kind)
    if kind is None or kind.hole == 0 or piece.fitted == "before quilting":
        return None
    return scale(piece.outline, kind.hole, kind.hole, origin=piece.at)
