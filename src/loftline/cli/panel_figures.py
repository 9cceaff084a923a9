"""The bag's size and its hardware as a maker reads them, in the units of her project file."""

from __future__ import annotations

from loftline.units import Unit, format_length, show
from loftline.values import KeepOut, Panel, Piece

HARDWARE_HEADS = (
    "name",
    "from left",
    "from below",
    "from cut edge",
    "from finished edge",
    "sits",
    "fitted",
    "face up",
)
"""Heads of the table of hardware."""


def size_rows(panel: Panel, units: Unit) -> list[tuple[str, str]]:
    """Names and values: the flat panel, and with folds the closed bag or strap."""
    x0, y0, x1, y1 = panel.outline.bounds
    rows = [("Flat panel", _size(x1 - x0, y1 - y0, units))]
    if panel.closed:
        # both faces show the same silhouette
        rows.append((f"{_closed(panel)}, as sewn", _size(*panel.closed[0].size, units)))
    if panel.closed and panel.closed_size is not None:
        rows.append((f"{_closed(panel)}, at the cut edges", _size(*panel.closed_size, units)))
    if panel.standing is not None:
        width, height, depth = panel.standing
        sizes = f"{_size(width, height, units)}, {format_length(depth, units)} deep"
        rows.append(("Standing bag, as sewn", sizes))
    for name, width in panel.gussets:
        rows.append((f"Depth, by the {name}", format_length(width, units)))
    return rows


def hardware_rows(panel: Panel, units: Unit) -> list[tuple[str, ...]]:
    """A row of :data:`HARDWARE_HEADS` for each piece; places are those of its centre."""
    left, low, _, _ = panel.outline.bounds
    return [_row(piece, left, low, units) for piece in panel.pieces]


def allowance_sentences(panel: Panel, units: Unit) -> list[str]:
    """For each zone with allowances: the clearance, what is added to it, and the sum."""
    return [_kept(zone, units) for zone in panel.keep_outs if zone.tolerance or zone.draw_in]


def _kept(zone: KeepOut, units: Unit) -> str:
    parts = (
        (zone.clearance, ""),
        (zone.tolerance, " for placing"),
        (zone.draw_in, " for shrinking"),
    )
    places = 2 if units == "mm" else 3
    added = " + ".join(format_length(mm, units, places) + why for mm, why in parts if mm or not why)
    total = format_length(sum(mm for mm, _ in parts), units, places)
    return f"{show(zone.name)}: the needle stays away {added}: {total} in all."


def _row(piece: Piece, left: float, low: float, units: Unit) -> tuple[str, ...]:
    x, y = piece.at
    far = (x - left, y - low, piece.from_cut, piece.from_finished)
    places = ("" if mm is None else _place(mm, units) for mm in far)
    face = {"marked face up": "marked", "marked face down": "not marked"}.get(piece.face_up, "-")
    return (piece.name, *places, piece.sits, piece.fitted, face)


def _place(mm: float, units: Unit) -> str:
    """A distance as finely as it is marked; in inches an eighth has three decimals."""
    return format_length(mm, units, 3 if units == "in" else None)


def _closed(panel: Panel) -> str:
    return "Folded strap" if panel.strap else "Closed bag"


def _size(width: float, height: float, units: Unit) -> str:
    """Width and height.

    >>> _size(250.0, 410.0, "mm"), _size(165.1, 107.95, "in")
    ('250 \u00d7 410 mm', '6.5 \u00d7 4.25 in')
    """
    return f"{format_length(width, units).split()[0]} \u00d7 {format_length(height, units)}"
