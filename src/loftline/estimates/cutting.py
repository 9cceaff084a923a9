"""The cutting list: what is cut from which cloth, how it is laid out, how much to buy."""

from __future__ import annotations

import math
from collections.abc import Sequence

from loftline.errors import Finding
from loftline.project import CuttingSpec, Project
from loftline.trade.cloths import CLOTH_WORDS, cut_size, step_of, to_buy
from loftline.units import MM_PER_INCH, format_length
from loftline.values import Cloth, CutPiece, CutPlace, CuttingList, Layout, Material, Panel

from .cut_pieces import cut_pieces, oversize
from .packing import Packed, Size, fits, least_length, pack

MOST_AT_ONCE = 96
"""Pieces of one layout; with more of them a layout of fewer bags is laid several times."""

_TRIED = 2
"""Numbers of bags below the greatest that are tried in one layout."""

MATERIALS: tuple[Material, ...] = ("outer", "foam", "lining")


def cutting_list(project: Project, panel: Panel, *, allowed: float = 0.0) -> CuttingList:
    """What is cut for all bags, laid out on each cloth.

    Args:
        project: its ``[cutting]`` table (the usual values when it has none), layers, copies.
        panel: its outline, overhang and seam allowance.
        allowed: percent by which the panel is drawn larger for the draw-in.

    Returns:
        Pieces, layouts, lengths to buy, and findings: a piece that does not fit on its cloth
        is left out of the layout and told. The same project gives the same list.
    """
    cutting = project.cutting or CuttingSpec()
    pieces = tuple(cut_pieces(project, panel, cutting, allowed=allowed))
    cloths = tuple(
        _cloth(project, cutting, material, [p for p in pieces if p.material == material])
        for material in MATERIALS
        if any(piece.material == material for piece in pieces)
    )
    findings = [too_large(project, cloth, piece) for cloth in cloths for piece in cloth.too_large]
    return CuttingList(
        bags=project.copies,
        gap=cutting.gap,
        cloths=cloths,
        findings=(*findings, *oversize(project, panel, allowed=allowed)),
    )


def _cloth(
    project: Project, cutting: CuttingSpec, material: Material, pieces: Sequence[CutPiece]
) -> Cloth:
    width: float = getattr(cutting.cloth_width, material)
    turning = material not in cutting.one_way
    fit = [piece for piece in pieces if fits(size_of(piece), width, turning=turning)]
    layouts = layouts_of(fit, width, cutting.gap, project.copies, turning=turning)
    rectangles = [size_of(piece) for piece in fit for _ in range(piece.count)]
    left = [piece for piece in pieces if piece not in fit]
    least = least_length(rectangles, width, cutting.gap, turning=turning, times=project.copies)
    return laid_cloth(project, cutting, material, fit, left, layouts, least)


def laid_cloth(
    project: Project,
    cutting: CuttingSpec,
    material: Material,
    fit: Sequence[CutPiece],
    left: Sequence[CutPiece],
    layouts: Sequence[Layout],
    least: float,
) -> Cloth:
    """A cloth with its layouts, their length and what it wastes.

    Args:
        project: kind of the cloth, units.
        cutting: widths and the gap.
        material: which cloth it is.
        fit: pieces that are laid out.
        left: pieces too large for it.
        layouts: from :func:`layouts_of`.
        least: no layout of these pieces is shorter, mm.
    """
    width: float = getattr(cutting.cloth_width, material)
    length = length_of(layouts, cutting.gap)
    covered = sum(piece.width * piece.height * piece.in_all for piece in fit)
    return Cloth(
        material=material,
        kind=kind_of(project, material),
        width=width,
        one_way=material in cutting.one_way,
        pieces=tuple(fit),
        too_large=tuple(left),
        layouts=tuple(layouts),
        length=length,
        to_buy=to_buy(length, step_of(project.units)),
        least_length=least,
        waste=1 - covered / (width * length) if length else 0.0,
    )


