"""Both halves of a closure: the sides they stand out on, and what is in their way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import shapely
from shapely import Polygon

from loftline.errors import Finding
from loftline.geometry import place
from loftline.panel.folding import folded
from loftline.panel.shape import Shape
from loftline.project import HardwareSpec, MateSpec
from loftline.trade.hardware import HardwareKind
from loftline.units import format_length
from loftline.values import KeepOut, Piece, Sits

FACE_UP: Final = "marked face up"
FACE_DOWN: Final = "marked face down"

_SAME_MM = 1e-6


def meeting(
    piece: Piece, mate: Piece, spec: HardwareSpec, kind: HardwareKind | None, shape: Shape
) -> tuple[Piece, Piece]:
    """Both halves on the sides that touch in the closed bag, and magnets the right way up.

    A snap's halves stand out on facing sides unless the file says otherwise; magnets sewn in
    are hidden twice, with poles that face (reference 33a).
    """
    own = spec.mate if isinstance(spec.mate, MateSpec) else None
    sides = _facing_sides(piece, mate, shape)
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


def sides_that_part(pieces: Sequence[Piece], shape: Shape) -> list[Finding]:
    """An error for every closure whose halves stand out on sides that do not touch."""
    by_name = {piece.name: piece for piece in pieces}
    findings = []
    for mate in pieces:
        piece = by_name.get(mate.mate_of or "")
        sides = None if piece is None else _facing_sides(piece, mate, shape)
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
    pieces: Sequence[Piece], zones: Sequence[KeepOut], outline: Polygon, seam_allowance: float
) -> list[Finding]:
    """An error for each other half in a seam allowance, under a label or near another piece."""
    findings = []
    finished = outline.buffer(-seam_allowance, join_style="mitre")
    drawn = [(zone.name, zone.outline, zone.clearance) for zone in zones if not zone.hardware]
    for mate in pieces:
        if mate.mate_of is None:
            continue
        where = f"{mate.name} at {place(mate.at)}"
        if outline.covers(mate.outline) and not finished.buffer(_SAME_MM).covers(mate.outline):
            findings.append(
                Finding(
                    code="mate-in-seam-allowance",
                    severity="error",
                    where=where,
                    message=f'the other half of "{mate.mate_of}" would lie in the seam allowance',
                    remedy=f'move "{mate.mate_of}" so that both halves lie inside the seams',
                )
            )
        # beside another closure's half its first half lies just as near: the maker's choice
        others = [
            (piece.name, piece.outline, max(piece.clearance, mate.clearance))
            for piece in pieces
            if piece.mate_of is None and piece.name != mate.mate_of
        ]
        for name, area, clearance in [*drawn, *others]:
            apart = shapely.distance(mate.outline, area)
            if apart > max(clearance - _SAME_MM, 0):
                continue
            how = f"{format_length(apart)} from" if apart > 0 else "on"
            findings.append(
                Finding(
                    code="mate-in-the-way",
                    severity="error",
                    where=where,
                    message=f'the other half of "{mate.mate_of}" would lie {how} "{name}"',
                    remedy="move one of the two",
                )
            )
    return findings


def with_distances(pieces: Sequence[Piece], outline: Polygon, seam_allowance: float) -> list[Piece]:
    """The pieces with the distances of their centres from the cut and the finished edge."""
    edge = outline.boundary
    cut = [float(shapely.distance(edge, shapely.Point(piece.at))) for piece in pieces]
    return [
        replace(piece, from_cut=far, from_finished=far - seam_allowance)
        for piece, far in zip(pieces, cut, strict=True)
    ]


def _facing_sides(piece: Piece, mate: Piece, shape: Shape) -> tuple[Sits, Sits] | None:
    """The side of each half's part that touches the other part in the closed bag."""
    places = folded(shape.parts, shape.folds)
    found = [
        next(
            (places[p.name] for p in shape.parts if p.name in places and p.area.covers(spot)), None
        )
        for spot in (shapely.Point(piece.at), shapely.Point(mate.at))
    ]
    one, two = found
    if one is None or two is None:
        return None
    if one[0].turned_over != two[0].turned_over:
        return ("below", "below")  # linings face
    # of two parts the same way round, the one closed later lies outside on the front, and
    # behind the one nearer the root
    outside = one[1] > two[1] if one[0].turned_over else one[1] < two[1]
    return ("below", "above") if outside else ("above", "below")
