"""From a project with sizes to a project for each size.

The panel grows; whatever lies on it keeps its size and moves. A place given from an edge
follows that edge. A place ``[x, y]`` moves in proportion with the part it lies on: across the
width, and between the folds of the shape along the height. Beyond the outline it keeps its
distance from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar, cast

from loftline.project.drawn import Drawing
from loftline.project.panel_tables import HardwareSpec, MateSpec, PanelSpec
from loftline.project.size_table import GROWS, SizeSpec
from loftline.project.table import Table

if TYPE_CHECKING:
    from shapely import Polygon

    from loftline.project.schema import Project

Point = tuple[float, float]
_T = TypeVar("_T", bound=Table)


def sized(project: Project) -> tuple[tuple[str, Project], ...]:
    """A project of its own for each size, by the size's name.

    Args:
        project: its sizes, and the class that sews them, are left out of the answer; the
            bag's name gets that of the size.
            Itself alone, under its own name, where it has none.
    """
    if not project.sizes:
        return ((project.name, project),)
    return tuple((size.name, _one(project, size)) for size in project.sizes)


def scaled_drawing(drawing: Drawing, scale: float) -> Drawing:
    """A drawing so many times as large; its keep-outs keep their size and move."""
    if scale == 1.0:
        return drawing
    from shapely import affinity  # noqa: PLC0415 - heavy, and only drawings need it

    moves = Moves.scaled(scale)

    def grown(area: Polygon) -> Polygon:
        return affinity.scale(area, scale, scale, origin=(0, 0))

    return replace(
        drawing,
        outline=grown(drawing.outline),
        folds=tuple(
            replace(fold, start=moves.place(fold.start), end=moves.place(fold.end))
            for fold in drawing.folds
        ),
        parts=tuple(replace(part, area=grown(part.area)) for part in drawing.parts),
        keep_outs=tuple(
            replace(
                zone, area=affinity.translate(zone.area, *moves.shift(_middle(zone.area.bounds)))
            )
            for zone in drawing.keep_outs
        ),
    )


def larger_keep_outs(drawing: Drawing, by: float) -> Drawing:
    """A drawing whose keep-outs are so many times as large, each about its middle."""
    from shapely import affinity  # noqa: PLC0415 - as above

    return replace(
        drawing,
        keep_outs=tuple(
            replace(zone, area=affinity.scale(zone.area, by, by, origin="center"))
            for zone in drawing.keep_outs
        ),
    )


@dataclass(frozen=True, slots=True)
class Moves:
    """How places move: rising marks along x and along y, before and after, mm."""

    x: tuple[Sequence[float], Sequence[float]]
    y: tuple[Sequence[float], Sequence[float]]

    @classmethod
    def scaled(cls, scale: float) -> Moves:
        """Everything in proportion from the zero of the places."""
        far = 1e6
        both = (-far, far), (-far * scale, far * scale)
        return cls(both, both)

    @classmethod
    def between(cls, before: PanelSpec, after: PanelSpec) -> Moves:
        """From a panel to the same in another size."""
        one, two = _marks(before), _marks(after)
        return cls((one[0], two[0]), (one[1], two[1]))

    def place(self, point: Point) -> Point:
        """Where a place comes to lie."""
        return _moved(point[0], *self.x), _moved(point[1], *self.y)

    def shift(self, point: Point) -> Point:
        """How far a place moves."""
        x, y = self.place(point)
        return x - point[0], y - point[1]


def _moved(value: float, before: Sequence[float], after: Sequence[float]) -> float:
    """In proportion between two marks; beyond the outermost the distance from it is kept."""
    if value <= before[0]:
        return value + after[0] - before[0]
    if value >= before[-1]:
        return value + after[-1] - before[-1]
    i = next(i for i, mark in enumerate(before) if value < mark)
    share = (value - before[i - 1]) / (before[i] - before[i - 1])
    return after[i - 1] + share * (after[i] - after[i - 1])


def _marks(panel: PanelSpec) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Edges and folds along x and along y."""
    width, height = panel.width or 0.0, panel.height or 0.0
    body, flap = panel.body or 0.0, panel.flap or 0.0
    match panel.shape:
        case "folded pouch":
            return (0.0, width), (0.0, body, 2 * body, 2 * body + flap)
        case "flat sleeve":
            return (0.0, width), (0.0, body, 2 * body)
        case "boxed tote side":
            fold = (panel.depth or 0.0) / 2 + panel.seam_allowance
            return (0.0, width), (0.0, fold, max(height, fold))
        case "strap":
            return (0.0, panel.strap_length or 0.0), (0.0, width / 2, width)
        case _:
            return (0.0, width), (0.0, height)


