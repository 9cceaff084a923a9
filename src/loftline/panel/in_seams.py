"""Hardware that would be in the way of a seam."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import shapely

from loftline.errors import Finding
from loftline.geometry import place
from loftline.trade.hardware import look_up
from loftline.units import Unit, format_length, show
from loftline.values import Area, Piece

_LEAST_MM: Final = 0.5
"""About the width of a chalk line: a piece that reaches no farther lies beside the seam."""


def in_seams(pieces: Sequence[Piece], finished: Area, units: Unit) -> list[Finding]:
    """A warning for each magnet, snap or punched piece that reaches into the seam allowance.

    Rings, buckles, labels and zip ends are left out: they are caught in a seam on purpose. So
    are other halves, whose error stands by itself.

    Args:
        pieces: all hardware of the panel.
        finished: the outline less its seam allowance.
        units: in which the maker reads lengths.
    """
    placed = [piece for piece in pieces if piece.mate_of is None and _hard(piece)]
    if not placed or finished.is_empty:
        return []
    outlines = [piece.outline for piece in placed]
    kept = finished.buffer(_LEAST_MM)
    shapely.prepare(kept)
    caught = ~shapely.covers(kept, outlines)
    findings = []
    for piece in (p for p, is_caught in zip(placed, caught, strict=True) if is_caught):
        corners = shapely.points(shapely.get_coordinates(piece.outline))
        deep = format_length(float(shapely.distance(corners, finished).max()), units)
        findings.append(
            Finding(
                code="piece-in-seam-allowance",
                severity="warning",
                where=f"{piece.name} at {place(piece.at)}",
                message=f"{show(piece.name)} reaches {deep} past the seam line, so it is in the "
                "way of the seam",
                remedy="move it in, unless this edge is bound and not seamed",
            )
        )
    return findings


def _hard(piece: Piece) -> bool:
    kind = look_up(piece.kind)
    punched = kind is not None and kind.hole > 0
    return piece.magnetic or punched or piece.sits == "inside"
