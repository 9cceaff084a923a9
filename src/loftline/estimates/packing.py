"""Rectangles on a strip of cloth, the shorter the better.

No quick method finds the shortest layout for sure, so several of the library's are tried in a
fixed order and the shortest of their layouts is kept; :func:`least_length` says how much
shorter any layout could be at most. Sizes are whole millionths of a millimetre there, so that
the library reckons without error: 1/64 in is a whole number of them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import rectpack

from loftline.units import SAME_PLACE_MM

PER_MM = 1_000_000

_MANY = 60
"""Above this many pieces the slower methods are left out."""

_QUICK = (rectpack.SkylineBl, rectpack.SkylineBlWm, rectpack.SkylineMwf)
_THOROUGH = (rectpack.MaxRectsBl, rectpack.MaxRectsBssf)
_ORDERS = (rectpack.SORT_AREA, rectpack.SORT_SSIDE, rectpack.SORT_LSIDE)


class Size(NamedTuple):
    """Width across the cloth and height along it, mm."""

    width: float
    height: float

    def over(self) -> Size:
        """The same turned by 90 degrees."""
        return Size(self.height, self.width)


class Spot(NamedTuple):
    """Where a piece lies: mm across and along the cloth, and whether it is turned."""

    x: float
    y: float
    turned: bool


class Packed(NamedTuple):
    """A layout: the length it takes, and a spot for each size, in their order."""

    length: float
    spots: tuple[Spot, ...]


def fits(size: Size, cloth_width: float, *, turning: bool) -> bool:
    """Whether a piece lies on the cloth at all."""
    across = min(size) if turning else size.width
    return across <= cloth_width + SAME_PLACE_MM


def pack(sizes: Sequence[Size], cloth_width: float, gap: float, *, turning: bool) -> Packed:
    """Lay pieces out on a strip of cloth.

    Each piece takes its gap along with it on two sides, on a strip that is one gap wider.
    Up to 60 pieces O(n^3), then O(n^2). The same sizes give the same layout.

    Args:
        sizes: each of them must fit on the cloth (:func:`fits`).
        cloth_width: mm.
        gap: least distance between two pieces, mm.
        turning: whether pieces may be turned by 90 degrees.

    Returns:
        The shortest layout found.

    >>> pack([Size(40, 20), Size(50, 20)], 100, 10, turning=False)
    Packed(length=20.0, spots=(Spot(x=60.0, y=0.0, turned=False), Spot(x=0.0, y=0.0, turned=False)))
    """
    if not sizes:
        return Packed(0.0, ())
    whole = [(_up(size.width + gap), _up(size.height + gap)) for size in sizes]
    strip = max(_down(cloth_width + gap), *(_least(pair, turning=turning) for pair in whole))
    methods = _QUICK if len(sizes) > _MANY else (*_QUICK, *_THOROUGH)
    best: tuple[int, dict[int, tuple[int, int, int, int]]] | None = None
    # Layouts of unturned pieces are tried too: turning greedily is not always shorter.
    for rotation in (True, False) if turning else (False,):
        if any(not rotation and wide > strip for wide, _ in whole):
            continue
        for method, order in itertools.product(methods, _ORDERS):
            found = _lay(whole, strip, method, order, rotation=rotation)
            end = max(y + high for _, y, _, high in found.values())
            if best is None or end < best[0]:
                best = (end, found)
    assert best is not None  # noqa: S101 - every size fits in one way at least
    spots = tuple(_spot(size, best[1][i], gap) for i, size in enumerate(sizes))
    length = max(
        spot.y + (size.width if spot.turned else size.height)
        for size, spot in zip(sizes, spots, strict=True)
    )
    return Packed(length, spots)


def _lay(
    whole: Sequence[tuple[int, int]], strip: int, method: object, order: object, *, rotation: bool
) -> dict[int, tuple[int, int, int, int]]:
    """One try of the library, by the piece's index: x, y, width, height."""
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=method, sort_algo=order, rotation=rotation
    )
    packer.add_bin(strip, sum(max(pair) for pair in whole))
    for i, (wide, high) in enumerate(whole):
        packer.add_rect(wide, high, i)
    packer.pack()
    return {i: (x, y, wide, high) for _, x, y, wide, high, i in packer.rect_list()}


def _spot(size: Size, found: tuple[int, int, int, int], gap: float) -> Spot:
    x, y, wide, high = found
    turned = (wide, high) != (_up(size.width + gap), _up(size.height + gap))
    return Spot(x / PER_MM, y / PER_MM, turned)


def _up(mm: float) -> int:
    return math.ceil(round(mm * PER_MM, 3))


def _down(mm: float) -> int:
    return math.floor(round(mm * PER_MM, 3))


def _least(pair: tuple[int, int], *, turning: bool) -> int:
    """Least room across the strip; rounding up must not turn away a piece that just fits."""
    return min(pair) if turning else pair[0]


def least_length(
    sizes: Sequence[Size], cloth_width: float, gap: float, *, turning: bool, times: int = 1
) -> float:
    """A length of cloth that no layout of the pieces is shorter than, mm.

    The greatest of three bounds: the area that pieces and gaps take, spread over the whole
    width; the piece that takes most length, turned as it takes least; the pieces that are
    each wider than half the cloth however they lie, one after the other.

    Args:
        sizes: pieces that fit on the cloth.
        cloth_width: mm.
        gap: mm.
        turning: whether pieces may be turned by 90 degrees.
        times: how often each piece is cut.

    >>> least_length([Size(60, 40)], 100, 10, turning=False, times=2)
    90.0
    """
    if not sizes:
        return 0.0
    area = sum((wide + gap) * (high + gap) for wide, high in sizes) * times
    by_area = area / (cloth_width + gap) - gap
    ways = [
        [way for way in ((size, size.over()) if turning else (size,)) if _lies(way, cloth_width)]
        for size in sizes
    ]
    lengths = [min(way.height for way in piece) for piece in ways]
    alone = [
        length + gap
        for length, piece in zip(lengths, ways, strict=True)
        if 2 * min(way.width for way in piece) + gap > cloth_width + SAME_PLACE_MM
    ]
    return float(max(by_area, *lengths, sum(alone) * times - gap))


def _lies(size: Size, cloth_width: float) -> bool:
    return size.width <= cloth_width + SAME_PLACE_MM
