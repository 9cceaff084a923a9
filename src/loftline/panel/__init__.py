"""The panel: outline, parts, folds, hardware, keep-out zones and ways, from the project."""

from __future__ import annotations

import shapely

from loftline.errors import Fault, Finding, ProjectError
from loftline.geometry import polygons
from loftline.panel.closures import keep_outs as make_keep_outs, place_hardware
from loftline.panel.ground import edge_way, make_ground, make_sewable, make_ways
from loftline.panel.shapes import Shape, make_shape
from loftline.project import Project
from loftline.values import Area, KeepOut, Panel

__all__ = ["make_panel"]


def make_panel(project: Project) -> Panel:
    """Build the panel of a project.

    Args:
        project: the project, lengths in millimetres.

    Returns:
        The panel with all that lies on it.

    Raises:
        ProjectError: with every fault that only shows once the panel is drawn: an outline
            that crosses itself, hardware outside it, an edge that does not exist.
    """
    faults: list[Fault] = []
    findings: list[Finding] = []
    spec = project.panel
    shape = make_shape(spec, faults)
    if shape is None:
        raise ProjectError(faults)
    pieces = place_hardware(project, shape, faults, findings)
    zones = make_keep_outs(project, shape, pieces, faults)
    if faults:
        raise ProjectError(faults)
    edge, notes = edge_way(
        project.quilting.edge, spec.overhang, spec.seam_allowance, project.layers.foam_to
    )
    ground = make_ground(shape.outline, edge, spec.overhang, spec.seam_allowance)
    sewable = make_sewable(ground, zones)
    findings.extend(notes)
    findings.extend(_over_the_edge(zones, shape))
    findings.extend(_in_pieces(sewable, ground))
    return Panel(
        name=project.name,
        outline=shape.outline,
        parts=shape.parts,
        folds=shape.folds,
        seam_allowance=spec.seam_allowance,
        overhang=spec.overhang,
        edge=edge,
        ground=ground,
        sewable=sewable,
        pieces=pieces,
        keep_outs=zones,
        ways=make_ways(sewable, ground, edge),
        findings=tuple(findings),
    )


def _over_the_edge(zones: tuple[KeepOut, ...], shape: Shape) -> list[Finding]:
    return [
        Finding(
            code="keep-out-over-edge",
            severity="note",
            where=zone.name,
            message=f'"{zone.name}" hangs over the edge of the panel',
        )
        for zone in zones
        if not shape.outline.covers(zone.outline)
    ]


def _in_pieces(sewable: Area, ground: Area) -> list[Finding]:
    before, after = len(polygons(ground)), len(polygons(sewable))
    if after <= before:
        return []
    least = min(shapely.area(polygons(sewable)))
    return [
        Finding(
            code="panel-in-pieces",
            severity="note",
            where="panel",
            message=f"keep-outs cut the panel into {after} pieces for the needle, "
            f"the smallest {least / 100:.1f} square centimetres",
            remedy="expect a thread cut between the pieces",
        )
    ]
