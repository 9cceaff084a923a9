"""A drawn panel: the outline, folds, parts and keep-outs that its drawing holds."""

from __future__ import annotations

from loftline.errors import Finding
from loftline.project import Project
from loftline.values import KeepOut

__all__ = ["drawn_findings", "drawn_keep_outs"]


def drawn_keep_outs(project: Project) -> tuple[KeepOut, ...]:
    """Keep-outs of the drawing, named apart from those of the project file."""
    drawing, table = project.panel.drawing, project.panel.drawn
    if drawing is None or table is None:
        return ()
    taken = {spec.name for spec in project.hardware}
    taken |= {spec.name for spec in project.keep_outs}
    zones = []
    for zone in drawing.keep_outs:
        name = zone.name
        while name in taken:
            name += ", drawn"
        taken.add(name)
        zones.append(
            KeepOut(
                name=name,
                outline=zone.area,
                clearance=table.clearance,
                reach=table.clearance,
                sits="inside",
                hardware=False,
            )
        )
    return tuple(zones)


def drawn_findings(project: Project) -> tuple[Finding, ...]:
    """What was found in the drawing, and what was left out."""
    drawing = project.panel.drawing
    if drawing is None:
        return ()
    found = Finding(
        code="drawing-read",
        severity="note",
        where="panel.file",
        message=drawing.found,
        remedy="compare the size and the counts with what you drew",
    )
    if not drawing.ignored:
        return (found,)
    left_out = Finding(
        code="drawing-ignored",
        severity="note",
        where="panel.file",
        message=drawing.ignored,
        remedy="where something is missing, name its layer in [panel.drawn]",
    )
    return (found, left_out)
