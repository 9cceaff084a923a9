"""The closed bag as closures see it: which part lies against which, and what lies between."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from loftline.geometry import only_polygons
from loftline.panel.folding import fold_tree, folded, mate_in
from loftline.panel.gussets import Square
from loftline.values import Affine, Area, Fold, Part, Point, Sits

_LEAST_MM2 = 0.01
"""Less than a square of a tenth of a millimetre is rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedBag:
    """A panel folded shut.

    Attributes:
        areas: of each part, on the flat panel.
        sewn: the same less what ends in seams.
        moves: of each part, into the closed bag.
        layers: of each part, counted from the root, outermost highest.
        tree: for each part the one it hangs from and the fold between them.
        gussets: strips that stand square in the bag, and how wide each is, mm.
    """

    parts: tuple[Part, ...]
    areas: Mapping[str, Area]
    sewn: Mapping[str, Area]
    moves: Mapping[str, Affine]
    layers: Mapping[str, int]
    tree: Mapping[str, tuple[str, Fold | None]]
    gussets: tuple[tuple[str, float], ...] = ()

    def home(self, place: Point) -> str | None:
        """The part a place of the flat panel lies on."""
        point = shapely.Point(place)
        return next((part.name for part in self.parts if part.area.covers(point)), None)

    def mate(self, home: str, place: Point) -> tuple[str, Point] | None:
        """The part that lies against a place of another, and where on it."""
        places = {name: (self.moves[name], self.layers[name]) for name in self.moves}
        return mate_in(places, self.parts, home, place)

    def across(self, home: str, place: Point, other: str) -> Point:
        """Where a place of one part comes to lie on another, whatever is between."""
        return self.moves[other].inverse()(self.moves[home](place))

    def holds(self, part: str | None) -> bool:
        """Whether a part is folded into the bag."""
        return part in self.moves

    def between(self, one: str, two: str, area: Area) -> list[str]:
        """Parts between two others, within an area of the closed bag, from inside outward."""
        low, high = sorted((self.layers[one], self.layers[two]))
        found = [
            name
            for name, layer in self.layers.items()
            if low < layer < high and self._lying(name).intersection(area).area > _LEAST_MM2
        ]
        return sorted(found, key=lambda name: self.layers[name])

    def covering(self, part: str, area: Area) -> list[tuple[str, Area]]:
        """Parts that lie on the outer fabric of another, and what of an area they cover.

        Args:
            part: whose outer fabric.
            area: a piece of it, on the flat panel.
        """
        move, layer = self.moves[part], self.layers[part]
        lying = move.area(area)
        outward = 1 if move.turned_over else -1
        found = []
        for name, other in self.layers.items():
            if name == part or (other - layer) * outward <= 0:
                continue
            shared = only_polygons(shapely.intersection(self._lying(name), lying))
            if shapely.area(shared) > _LEAST_MM2:
                found.append((name, shared))
        return found

    def facing_sides(self, one: str, two: str) -> tuple[Sits, Sits]:
        """The sides of two parts that face each other: above is the outer fabric."""
        if self.layers[one] > self.layers[two]:
            two_side, one_side = self.facing_sides(two, one)
            return one_side, two_side
        # the inner part shows its outer fabric to the front when it is turned over, the outer
        # part its lining to the back
        inner: Sits = "above" if self.moves[one].turned_over else "below"
        outer: Sits = "below" if self.moves[two].turned_over else "above"
        return inner, outer

    def folds_between(self, one: str, two: str) -> list[tuple[str, Fold]]:
        """Folds on the way from one part to another; each with the part behind it."""
        up, down = self._to_root(one), self._to_root(two)
        while up and down and up[-1] == down[-1]:
            up.pop()
            down.pop()
        back = [(parent, fold) for _, parent, fold in up]
        return back + [(part, fold) for part, _, fold in reversed(down)]

    def _to_root(self, part: str) -> list[tuple[str, str, Fold]]:
        steps = []
        parent, fold = self.tree[part]
        while fold is not None:
            steps.append((part, parent, fold))
            part = parent
            parent, fold = self.tree[part]
        return steps

    def _lying(self, part: str) -> Area:
        return self.moves[part].area(self.sewn[part])


def close_bag(parts: Sequence[Part], square: Square, finished: Area) -> ClosedBag:
    """The panel folded along its folds in their order.

    Args:
        parts: all, gussets too, which close onto nothing.
        square: the parts and folds that close.
        finished: the outline less its seam allowance.
    """
    folds = square.folds
    tree = fold_tree(square.parts, folds)
    places = folded(square.parts, folds)
    return ClosedBag(
        parts=tuple(parts),
        areas={part.name: part.area for part in parts},
        sewn={part.name: only_polygons(part.area.intersection(finished)) for part in parts},
        moves={name: move for name, (move, _) in places.items()},
        layers={name: layer for name, (_, layer) in places.items()},
        tree={
            name: (parent, folds[number] if number >= 0 else None)
            for name, (parent, number) in tree.items()
        },
        gussets=square.gussets,
    )
