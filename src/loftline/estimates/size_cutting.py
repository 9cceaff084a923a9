"""The cutting list of a bag in several sizes: all their pieces on the same cloth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from loftline.project import CuttingSpec, Project
from loftline.values import Cloth, CutPiece, CuttingList, Layout, Material, Panel

from .cut_pieces import PANEL_NAMES, cut_pieces
from .cutting import (
    MATERIALS,
    MOST_AT_ONCE,
    laid_cloth,
    layouts_of,
    length_of,
    size_of,
    too_large,
)
from .packing import fits, least_length

_NAMES = frozenset(PANEL_NAMES.values())


def size_cutting(
    sizes: Sequence[tuple[str, Project, Panel]], allowed: Sequence[float] = ()
) -> CuttingList:
    """What is cut for all bags of all sizes.

    The pieces of all sizes are laid out together, a set of bags at a time where their numbers
    have a common divisor; and size by size, one after the other. What takes less cloth is kept.
    With more than 96 pieces in a set only the second is tried.

    Args:
        sizes: name, project and panel of each; all else about the cutting is that of the first.
        allowed: percent by which each panel is drawn larger for the draw-in; by default none.

    Returns:
        Pieces named by their size where sizes differ; those that are alike in all are counted
        together.
    """
    project = sizes[0][1]
    cutting = project.cutting or CuttingSpec()
    own = [
        _pieces(name, project, panel, percent)
        for (name, project, panel), percent in zip(
            sizes, allowed or [0.0] * len(sizes), strict=True
        )
    ]
    copies = [project.copies for _, project, _ in sizes]
    cloths = tuple(
        _cloth(project, cutting, material, [_of(pieces, material) for pieces in own], copies)
        for material in MATERIALS
        if any(_of(pieces, material) for pieces in own)
    )
    findings = [too_large(project, cloth, piece) for cloth in cloths for piece in cloth.too_large]
    return CuttingList(bags=sum(copies), gap=cutting.gap, cloths=cloths, findings=tuple(findings))


def _pieces(name: str, project: Project, panel: Panel, allowed: float) -> list[CutPiece]:
    """The pieces of one size; the panel's own carry its name."""
    found = cut_pieces(project, panel, project.cutting or CuttingSpec(), allowed=allowed)
    return [
        replace(piece, name=f"{piece.name}, {name}") if piece.name in _NAMES else piece
        for piece in found
    ]


def _of(pieces: Sequence[CutPiece], material: Material) -> list[CutPiece]:
    return [piece for piece in pieces if piece.material == material]


def _cloth(
    project: Project,
    cutting: CuttingSpec,
    material: Material,
    own: Sequence[Sequence[CutPiece]],
    copies: Sequence[int],
) -> Cloth:
    width: float = getattr(cutting.cloth_width, material)
    turning = material not in cutting.one_way
    merged = _merged([piece for pieces in own for piece in pieces])
    fit = [piece for piece in merged if fits(size_of(piece), width, turning=turning)]
    places = {_key(piece): i for i, piece in enumerate(fit)}

    def laid(pieces: Sequence[CutPiece], bags: int, each: int = 1) -> list[Layout]:
        """Layouts whose places speak of the merged pieces; ``each`` bags in a set."""
        known = [piece for piece in pieces if _key(piece) in places]
        found = layouts_of(known, width, cutting.gap, bags, turning=turning)
        index = [places[_key(piece)] for piece in known]
        return [
            replace(
                layout,
                bags=layout.bags * each,
                places=tuple(replace(p, piece=index[p.piece]) for p in layout.places),
            )
            for layout in found
        ]

    sets = math.gcd(*copies)
    one_set = [replace(piece, count=piece.in_all // sets) for piece in fit]
    apart = [
        layout for pieces, bags in zip(own, copies, strict=True) for layout in laid(pieces, bags)
    ]
    layouts = apart
    if sum(piece.count for piece in one_set) <= MOST_AT_ONCE:
        together = laid(one_set, sets, sum(copies) // sets)
        layouts = min(together, apart, key=lambda found: length_of(found, cutting.gap))
    rectangles = [size_of(piece) for piece in one_set for _ in range(piece.count)]
    left = [piece for piece in merged if piece not in fit]
    least = least_length(rectangles, width, cutting.gap, turning=turning, times=sets)
    return laid_cloth(project, cutting, material, fit, left, layouts, least)


def _merged(pieces: Sequence[CutPiece]) -> list[CutPiece]:
    """Pieces that are alike counted together."""
    found: dict[tuple[object, ...], CutPiece] = {}
    for piece in pieces:
        before = found.get(_key(piece))
        more = 0 if before is None else before.in_all
        found[_key(piece)] = replace(piece, in_all=piece.in_all + more)
    return list(found.values())


def _key(piece: CutPiece) -> tuple[object, ...]:
    return piece.name, round(piece.width, 6), round(piece.height, 6)
