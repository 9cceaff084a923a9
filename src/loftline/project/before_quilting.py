"""The project as it is drawn before quilting draws the panel in.

Everything on the flat panel is drawn larger, in proportion, so that outline, folds, lines and
centres are right once the panel has shrunk. What does not shrink keeps its size: hardware,
clearances, the overhang, the stitches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final, TypeVar

from loftline.project.panel_tables import EdgePlace, KeepOutSpec, MateSpec, PanelSpec
from loftline.project.sizes import Moves, larger_keep_outs, moved, scaled
from loftline.project.table import Table

if TYPE_CHECKING:
    from loftline.project.fill_table import FillSpec
    from loftline.project.motif_tile import Motif
    from loftline.project.schema import Project

_T = TypeVar("_T", bound=Table)

PANEL_SIZES: Final = (
    *("width", "height", "strap_length", "depth", "body", "flap", "flap_inset"),
    *("corner_object", "corner_radius", "seam_allowance"),
)
DRAWN_SIZES: Final = ("diameter", "width", "height")
"""Of keep-outs and regions: what they bound shrinks with the panel."""
DART_SIZES: Final = ("unit", "depth")
ROW_SIZES: Final = ("distance", "every")
FILL_SIZES: Final = (*("spacing", "spacing_to", "paired", "wave_height", "wave_length", "size"),)


def before_quilting(project: Project, percent: float) -> Project:
    """The project drawn larger, so that it is right after it has shrunk.

    Args:
        project: as the maker wrote it: the finished sizes.
        percent: by which quilting draws the panel in, 0 to less than 100.

    Returns:
        The project to plan; its draw-in is allowed for, so that none is left to ask for.
    """
    if percent <= 0:
        return project
    by = 1 / (1 - percent / 100)
    panel = _times(project.panel, PANEL_SIZES, by)
    if panel.drawing is not None or panel.points is not None:
        panel = scaled(panel, by)
        if panel.drawing is not None:
            panel = panel.redrawn(larger_keep_outs(panel.drawing, by))
    panel = panel.model_copy(update={"darts": _each(panel.darts, DART_SIZES, by)})
    larger = project.model_copy(
        update={
            "hardware": tuple(_placed(piece, by) for piece in project.hardware),
            "keep_outs": tuple(
                _placed(_about_its_middle(zone, by), by)
                for zone in _each(project.keep_outs, DRAWN_SIZES, by)
            ),
            "regions": tuple(
                _placed(region, by) for region in _each(project.regions, DRAWN_SIZES, by)
            ),
            "fills": tuple(_design(fill, by) for fill in project.fills),
            "quilting": project.quilting.model_copy(
                update={"draw_in": 0.0, "allow_for_draw_in": False}
            ),
            "swatch": project.swatch
            and project.swatch.model_copy(update={"before": None, "after": None}),
        }
    )
    return moved(larger, _in_place(panel, project.panel), Moves.scaled(by))


def _in_place(panel: PanelSpec, before: PanelSpec) -> PanelSpec:
    """Folds, parts and darts by their places as they were: these are moved later."""
    darts = tuple(
        dart.model_copy(update={"points": was.points})
        for dart, was in zip(panel.darts, before.darts, strict=True)
    )
    return panel.model_copy(update={"darts": darts})


def _each(tables: Iterable[_T], keys: tuple[str, ...], by: float) -> tuple[_T, ...]:
    return tuple(_times(table, keys, by) for table in tables)


def _times(table: _T, keys: tuple[str, ...], by: float) -> _T:
    """Some of a table's lengths so many times as long; those that are not set stay so."""
    update: dict[str, Any] = {}
    for key in keys:
        value = getattr(table, key, None)
        if isinstance(value, tuple):
            update[key] = tuple(part * by for part in value)
        elif value is not None:
            update[key] = value * by
    return table.model_copy(update=update)


def _placed(table: _T, by: float) -> _T:
    """With its distances from edges so many times as long."""
    update: dict[str, Any] = {}
    at = getattr(table, "at", None)
    if isinstance(at, Table):
        update["at"] = _times(at, ROW_SIZES, by)
    other = getattr(table, "mate", None)
    if isinstance(other, MateSpec) and isinstance(other.at, EdgePlace):
        update["mate"] = other.model_copy(update={"at": _times(other.at, ROW_SIZES, by)})
    return table.model_copy(update=update) if update else table


def _about_its_middle(zone: KeepOutSpec, by: float) -> KeepOutSpec:
    """A polygon larger in its place; it is moved later."""
    if zone.points is None:
        return zone
    xs, ys = zip(*zone.points, strict=True)
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    points = tuple((x + (a - x) * by, y + (b - y) * by) for a, b in zone.points)
    return zone.model_copy(update={"points": points})


def _design(fill: FillSpec, by: float) -> FillSpec:
    larger = _times(fill, FILL_SIZES, by)
    if isinstance(fill.start_at, EdgePlace):
        larger = larger.model_copy(update={"start_at": _times(fill.start_at, ROW_SIZES, by)})
    if fill.motif is None:
        return larger
    return larger.model_copy(update={"motif": _motif(fill.motif, by)})


def _motif(motif: Motif, by: float) -> Motif:
    return replace(
        motif,
        width=motif.width * by,
        height=motif.height * by,
        pitch=motif.pitch * by,
        lines=tuple(replace(line, points=line.points * by) for line in motif.lines),
    )
