"""A drawn panel: the outline, folds, parts and keep-outs that its drawing holds."""

from __future__ import annotations

from loftline.errors import Finding
from loftline.project import Drawing, Project
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


def drawn_findings(project: Project, joined: int) -> tuple[Finding, ...]:
    """What was found in the drawing, what was left out, and whether its folds fold anything.

    ``joined`` is the number of parts that folds join to each other.
    """
    drawing = project.panel.drawing
    if drawing is None:
        return ()
    return (*_found(drawing), *_unfolded(drawing, joined))


def _unfolded(drawing: Drawing, joined: int) -> tuple[Finding, ...]:
    if not (drawing.parts and drawing.folds) or joined > 1:
        return ()
    unfolded = Finding(
        code="folds-join-nothing",
        severity="warning",
        where="panel.drawn.parts",
        message="no fold lies between two drawn parts, so the bag is not closed",
        remedy="draw the parts on both sides of each fold, or take parts out of [panel.drawn] "
        "and the folds cut the panel into parts",
    )
    return (unfolded,)


def _found(drawing: Drawing) -> tuple[Finding, ...]:
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