def length_of(layouts: Sequence[Layout], gap: float) -> float:
    """Cloth that layouts take one after the other, gaps between them counted in, mm."""
    laid = sum(layout.times for layout in layouts)
    length = sum(layout.times * layout.length for layout in layouts)
    return length + max(0, laid - 1) * gap


def layouts_of(
    pieces: Sequence[CutPiece], width: float, gap: float, bags: int, *, turning: bool
) -> tuple[Layout, ...]:
    """Layouts that hold the pieces of all bags; large batches repeat one of several bags."""
    if not pieces:
        return ()
    for_one = sum(piece.count for piece in pieces)
    most = min(bags, max(1, MOST_AT_ONCE // for_one))
    packed = {most: _pack(pieces, most, width, gap, turning=turning)}
    if most < bags:
        # of the larger layouts the one that takes least cloth for a bag
        for count in range(max(1, most - _TRIED), most):
            packed[count] = _pack(pieces, count, width, gap, turning=turning)
        most = min(packed, key=lambda count: ((packed[count].length + gap) / count, -count))
    times, rest = divmod(bags, most)
    layouts = [_layout(pieces, packed[most], most, times)]
    if rest:
        last = packed.get(rest) or _pack(pieces, rest, width, gap, turning=turning)
        layouts.append(_layout(pieces, last, rest, 1))
    return tuple(layouts)


def _pack(
    pieces: Sequence[CutPiece], bags: int, width: float, gap: float, *, turning: bool
) -> Packed:
    sizes = [size_of(pieces[i]) for i in _each(pieces, bags)]
    return pack(sizes, width, gap, turning=turning)


def _each(pieces: Sequence[CutPiece], bags: int) -> list[int]:
    """Index of the piece for every rectangle of a layout."""
    return [i for i, piece in enumerate(pieces) for _ in range(piece.count * bags)]


def _layout(pieces: Sequence[CutPiece], packed: Packed, bags: int, times: int) -> Layout:
    places = []
    for i, spot in zip(_each(pieces, bags), packed.spots, strict=True):
        size = size_of(pieces[i]).over() if spot.turned else size_of(pieces[i])
        place = CutPlace(
            piece=i,
            x=spot.x,
            y=spot.y,
            width=size.width,
            height=size.height,
            turned=spot.turned,
        )
        places.append(place)
    places.sort(key=lambda place: (place.y, place.x))
    return Layout(bags=bags, times=times, length=packed.length, places=tuple(places))


def size_of(piece: CutPiece) -> Size:
    """Its width and height."""
    return Size(piece.width, piece.height)


def kind_of(project: Project, material: Material) -> str:
    """The maker's word for the cloth; she has none for the lining."""
    layers = {"outer": project.layers.outer, "foam": project.layers.foam}
    layer = layers.get(material)
    return "" if layer is None else layer.kind


def too_large(project: Project, cloth: Cloth, piece: CutPiece) -> Finding:
    """A piece that does not fit on its cloth."""
    unit, word = project.units, CLOTH_WORDS[cloth.material]
    size = cut_size(piece.width, piece.height, unit)
    turned = "" if min(piece.width, piece.height) > cloth.width else ", and is not to be turned"
    least = piece.width if cloth.one_way else min(piece.width, piece.height)
    return Finding(
        code="piece-wider-than-cloth",
        severity="warning",
        where=f"cutting.cloth_width.{cloth.material}",
        message=f'"{piece.name}" is {size}, the {word} only {format_length(cloth.width, unit)} '
        f"wide{turned}: it is left out of the layout and of the length to buy",
        remedy=f"take {word} at least {_at_least(least, project)} wide, "
        "or cut the piece in two and join it",
    )


def _at_least(mm: float, project: Project) -> str:
    """Rounded up to a millimetre or 1/4 in, so that what is told is never too little."""
    step = MM_PER_INCH / 4 if project.units == "in" else 1.0
    return format_length(math.ceil(round(mm / step, 9)) * step, project.units)
