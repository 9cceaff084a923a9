"""The panel: outline, parts, folds, hardware, keep-out zones and ways, from the project."""

from __future__ import annotations

import shapely

from loftline.errors import Fault, Finding, ProjectError
from loftline.geometry import inside_seams, place, polygons
from loftline.panel.allowances import by_foot, with_allowances
from loftline.panel.closed_bag import close_bag
from loftline.panel.closed_edge import closed_edge
from loftline.panel.closures import keep_outs as make_keep_outs, place_hardware
from loftline.panel.dart_checks import darts_across_folds, darts_apart, on_darts
from loftline.panel.darts import make_darts
from loftline.panel.drawn import drawn_findings, drawn_keep_outs
from loftline.panel.edge_lengths import check_seams, edge_lengths
from loftline.panel.faces import closed_faces, closed_size, sewn_faces
from loftline.panel.ground import edge_way, make_ground, make_sewable, used_run_off
from loftline.panel.gussets import stand_square
from loftline.panel.in_seams import in_seams
from loftline.panel.laid_folds import lay_folds
from loftline.panel.mates import mates_in_the_way
from loftline.panel.on_folds import folds_aslant, on_folds
from loftline.panel.regions import check_echoes, make_regions, region_findings
from loftline.panel.shapes import Shape, make_shape
from loftline.panel.standing import standing_size
from loftline.panel.starts import find_starts
from loftline.panel.under import under_parts
from loftline.panel.ways import make_ways, shut_to_travel
from loftline.panel.within import panel_within
from loftline.project import Project
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Area, KeepOut, Panel

__all__ = ["closed_faces", "make_panel", "panel_within"]


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
    finished = inside_seams(shape.outline, spec.seam_allowance)
    if finished.is_empty:
        faults.append(_all_seam(project))
    square = stand_square(shape.parts, shape.folds)
    if spec.shape != "boxed tote side":  # its base stands square anyway
        faults.extend(Fault(where="panel.folds", message=says) for says in square.trouble)
    bag = close_bag(shape.parts, square, finished)
    pieces = place_hardware(project, shape, bag, faults, findings)
    zones = make_keep_outs(project, shape, pieces, faults) + drawn_keep_outs(project)
    findings.extend(drawn_findings(project, len(bag.moves)))
    darts = make_darts(
        spec.darts,
        shape.outline,
        shape.folds,
        seam_allowance=spec.seam_allowance,
        units=project.units,
        faults=faults,
        findings=findings,
    )
    start = closed_edge(project.quilting.from_edge, shape, faults)
    starts = find_starts(project.fills, shape, faults)
    regions = make_regions(project, shape, faults)
    check_echoes(project, pieces, zones, regions, faults)
    check_seams(project.seams, shape, faults)
    if faults:
        raise ProjectError(faults)
    edge, notes = edge_way(
        project.quilting.edge, spec.overhang, spec.seam_allowance, project.layers.foam_to
    )
    run_off = used_run_off(spec.run_off, edge, spec.overhang)
    ground = make_ground(shape.outline, run_off, spec.seam_allowance)
    folds = lay_folds(shape.folds, shape.outline, ground)
    zones = by_foot(with_allowances(zones, project, shape.outline), darts, project, ground)
    sewable = make_sewable(ground, zones, darts)
    findings.extend(notes)
    findings.extend(_run_off_unused(spec.run_off, run_off))
    findings.extend(on_darts(darts, pieces, zones))
    findings.extend(darts_apart(darts))
    findings.extend(darts_across_folds(darts, shape.folds))
    findings.extend(_over_the_edge(zones, shape))
    findings.extend(_origin(shape))
    findings.extend(mates_in_the_way(pieces, zones, shape.outline, finished))
    findings.extend(in_seams(pieces, finished, project.units))
    findings.extend(under_parts(bag, pieces, zones))
    findings.extend(on_folds(pieces, shape.folds))
    findings.extend(folds_aslant(shape.folds, shape.outline, pieces))
    findings.extend(_in_pieces(sewable, ground))
    findings.extend(region_findings(regions, project))
    faces = sewn_faces(square.parts, square.folds, finished)
    return Panel(
        name=project.name,
        outline=shape.outline,
        parts=shape.parts,
        folds=folds,
        seam_allowance=spec.seam_allowance,
        overhang=spec.overhang,
        edge=edge,
        ground=ground,
        sewable=sewable,
        pieces=pieces,
        keep_outs=zones,
        ways=make_ways(
            sewable,
            ground,
            edge,
            folds,
            shut_to_travel(
                folds, shape.outline, ground, project.layers.foam_to, spec.seam_allowance
            ),
        ),
        findings=tuple(findings),
        darts=darts,
        closed_size=closed_size(square.parts, square.folds),
        run_off=run_off,
        closed_edge=start,
        closed=faces,
        gussets=square.gussets,
        standing=standing_size(spec, faces, shape.folds, darts, finished),
        strap=spec.shape == "strap",
        edge_lengths=edge_lengths(shape),
        moves=bag.moves,
        regions=regions,
        starts=starts,
    )


def _all_seam(project: Project) -> Fault:
    much = format_length(project.panel.seam_allowance, project.units)
    says = f"found {much}; it takes up the whole outline from both sides, nothing is left between"
    return Fault(where="panel.seam_allowance", message=f"{says} the seams")


def _run_off_unused(wanted: float | None, used: float) -> list[Finding]:
    """A note where lines end before the trimming line although a run-off is given."""
    if wanted is None or used > 0:
        return []
    return [
        Finding(
            code="run-off-unused",
            severity="note",
            where="panel.run_off",
            message="lines end in the seam allowance, so they do not run off",
            remedy="for lines that run off, travel in the overhang",
        )
    ]


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
