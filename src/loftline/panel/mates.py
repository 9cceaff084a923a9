"""Both halves of a closure: the sides they stand out on, and what is in their way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
import shapely
from shapely import MultiLineString, Polygon

from loftline.errors import Finding
from loftline.geometry import place
from loftline.panel.closed_bag import ClosedBag
from loftline.project import HardwareSpec, MateSpec
from loftline.trade.hardware import HardwareKind
from loftline.units import format_length
from loftline.values import Area, KeepOut, Piece, Sits

FACE_UP: Final = "marked face up"
FACE_DOWN: Final = "marked face down"

_SAME_MM = 1e-6


def meeting(
    piece: Piece, mate: Piece, spec: HardwareSpec, kind: HardwareKind | None, bag: ClosedBag
) -> tuple[Piece, Piece]:
    """Both halves on the sides that touch in the closed bag, and magnets the right way up.

    A snap's halves stand out on facing sides unless the file says otherwise; magnets sewn in
    are hidden twice, with poles that face (reference 33a).
    """
    own = spec.mate if isinstance(spec.mate, MateSpec) else None
    sides = _facing_sides(piece, mate, bag)
    stands = kind is not None and kind.sits == "above" and spec.sits != "inside"
    if stands and sides is not None:
        piece = replace(piece, sits=spec.sits or sides[0])
        mate = replace(mate, sits=sides[1])
    if own is not None:
        mate = replace(mate, sits=own.sits or mate.sits, fitted=own.fitted or mate.fitted)
    if piece.magnetic and piece.sits == mate.sits == "inside" and sides is not None:
        alike = sides[0] != sides[1]  # one over the other, both the same way round
        piece = replace(piece, face_up=FACE_UP)
        mate = replace(mate, face_up=FACE_UP if alike else FACE_DOWN)
    return piece, mate


def sides_that_part(pieces: Sequence[Piece], bag: ClosedBag) -> list[Finding]:
    """A warning for every closure whose halves stand out on sides that do not touch."""
    by_name = {piece.name: piece for piece in pieces if piece.mate_of is None}
    findings = []
    for mate in pieces:
        piece = by_name.get(mate.mate_of or "")
        sides = None if piece is None else _facing_sides(piece, mate, bag)
        if piece is None or sides is None:
            continue
        wrong = [
            f'"{half.name}" should sit {side}, not {half.sits}'
            for half, side in zip((piece, mate), sides, strict=True)
            if half.sits not in ("inside", side)
        ]
        if not wrong or piece.fitted == "before quilting" == mate.fitted:
            continue
        findings.append(
            Finding(
                code="halves-apart",
                severity="warning",
                where=f"{piece.name} at {place(piece.at)} and {place(mate.at)}",
                message=f'"{piece.name}" and "{mate.name}" do not touch in the closed bag: '
                + " and ".join(wrong),
                remedy="take sits out, and each half stands out on the side that faces the other",
            )
        )
    return findings


def mates_in_the_way(
    pieces: Sequence[Piece],
    zones: Sequence[KeepOut],
    outline: Polygon,
    finished: Area,
) -> list[Finding]:
    """An error for each other half in a seam allowance, under a label or near another piece.

    Two other halves count only where their first halves, which the maker placed, lie farther
    apart.
    """
    findings = []
    sewn = finished.buffer(_SAME_MM)
    drawn = [zone for zone in zones if not zone.hardware]
    things: list[KeepOut | Piece] = [*drawn, *pieces]
    areas = np.array([thing.outline for thing in things], dtype=object)
    clearance = np.array([thing.clearance for thing in things])
    number = {piece.name: i for i, piece in enumerate(pieces, len(drawn)) if piece.mate_of is None}
    tree = shapely.STRtree(areas)
    widest = float(clearance.max(initial=0.0))
    for k, mate in enumerate(pieces):
        if mate.mate_of is None:
            continue
        where = f"{mate.name} at {place(mate.at)}"
        if outline.covers(mate.outline) and not sewn.covers(mate.outline):
            findings.append(
                Finding(
                    code="mate-in-seam-allowance",
                    severity="error",
                    where=where,
                    message=f'the other half of "{mate.mate_of}" would lie in the seam allowance',
                    remedy=f'move "{mate.mate_of}" so that both halves lie inside the seams',
                )
            )
        first = number[mate.mate_of]
        near = np.sort(tree.query(mate.outline, predicate="dwithin", distance=widest))
        for i in near[(near != first) & (near != len(drawn) + k)].tolist():
            thing = things[i]
            apart = float(shapely.distance(mate.outline, thing.outline))
            kept = max(thing.clearance, mate.clearance if isinstance(thing, Piece) else 0.0)
            if apart > max(kept - _SAME_MM, 0):
                continue
            if isinstance(thing, Piece) and thing.mate_of is not None:
                chosen = shapely.distance(areas[first], areas[number[thing.mate_of]])
                if i < len(drawn) + k or chosen <= apart + _SAME_MM:
                    continue
            how = f"{format_length(apart)} from" if apart > 0 else "on"
            findings.append(
                Finding(
                    code="mate-in-the-way",
                    severity="error",
                    where=where,
                    message=f'the other half of "{mate.mate_of}" would lie {how} "{thing.name}"',
                    remedy="move one of the two",
                )
            )
    return findings


def with_distances(pieces: Sequence[Piece], outline: Polygon, seam_allowance: float) -> list[Piece]:
    """The pieces with the distances of their centres from the cut and the finished edge.

    The edge of a hole is bound, not seamed: it is cut and finished edge in one.
    """
    if not pieces:
        return []
    at = shapely.points([piece.at for piece in pieces])
    seamed = shapely.distance(outline.exterior, at)
    bound = shapely.distance(MultiLineString(list(outline.interiors)), at)
    cut, finished = np.fmin(seamed, bound), np.fmin(seamed - seam_allowance, bound)
    return [
        replace(piece, from_cut=float(far), from_finished=float(rest))
        for piece, far, rest in zip(pieces, cut, finished, strict=True)
    ]


def _facing_sides(piece: Piece, mate: Piece, bag: ClosedBag) -> tuple[Sits, Sits] | None:
    """The side of each half's part that faces the other part in the closed bag."""
    one, two = bag.home(piece.at), bag.home(mate.at)
    if one is None or two is None or one == two or not (bag.holds(one) and bag.holds(two)):
        return None
    return bag.facing_sides(one, two)
