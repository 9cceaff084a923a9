"""Strips that stand square in the closed bag: a gusset or a base between front and back.

A square fold is an edge of a box. Two of them on both sides of a strip bring the parts beyond
the strip face to face, its width apart. Seen square to those parts, one is the reflection of
the other over the strip's middle line, and the strip is seen edge-on. Geometry, no source
needed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loftline.panel.folding import joins
from loftline.units import show
from loftline.values import Floats, Fold, Part

_SQUARE = 0.002
"""Sine of a tenth of a degree: folds that differ by less are parallel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """Parts and folds as the bag closes, its gussets left out.

    Attributes:
        parts: without gussets.
        folds: for two square folds one between them, in the place of the first.
        gussets: names and widths, mm.
        trouble: one sentence for each square fold that has no other to go with.
    """

    parts: tuple[Part, ...]
    folds: tuple[Fold, ...]
    gussets: tuple[tuple[str, float], ...] = ()
    trouble: tuple[str, ...] = ()


def stand_square(parts: Sequence[Part], folds: Sequence[Fold]) -> Square:
    """Fold up what lies between two square folds.

    Along parts that square folds join, every second one is a gusset; the first and the last
    are none.
    """
    numbers = [number for number, fold in enumerate(folds) if fold.bends == "square"]
    if not numbers:
        return Square(parts=tuple(parts), folds=tuple(folds))
    beside: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for number, fold, one, two in joins(parts, folds):
        if fold.bends == "square":
            beside[one].append((two, number))
            beside[two].append((one, number))
    pairs: dict[tuple[int, int], list[tuple[str, str]]] = defaultdict(list)
    gussets: dict[str, float] = {}
    paired: set[int] = set()
    for end in [name for name, near in beside.items() if len(near) == 1]:
        names, crossed = _chain(beside, end)
        if len(crossed) % 2 or names[0] > names[-1]:
            continue  # a chain is met from both its ends
        for i in range(1, len(names), 2):
            first, second = sorted(crossed[i - 1 : i + 1])
            width = _apart(folds[first], folds[second])
            if width is None:
                continue
            pairs[first, second].append((names[i - 1], names[i + 1]))
            gussets[names[i]] = width
            paired |= {first, second}
    between = {pair[0]: _between(folds, *pair, tuple(over)) for pair, over in pairs.items()}
    kept = (between.get(i, fold) for i, fold in enumerate(folds) if i in between or i not in paired)
    return Square(
        parts=tuple(part for part in parts if part.name not in gussets),
        folds=tuple(kept),
        gussets=tuple((part.name, gussets[part.name]) for part in parts if part.name in gussets),
        trouble=tuple(
            f"{show(folds[i].name)} bends square, and no other square fold goes with it; an edge "
            "of a box needs a second one, parallel to it, with a strip between them"
            for i in numbers
            if i not in paired
        ),
    )


def _chain(beside: dict[str, list[tuple[str, int]]], end: str) -> tuple[list[str], list[int]]:
    """Parts from one that a single square fold ends at, and the folds between them."""
    names, crossed = [end], list[int]()
    while True:
        ahead = [(name, number) for name, number in beside[names[-1]] if name not in names]
        if len(ahead) != 1:
            return names, crossed
        names.append(ahead[0][0])
        crossed.append(ahead[0][1])


def _ends(fold: Fold, like: Floats) -> Floats:
    """Both ends of a fold, in the direction of ``like``."""
    ends = np.array([fold.start, fold.end])
    return ends if (ends[1] - ends[0]) @ like > 0 else ends[::-1]


def _apart(one: Fold, two: Fold) -> float | None:
    """How far apart two folds lie, mm; ``None`` where they are not parallel."""
    along = np.subtract(one.end, one.start)
    along = along / np.hypot(*along)
    other = _ends(two, along)
    step = (other[1] - other[0]) / np.hypot(*(other[1] - other[0]))
    if abs(along[0] * step[1] - along[1] * step[0]) > _SQUARE:
        return None
    gap = other.mean(axis=0) - np.mean([one.start, one.end], axis=0)
    return abs(float(along[0] * gap[1] - along[1] * gap[0]))


def _between(
    folds: Sequence[Fold], first: int, second: int, over: tuple[tuple[str, str], ...]
) -> Fold:
    one, two = folds[first], folds[second]
    start, end = (np.array([one.start, one.end]) + _ends(two, np.subtract(one.end, one.start))) / 2
    return Fold(
        name=f"{one.name} and {two.name}",
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
        over=over,
    )