def _one(project: Project, size: SizeSpec) -> Project:
    keys = {field.alias or name: name for name, field in SizeSpec.model_fields.items()}
    found = {key: getattr(size, keys[key]) for key in GROWS[project.panel.shape] if key in keys}
    changed = {keys[key]: value for key, value in found.items() if value is not None}
    scale = changed.pop("scale", None)
    if "corner_radius" in changed:
        changed["corner_object"] = None
    panel = project.panel.model_copy(update=changed)
    if scale is None:
        moves = Moves.between(project.panel, panel)
    else:
        moves = Moves.scaled(scale)
        panel = scaled(panel, scale)
    sized = moved(project, panel, moves)
    return sized.model_copy(
        update={
            "name": f"{project.name} {size.name}"[:100],
            "copies": size.copies,
            "sizes": (),
            "school_class": None,
        }
    )


def moved(project: Project, panel: PanelSpec, moves: Moves) -> Project:
    """The project on another panel, with all that lies on it moved; its pieces keep their size.

    Args:
        project: with places on its own panel.
        panel: the other panel, its own sizes changed already.
        moves: from the one to the other.
    """
    return project.model_copy(
        update={
            "panel": _on_panel(panel, moves),
            "hardware": tuple(_hardware(piece, moves) for piece in project.hardware),
            "keep_outs": tuple(_whole(zone, moves) for zone in project.keep_outs),
            "regions": tuple(_corners(region, moves) for region in project.regions),
            "fills": tuple(_at(fill, moves, "start_at", "entry", "exit") for fill in project.fills),
        }
    )


def scaled(panel: PanelSpec, scale: float) -> PanelSpec:
    """A polygon or a drawing so many times as large."""
    if panel.drawing is not None:
        return panel.redrawn(scaled_drawing(panel.drawing, scale))
    update = {
        "points": _times(panel.points or (), scale),
        "holes": None if panel.holes is None else tuple(_times(h, scale) for h in panel.holes),
    }
    return panel.model_copy(update=update)


def _times(points: Iterable[Point], scale: float) -> tuple[Point, ...]:
    return tuple((x * scale, y * scale) for x, y in points)


def _on_panel(panel: PanelSpec, moves: Moves) -> PanelSpec:
    """Darts by their points, folds and names of parts: each place of theirs moves."""
    return panel.model_copy(
        update={
            "darts": tuple(_corners(dart, moves) for dart in panel.darts),
            "folds": tuple(_at(fold, moves, "from_", "to") for fold in panel.folds),
            "parts": tuple(_at(part, moves, "at") for part in panel.parts),
        }
    )


def _hardware(piece: HardwareSpec, moves: Moves) -> HardwareSpec:
    moved = _at(piece, moves, "at")
    if isinstance(piece.mate, MateSpec):
        return moved.model_copy(update={"mate": _at(piece.mate, moves, "at")})
    return moved


def _corners(table: _T, moves: Moves) -> _T:
    """A centre, and every corner by itself: what is drawn on the panel grows with it."""
    moved = _at(table, moves, "at")
    points = getattr(table, "points", None)
    if points is None:
        return moved
    return moved.model_copy(update={"points": tuple(moves.place(point) for point in points)})


def _whole(table: _T, moves: Moves) -> _T:
    """A centre; corners move together, so that what they bound keeps its size."""
    moved = _at(table, moves, "at")
    points = getattr(table, "points", None)
    if points is None:
        return moved
    xs, ys = zip(*points, strict=True)
    x, y = moves.shift(_middle((min(xs), min(ys), max(xs), max(ys))))
    return moved.model_copy(update={"points": tuple((a + x, b + y) for a, b in points)})


def _middle(box: tuple[float, float, float, float]) -> Point:
    x0, y0, x1, y1 = box
    return (x0 + x1) / 2, (y0 + y1) / 2


def _at(table: _T, moves: Moves, *keys: str) -> _T:
    """A table with those of its places moved that are given as ``[x, y]``."""
    places = {key: getattr(table, key, None) for key in keys}
    update = {
        key: moves.place(cast("Point", place))
        for key, place in places.items()
        if isinstance(place, tuple)
    }
    return table.model_copy(update=update) if update else table
