"""The panel: outline, parts, folds, hardware, keep-out zones and ways, from the project."""

from __future__ import annotations

import shapely

from loftline.errors import Fault, Finding, ProjectError
from loftline.geometry import place, polygons
from loftline.panel.allowances import by_foot, with_allowances
from loftline.panel.closures import keep_outs as make_keep_outs, place_hardware
from loftline.panel.darts import make_darts, on_darts
from loftline.panel.drawn import drawn_findings, drawn_keep_outs
from loftline.panel.folding import ClosedFace, closed_faces, closed_size
from loftline.panel.ground import edge_way, make_ground, make_sewable, make_ways
from loftline.panel.mates import mates_in_the_way
from loftline.panel.shapes import Shape, make_shape
from loftline.project import Project
from loftline.units import SAME_PLACE_MM
from loftline.values import Area, KeepOut, Panel

__all__ = ["ClosedFace", "closed_faces", "make_panel"]


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
    zones = make_keep_outs(project, shape, pieces, faults) + drawn_keep_outs(project)
    findings.extend(drawn_findings(project))
    darts = make_darts(
        spec.darts,
        shape.outline,
        shape.folds,
        seam_allowance=spec.seam_allowance,
        units=project.units,
        faults=faults,
        findings=findings,
    )
    if faults:
        raise ProjectError(faults)
    edge, notes = edge_way(
        project.quilting.edge, spec.overhang, spec.seam_allowance, project.layers.foam_to
    )
    ground = make_ground(shape.outline, edge, spec.overhang, spec.seam_allowance)
    zones = by_foot(with_allowances(zones, project, shape.outline), darts, project, ground)
    sewable = make_sewable(ground, zones, darts)
    findings.extend(notes)
    findings.extend(on_darts(darts, pieces, zones))
    findings.extend(_over_the_edge(zones, shape))
    findings.extend(_origin(shape))
    findings.extend(mates_in_the_way(pieces, zones, shape.outline, spec.seam_allowance))
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
        darts=darts,
        closed_size=closed_size(shape.parts, shape.folds),
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


def _origin(shape: Shape) -> list[Finding]:
    """A note where a polygon's points do not begin at (0, 0)."""
    corner = shape.outline.bounds[:2]
    if max(abs(c) for c in corner) < SAME_PLACE_MM:
        return []
    return [
        Finding(
            code="origin-elsewhere",
            severity="note",
            where=f"panel, {place(corner)}",
            message=f"the panel's lower left lies at {place(corner)}, not at (0, 0); all places "
            "are measured from the same (0, 0) as its points",
        )
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
            message=f"keep-outs or darts cut the panel into {after} pieces for the needle, "
            f"the smallest {least / 100:.1f} square centimetres",
            remedy="expect a thread cut between the pieces",
        )
    ]
