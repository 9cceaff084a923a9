"""The cutting list in the JSON document."""

from __future__ import annotations

from loftline.values import Cloth, CutPiece, CuttingList, Layout

DECIMALS = 2
"""Lengths are told to a hundredth of a millimetre."""

Json = dict[str, object]


def cutting_document(cutting: CuttingList) -> Json:
    """What ``report.cutting`` holds; millimetres."""
    return {
        "bags": cutting.bags,
        "gap": round(cutting.gap, DECIMALS),
        "cloths": [_cloth(cloth) for cloth in cutting.cloths],
    }


def _cloth(cloth: Cloth) -> Json:
    return {
        "material": cloth.material,
        "kind": cloth.kind,
        "width": round(cloth.width, DECIMALS),
        "one_way": cloth.one_way,
        "pieces": [_piece(piece) for piece in cloth.pieces],
        "too_large": [_piece(piece) for piece in cloth.too_large],
        "layouts": [_layout(layout) for layout in cloth.layouts],
        "length": round(cloth.length, DECIMALS),
        "to_buy": round(cloth.to_buy, DECIMALS),
        "least_length": round(cloth.least_length, DECIMALS),
        "waste": round(cloth.waste, 4),
    }


def _piece(piece: CutPiece) -> Json:
    return {
        "name": piece.name,
        "width": round(piece.width, DECIMALS),
        "height": round(piece.height, DECIMALS),
        "count": piece.count,
        "in_all": piece.in_all,
    }


def _layout(layout: Layout) -> Json:
    return {
        "bags": layout.bags,
        "times": layout.times,
        "length": round(layout.length, DECIMALS),
        "places": [
            {
                "piece": place.piece,
                "x": round(place.x, DECIMALS),
                "y": round(place.y, DECIMALS),
                "width": round(place.width, DECIMALS),
                "height": round(place.height, DECIMALS),
                "turned": place.turned,
            }
            for place in layout.places
        ],
    }
