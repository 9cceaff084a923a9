"""The cutting list as a maker reads it, in the units of her project file."""

from __future__ import annotations

from collections.abc import Iterator

from loftline.trade.cloths import buy_words, cloth_length, cloth_title, cut_size
from loftline.units import Unit, format_length
from loftline.values import Cloth, CutPiece, CuttingList


def cutting_rows(cutting: CuttingList, units: Unit) -> list[tuple[str, str]]:
    """Names and values of the cutting list's table: cloth by cloth, its pieces below it."""
    return [row for cloth in cutting.cloths for row in _cloth_rows(cloth, cutting, units)]


def cutting_words(cutting: CuttingList, units: Unit) -> str:
    """How the figures of the table are meant."""
    apart = format_length(cutting.gap, units)
    return (
        "Sizes are as cut, width by height along the cloth; pieces lie at least "
        f"{apart} apart, and nothing is added for shrinking or for faults in the cloth."
    )


def _cloth_rows(cloth: Cloth, cutting: CuttingList, units: Unit) -> Iterator[tuple[str, str]]:
    usable = f"{format_length(cloth.width, units)} wide"
    bags = "1 bag" if cutting.bags == 1 else f"{cutting.bags:,} bags"
    if cloth.pieces:
        value = (
            f"buy {buy_words(cloth.to_buy, units)} of cloth {usable}, for {bags}: the layout takes "
            f"{cloth_length(cloth.length, units)}, no layout less than "
            f"{cloth_length(cloth.least_length, units)}; {cloth.waste:.0%} is waste"
        )
    else:
        value = f"nothing fits on cloth {usable}"
    yield cloth_title(cloth.material, cloth.kind), value
    for piece in cloth.pieces:
        yield f"  {piece.name}", piece_words(piece, cutting.bags, units)
    for piece in cloth.too_large:
        words = piece_words(piece, cutting.bags, units)
        yield f"  {piece.name}", f"{words}; wider than the cloth, left out"


def piece_words(piece: CutPiece, bags: int, units: Unit) -> str:
    """Size and number of a piece.

    >>> panel = CutPiece(
    ...     name="panel", material="foam", width=300, height=460, count=1, in_all=12)
    >>> piece_words(panel, 12, "mm").split(", ")[1:]
    ['1 a bag', '12 in all']
    """
    size = cut_size(piece.width, piece.height, units)
    count = f"{piece.count:,} a bag" + (f", {piece.in_all:,} in all" if bags > 1 else "")
    return f"{size}, {count}"
