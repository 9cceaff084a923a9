"""What lies under another part when the bag is closed, and so is not seen."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from loftline.errors import Finding
from loftline.geometry import only_polygons, place, pole
from loftline.panel.closed_bag import ClosedBag
from loftline.units import show
from loftline.values import Area, KeepOut, Piece

_PLAIN_WORDS = ("front", "back", "flap", "side", "base")

_MOST_TOLD = 3
"""Of one kind under one part: a row of eyelets is told in one sentence."""

_LEAST_SHARE = 0.01
_WHOLE_SHARE = 0.99
"""A sliver less than a hundredth is neither covered nor seen."""


def under_parts(bag: ClosedBag, pieces: Sequence[Piece], zones: Sequence[KeepOut]) -> list[Finding]:
    """A note for each label, and each piece that stands above, that another part covers.

    Both halves of a closure are left out: they are there to be covered.

    Args:
        bag: the closed bag.
        pieces: all hardware.
        zones: keep-outs; those that are no hardware are taken to show, as a label does.
    """
    if len(bag.moves) < 2:
        return []
    closures = {piece.mate_of for piece in pieces if piece.mate_of is not None}
    things: list[tuple[str, str, Area]] = [
        (piece.name, piece.kind, piece.outline)
        for piece in pieces
        if piece.sits == "above" and piece.mate_of is None and piece.name not in closures
    ]
    things += [(zone.name, zone.name, zone.outline) for zone in zones if not zone.hardware]
    told: dict[tuple[str, str, str], list[tuple[str, Area]]] = {}
    for name, kind, area in things:
        under = _under(bag, area)
        if under is not None:
            told.setdefault((kind, *under), []).append((name, area))
    return [note for key, covered in told.items() for note in _notes(key[1], key[2], covered)]


def _under(bag: ClosedBag, area: Area) -> tuple[str, str] | None:
    """How much of a thing is covered, and by which parts, in words."""
    hidden = 0.0
    names: list[str] = []
    for part in bag.moves:
        here = only_polygons(shapely.intersection(bag.areas[part], area))
        covering = [] if here.is_empty else bag.covering(part, here)
        if covering:
            hidden += shapely.area(shapely.union_all([shared for _, shared in covering]))
            names += [name for name, _ in covering]
    share = hidden / shapely.area(area)
    if share < _LEAST_SHARE:
        return None
    return "" if share > _WHOLE_SHARE else "partly ", " and ".join(map(_word, dict.fromkeys(names)))


def _word(part: str) -> str:
    return f"the {part}" if part in _PLAIN_WORDS else f"the part {show(part)}"


def _notes(partly: str, parts: str, covered: Sequence[tuple[str, Area]]) -> list[Finding]:
    if len(covered) > _MOST_TOLD:
        name, area = covered[0]
        said = f"{show(name)} and {len(covered) - 1} more lie"
        return [_note(f"{said} {partly}under {parts}", f"{name} at {place(pole(area))}")]
    return [
        _note(f"{show(name)} lies {partly}under {parts}", f"{name} at {place(pole(area))}")
        for name, area in covered
    ]


def _note(says: str, where: str) -> Finding:
    return Finding(
        code="under-flap",
        severity="note",
        where=where,
        message=f"{says} when the bag is closed",
        remedy="move it where it should be seen; where it need not be, all is well",
    )
