"""How the hoop holds the panel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from loftline.project.sewing_tables import Held
from loftline.trade import fabrics, foams

if TYPE_CHECKING:
    from loftline.project.schema import Project

CLAMPED_MM: Final = 2.0
"""A thicker panel slips or is marked when it is closed into a hoop itself (quilting practice)."""


def held_as(project: Project) -> Held:
    """As told, else floated where outer fabric and foam are thick."""
    if project.machine.held is not None:
        return project.machine.held
    outer, foam = project.layers.outer, project.layers.foam
    thick = fabrics.fabric_thickness(outer.kind) if outer.thickness is None else outer.thickness
    thick += foams.loose_thickness(foam.kind) if foam.thickness is None else foam.thickness
    return "floated" if thick > CLAMPED_MM else "clamped"
