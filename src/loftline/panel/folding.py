"""The flat panel folded into the closed bag.

A fold is a reflection of everything beyond it; folds in series compose along a tree of
parts. One part, the root, lies still; the fold named later in the list closes later and
lies outside. The outer fabric ends up outside, but of a part that is folded back over one
that is turned over already. Geometry, no source needed.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from loftline.values import Affine, Floats, Fold, Ints, Part, Point

_BESIDE_MM = 0.05

STILL = Affine(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def reflection(start: Point, end: Point) -> Affine:
    """Mirror over the line from ``start`` to ``end``.

    Raises:
        ValueError: when both are the same place.

    >>> reflection((0.0, 150.0), (250.0, 150.0))((75.0, 40.0))
    (75.0, 260.0)
    """
    x, y = end[0] - start[0], end[1] - start[1]
    square = x * x + y * y
    if square == 0:
        raise ValueError("a fold needs two different ends")
    cosine, sine = (x * x - y * y) / square, 2 * x * y / square
    moved = (cosine * start[0] + sine * start[1], sine * start[0] - cosine * start[1])
    return Affine(cosine, sine, sine, -cosine, start[0] - moved[0], start[1] - moved[1])


def fold_tree(parts: Sequence[Part], folds: Sequence[Fold]) -> dict[str, tuple[str, int]]:
    """For each part the one it hangs from and the number of the fold between them.

    The root hangs from itself; parts that no fold joins to the root are left out. Each part
    comes after the one it hangs from. Where folds cross, a part can be reached by two ways:
    it hangs from its neighbour over the fold that is closed first, while all else lies flat
    still, so over that fold both lie on each other exactly (a least spanning tree by the order
    of closing).
    """
    if not parts:
        return {}
    joined = joins(parts, folds)
    root = _root(parts, joined)
    every = _from(root, [(number, one, two) for number, _, one, two in joined])
    steps = {name: k for k, name in enumerate(every)}
    kept: list[tuple[int, str, str]] = []
    pile = {part.name: part.name for part in parts}
    for number, _, one, two in sorted(
        (join for join in joined if join[2] in steps),
        key=lambda join: (join[0], min(steps[join[2]], steps[join[3]])),
    ):
        if pile[one] != pile[two]:
            kept.append((number, one, two))
            gone = pile[two]
            pile = {name: pile[one] if of == gone else of for name, of in pile.items()}
    return _from(root, kept)


def _from(root: str, joined: Sequence[tuple[int, str, str]]) -> dict[str, tuple[str, int]]:
    """The parts that joins lead to from one of them, the nearest first."""
    beside: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for number, one, two in joined:
        beside[one].append((number, two))
        beside[two].append((number, one))
    tree = {root: (root, -1)}
    waiting = deque([root])
    while waiting:
        here = waiting.popleft()
        for number, there in beside[here]:
            if there not in tree:
                tree[there] = (here, number)
                waiting.append(there)
    return tree


def folded(parts: Sequence[Part], folds: Sequence[Fold]) -> dict[str, tuple[Affine, int]]:
    """For each part its move into the closed bag and its layer, root 0, outermost highest.

    The folds are closed one after the other: all that hangs from one is turned over, its
    layers with it, and comes to lie on top of the rest. Parts that no fold joins to the root
    are left out.
    """
    tree = fold_tree(parts, folds)
    moves: dict[str, Affine] = {}
    for part, (parent, number) in tree.items():
        if part == parent:
            moves[part] = STILL
            continue
        fold = folds[number]
        moves[part] = reflection(fold.start, fold.end).then(moves[parent])
    layer = dict.fromkeys(tree, 0)
    for number in sorted({number for _, number in tree.values() if number >= 0}):
        turned = _hanging(tree, number)
        lying = max(layer[part] for part in tree if part not in turned)
        top = max(layer[part] for part in turned)
        layer |= {part: lying + 1 + top - layer[part] for part in turned}
    return {part: (move, layer[part]) for part, move in moves.items()}


def mate_in(
    places: Mapping[str, tuple[Affine, int]], parts: Sequence[Part], home: str, point: Point
) -> tuple[str, Point] | None:
    """The part that lies against a point of another one in the closed bag, and where.

    The next layer outside counts first, then the next one inside; ``None`` where the point
    closes onto nothing.

    Args:
        places: from :func:`folded`.
        parts: of the flat panel.
        home: the part that the point lies on.
        point: on the flat panel.
    """
    if home not in places:
        return None
    move, layer = places[home]
    closed = move(point)
    others = [
        (places[part.name][1] < layer, abs(places[part.name][1] - layer), part.name, part.area)
        for part in parts
        if part.name != home and part.name in places
    ]
    for _, _, name, area in sorted(others, key=lambda other: other[:3]):
        back = places[name][0].inverse()(closed)
        if area.covers(shapely.Point(back)):
            return name, back
    return None


def _hanging(tree: Mapping[str, tuple[str, int]], number: int) -> set[str]:
    """The parts beyond a fold."""
    hanging: set[str] = set()
    for part, (parent, fold) in tree.items():
        if fold == number or (part != parent and parent in hanging):
            hanging.add(part)
    return hanging


def joins(parts: Sequence[Part], folds: Sequence[Fold]) -> list[tuple[int, Fold, str, str]]:
    """Which two parts each fold joins: its number, itself, and their names."""
    names = [part.name for part in parts]
    tree = shapely.STRtree([part.area for part in parts])
    out: list[tuple[int, Fold, str, str]] = []
    for number, fold in enumerate(folds):
        if fold.over:
            out.extend((number, fold, one, two) for one, two in fold.over)
            continue
        ends = np.array([fold.start, fold.end])
        along = ends[1] - ends[0]
        across = np.array([-along[1], along[0]]) / np.hypot(*along) * _BESIDE_MM
        spots = ends[0] + _shares(fold, folds)[:, None] * along
        one, two = (_at(tree, spots + side * across) for side in (1, -1))
        joined = (one >= 0) & (two >= 0) & (one != two)
        pairs = {(names[a], names[b]) for a, b in zip(one[joined], two[joined], strict=True)}
        out.extend((number, fold, a, b) for a, b in sorted(pairs))
    return out


def _shares(fold: Fold, folds: Sequence[Fold]) -> Floats:
    """Places along a fold, from 0 to 1: between any two folds that cross it, and even ones.

    None so near a crossing that the other fold passes between the two sides that are looked at.
    """
    start, end = np.array(fold.start), np.array(fold.end)
    first = np.array([other.start for other in folds])
    step = np.array([other.end for other in folds]) - first
    along, gap = end - start, first - start
    turn = along[0] * step[:, 1] - along[1] * step[:, 0]
    crossing = np.abs(turn) > 1e-9 * np.hypot(*along) * np.hypot(*step.T)
    met = (gap[:, 0] * step[:, 1] - gap[:, 1] * step[:, 0])[crossing] / turn[crossing]
    cuts = np.unique(np.concatenate([[0.0, 1.0], met[(met > 0) & (met < 1)]]))
    shares = np.concatenate([np.linspace(0.1, 0.9, 9), (cuts[1:] + cuts[:-1]) / 2])
    aslant = np.abs(step[crossing] @ along / turn[crossing])
    room = _BESIDE_MM * (1 + aslant) / np.hypot(*along)
    clear: Floats = shares[(np.abs(shares[:, None] - met) > room).all(axis=1)]
    return clear


def _at(tree: shapely.STRtree, places: Floats) -> Ints:
    """Number of the part at each place, -1 where there is none."""
    found = np.full(len(places), -1)
    place, part = tree.query(shapely.points(places), predicate="covered_by")
    found[place] = part
    return found


def _root(parts: Sequence[Part], joined: list[tuple[int, Fold, str, str]]) -> str:
    """The part that lies still: the back, else the one with most folds, else the largest."""
    names = [part.name for part in parts]
    if "back" in names:
        return "back"
    count = Counter(name for _, _, *both in joined for name in both)
    return max(parts, key=lambda part: (count[part.name], part.area.area)).name
