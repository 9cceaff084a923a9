"""Whether the flap's fold leaves room for the panel's thickness and what the bag holds."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely.affinity import translate

from loftline.errors import Finding
from loftline.project import Project
from loftline.trade.fabrics import fabric_thickness
from loftline.trade.foams import loose_thickness
from loftline.units import format_length
from loftline.values import Piece


def least_room(thickness: float, contents: float) -> float:
    """How far below the fold the front's finished edge must lie, mm.

    Reference 35d, from half-circle bends: pi (g + 2 t) / 4 - (g + t) / 2.

    Args:
        thickness: of the panel, mm.
        contents: of what the bag holds, mm.

    >>> round(least_room(4.5, 0), 2), round(least_room(4.5, 20), 2)
    (4.82, 10.53)
    """
    return math.pi * (contents + 2 * thickness) / 4 - (contents + thickness) / 2


def missing_room(project: Project) -> float:
    """Millimetres that a pouch's fold lacks; its front ends a seam allowance below the fold."""
    if project.panel.shape != "folded pouch":
        return 0.0
    outer, foam = project.layers.outer, project.layers.foam
    thickness = fabric_thickness(outer.kind) if outer.thickness is None else outer.thickness
    thickness += loose_thickness(foam.kind) if foam.thickness is None else foam.thickness
    need = least_room(thickness, project.layers.contents or 0.0)
    return max(0.0, need - project.panel.seam_allowance)


def moved_for_room(mate: Piece, project: Project) -> Piece:
    """The other half moved by twice the missing room, when the file asks for it."""
    missing = missing_room(project)
    if project.panel.fold_room != "move the other half" or missing == 0:
        return mate
    # the fold rises by what is missing, so what hangs from it meets the front so much higher:
    # nearer to the front's edge, which is at the bottom of the flat panel
    up = 2 * missing if mate.at[1] > 2 * (project.panel.body or 0.0) else -2 * missing
    at = (mate.at[0], mate.at[1] + up)
    return replace(mate, at=at, outline=translate(mate.outline, 0, up))


def room_findings(project: Project, pieces: tuple[Piece, ...]) -> list[Finding]:
    """A warning with the missing millimetres, where a closure depends on the fold."""
    missing = missing_room(project)
    if missing == 0 or not any(piece.mate_of for piece in pieces):
        return []
    moved = project.panel.fold_room == "move the other half"
    much = f"the upper fold lacks {format_length(missing)} of room for panel and contents"
    return [
        Finding(
            code="no-room-at-fold",
            severity="note" if moved else "warning",
            where="upper fold",
            message=f"{much}; other halves are moved by {format_length(2 * missing)}"
            if moved
            else f"{much}, so the two halves of a closure miss each other by "
            f"{format_length(2 * missing)}",
            remedy="" if moved else 'set panel.fold_room = "move the other half"',
        )
    ]
