"""What the closed bag shows from the front and from the back, and its size. Geometry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import shapely
from shapely import Polygon

from loftline.geometry import only_polygons
from loftline.panel.folding import folded
from loftline.panel.gussets import stand_square
from loftline.values import Affine, Area, ClosedFace, Fold, Panel, Part, Shown

_BESIDE_MM = 0.05
_LEAST_SHOWN_MM2 = 0.01
_GRID_MM = 1e-6  # edges that meet in the bag differ by rounding: overlays fail without a grid

STANDING = "base"
"""A part that stands square to the others in the finished bag."""


def closed_faces(panel: Panel) -> tuple[ClosedFace, ...]:
    """The closed bag seen from the front and from the back, measured at the cut edges.

    Coordinates of both: x to the right, y up, as the viewer of that face sees it, origin at
    the lower left. Empty for a panel without folds and parts.
    """
    square = stand_square(panel.parts, panel.folds)
    return _faces(square.parts, square.folds, {part.name: part.area for part in square.parts})


def sewn_faces(
    parts: Sequence[Part], folds: Sequence[Fold], finished: Area
) -> tuple[ClosedFace, ...]:
    """The closed bag as it will be sewn: as :func:`closed_faces`, less the seam allowance.

    What lies outside ``finished``, the outline less its allowance, is taken up by seams;
    folds stay where they are. The base of a boxed side stands square to it in the bag: only
    the side is shown, as the front.
    """
    left = {part.name: only_polygons(part.area.intersection(finished)) for part in parts}
    areas = {name: area for name, area in left.items() if not area.is_empty}
    flat = [name for name in areas if name != STANDING]
    if len(flat) == 1 and len(areas) == 2 and folds:
        (side,) = flat
        x0, y0, _, _ = areas[side].bounds
        move = Affine(1.0, 0.0, 0.0, 1.0, -x0, -y0)
        shown = Shown(part=side, area=move.area(areas[side]), move=move, covered=Polygon())
        return (ClosedFace(name="front", parts=(shown,)),)
    return _faces(parts, folds, areas)


def _faces(
    parts: Sequence[Part], folds: Sequence[Fold], areas: Mapping[str, Area]
) -> tuple[ClosedFace, ...]:
    places = {name: place for name, place in folded(parts, folds).items() if name in areas}
    if len(places) < 2:
        return ()
    lying = {name: move.area(areas[name]) for name, (move, _) in places.items()}
    x0, y0, x1, _ = shapely.union_all(list(lying.values())).bounds
    to_front = Affine(-1.0, 0.0, 0.0, 1.0, x1, -y0)
    to_back = Affine(1.0, 0.0, 0.0, 1.0, -x0, -y0)
    faces = [
        _face(name, turned, view, places, areas)
        for name, turned, view in (("front", True, to_front), ("back", False, to_back))
    ]
    return tuple(face for face in faces if face.parts)


def closed_size(parts: Sequence[Part], folds: Sequence[Fold]) -> tuple[float, float] | None:
    """Width and height of the closed bag lying flat, mm; ``None`` without folds."""
    places = folded(parts, folds)
    if len(places) < 2:
        return None
    whole = shapely.union_all([places[p.name][0].area(p.area) for p in parts if p.name in places])
    x0, y0, x1, y1 = whole.bounds
    return (x1 - x0, y1 - y0)


def _face(
    name: str,
    turned: bool,  # noqa: FBT001 - which of the two sides
    view: Affine,
    places: Mapping[str, tuple[Affine, int]],
    areas: Mapping[str, Area],
) -> ClosedFace:
    # outside lies what closes last; seen from behind, the root covers what folds under it
    order = sorted(places, key=lambda part: places[part][1], reverse=not turned)
    moves = {part: places[part][0].then(view) for part in order}
    lying = {part: moves[part].area(areas[part]) for part in order}
    shown: list[Shown] = []
    # from the outside inward; many parts fold onto one place, so what covers stays simple
    over: Area = Polygon()
    for part in reversed(order):
        if places[part][0].turned_over == turned:  # else its lining faces this way
            bare = shapely.difference(lying[part], over, grid_size=_GRID_MM)
            covered = shapely.intersection(lying[part], over, grid_size=_GRID_MM)
            shown.append(
                Shown(
                    part=part,
                    area=only_polygons(bare),
                    move=moves[part],
                    covered=only_polygons(covered),
                )
            )
        over = only_polygons(shapely.union(over, lying[part], grid_size=_GRID_MM))
    seen = tuple(s for s in reversed(shown) if s.area.area > _LEAST_SHOWN_MM2)
    inside = shapely.difference(over, _united(s.area for s in seen), grid_size=_GRID_MM)
    # parts that meet along a fold leave slivers by rounding
    wide = shapely.buffer(
        shapely.buffer(inside, -_BESIDE_MM, join_style="mitre"), _BESIDE_MM, join_style="mitre"
    )
    return ClosedFace(name=name, parts=seen, lining=only_polygons(wide))


def _united(areas: Iterable[Area]) -> shapely.Geometry:
    return shapely.union_all(list(areas), grid_size=_GRID_MM)
