"""The smallest rectangle of a motif that fills the plane when it is moved along and up.

Where lines of it, or of its copies, touch or cross, both get the very same point: in whole
steps of a fine grid, so that no copy moves it by rounding. Everything is done once for the
rectangle, whatever the size of the panel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from loftline.fills.motif.contacts import Contacts, find_contacts
from loftline.fills.motif.families import Families, sort_into_families
from loftline.project.motif_tile import TOUCHING_MM, Leads, Motif, two_rows
from loftline.values import Bools, Floats

GRID_MM: Final = 2.0**-20
"""Multiples of it below 8 km are exact numbers, their sums too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What is repeated, evenly along and up.

    Attributes:
        width: mm along, a multiple of :data:`GRID_MM`, as all numbers here.
        height: mm up.
        middle: the middle of its first tile.
        lines: ``(n, 2)`` each; of one that leads along or up the last point is the first of
            the next copy, of one that leads round it is its own first.
        leads: where each leads.
        families: colours under which lines that touch are apart.
    """

    width: float
    height: float
    middle: Floats
    lines: tuple[Floats, ...]
    leads: tuple[Leads, ...]
    families: Families


def make_cell(motif: Motif) -> Cell:
    """The cell of a motif, its touching lines joined at points."""
    rows = 1 if motif.repeat == "row" else 2
    half, pitch = _on_grid(np.array([motif.width / 2, motif.pitch])).tolist()
    width = 2 * half
    steps = np.array([width, rows * pitch])
    curves = two_rows(
        [line.points for line in motif.lines], width, motif.height, pitch, motif.repeat
    )
    leads = tuple(line.leads for line in motif.lines) * rows
    curves = [_ends_meet(_on_grid(c), way, steps) for c, way in zip(curves, leads, strict=True)]
    contacts = find_contacts(curves, leads, steps)
    return Cell(
        width=width,
        height=rows * pitch,
        middle=_on_grid(np.array([motif.width, motif.height]) / 2),
        lines=tuple(
            _joined(curve, way, k, contacts, steps)
            for k, (curve, way) in enumerate(zip(curves, leads, strict=True))
        ),
        leads=leads,
        families=sort_into_families(contacts, leads),
    )


def _on_grid(values: Floats) -> Floats:
    out: Floats = np.round(values / GRID_MM) * GRID_MM
    return out


def _ends_meet(curve: Floats, leads: Leads, steps: Floats) -> Floats:
    """The same, its end exactly where the next copy or it itself begins."""
    if leads != "between":
        curve = curve.copy()
        curve[-1] = curve[0] + _onward(leads, steps)
    return curve


def _onward(leads: Leads, steps: Floats) -> Floats:
    """From the start of a line to its end, where it does not lie between others."""
    out: Floats = steps * np.array([leads == "along", leads == "up"])
    return out


def _joined(curve: Floats, leads: Leads, number: int, contacts: Contacts, steps: Floats) -> Floats:
    """A line with a point at each of its contacts, in place of those that lie too near."""
    mine = contacts.line == number
    at, node = contacts.along[mine], contacts.node[mine]
    if not len(at):
        return curve
    order = np.lexsort((node, at))
    at, node = at[order], node[order]
    fresh = np.append(True, (np.diff(at) > 2 * TOUCHING_MM) | (np.diff(node) != 0))
    at, node = at[fresh], node[fresh]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(curve, axis=0).T))])
    spot = np.column_stack([np.interp(at, along, curve[:, k]) for k in (0, 1)])
    home = _on_grid(contacts.places[node])
    spot = home + np.round((spot - home) / steps) * steps
    # the corners that a contact takes the place of
    right = np.clip(np.searchsorted(at, along), 0, len(at) - 1)
    near = np.minimum(np.abs(at[right] - along), np.abs(at[np.maximum(right - 1, 0)] - along))
    kept = near > 2 * TOUCHING_MM
    place = np.concatenate([along[kept], at])
    points = np.concatenate([curve[kept], spot])[np.argsort(place, kind="stable")]
    if leads == "between":
        return points
    return _closed_up(points, kept, _onward(leads, steps))


def _closed_up(points: Floats, kept: Bools, onward: Floats) -> Floats:
    """The same with both its ends in one place of the cell: a contact at one is at both."""
    if kept[0] and not kept[-1]:
        points = np.concatenate([[points[-1] - onward], points[1:]])
    elif kept[-1]:
        points = np.concatenate([points[:-1], [points[0] + onward]])
    else:
        points[-1] = points[0] + onward
    return points
