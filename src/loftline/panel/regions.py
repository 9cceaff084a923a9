"""Regions that the maker draws, in their places on the panel."""

from __future__ import annotations

import shapely

from loftline.errors import Fault, Finding
from loftline.panel.closures import drawn_outline
from loftline.panel.places import place_of
from loftline.panel.shape import Shape
from loftline.project import Project
from loftline.units import show
from loftline.values import KeepOut, Piece, Region

_LEAST_MM2 = 1.0
"""Of a region less than this is nothing to quilt."""

_MOST_LISTED = 8


def make_regions(project: Project, shape: Shape, faults: list[Fault]) -> tuple[Region, ...]:
    """The regions of the file in their order; where two overlap the later one is on top.

    Args:
        project: for its regions.
        shape: what they lie on.
        faults: gains names of parts, edges that do not exist, outlines that cross themselves
            and regions wholly outside.
    """
    parts = {part.name for part in shape.parts}
    regions = []
    for i, spec in enumerate(project.regions):
        where = f"regions[{i}]"
        if spec.name in parts:
            says = f"{show(spec.name)} is a part of the panel; choose another"
            faults.append(Fault(where=f"{where}.name", message=says))
        at = None if spec.at is None else place_of(spec.at, shape, f"{where}.at", faults)
        if at is None and spec.shape != "polygon":
            continue
        outline = drawn_outline(spec, at or (0.0, 0.0))
        if not outline.is_valid or outline.area <= 0:
            says = f"the border of {show(spec.name)} crosses itself or holds no area"
            faults.append(Fault(where=f"{where}.points", message=says))
        elif shapely.area(shapely.intersection(outline, shape.outline)) < _LEAST_MM2:
            says = f"{show(spec.name)} lies wholly outside the panel; move it or leave it out"
            faults.append(Fault(where=where, message=says))
        else:
            sewn = spec.border == "sewn"
            regions.append(Region(name=spec.name, outline=outline, sewn_border=sewn))
    return tuple(regions)


def region_findings(regions: tuple[Region, ...], project: Project) -> list[Finding]:
    """Notes on regions that change nothing, and on those that others cover."""
    filled = {fill.part for fill in project.fills}
    findings = []
    for i, region in enumerate(regions):
        later = [other for other in regions[i + 1 :] if other.name in filled]
        left = shapely.difference(region.outline, shapely.union_all([o.outline for o in later]))
        if region.name not in filled and not region.sewn_border:
            findings.append(
                Finding(
                    code="region-unused",
                    severity="note",
                    where=region.name,
                    message=f"the region {show(region.name)} has no design and no sewn border, so "
                    "it changes nothing",
                    remedy=f'give a fill part = "{region.name}", or the region border = "sewn"',
                )
            )
        elif region.name in filled and left.area < _LEAST_MM2:
            findings.append(
                Finding(
                    code="region-covered",
                    severity="note",
                    where=region.name,
                    message=f"the region {show(region.name)} lies wholly under later ones, so its "
                    "design does not show",
                    remedy="put it after them in the file, or move it",
                )
            )
    return findings


def check_echoes(
    project: Project,
    pieces: tuple[Piece, ...],
    zones: tuple[KeepOut, ...],
    regions: tuple[Region, ...],
    faults: list[Fault],
) -> None:
    """Faults of echoes round what is not there."""
    names = [piece.name for piece in pieces] + [zone.name for zone in zones]
    names = list(dict.fromkeys([*names, *(region.name for region in regions)]))
    for i, fill in enumerate(project.fills):
        if fill.echo_of is None or fill.echo_of in names:
            continue
        has = ", ".join(show(name) for name in names[:_MOST_LISTED])
        has = f"on the panel lie {has}" if names else "nothing lies on the panel"
        says = f"found {show(fill.echo_of)}; {has}"
        faults.append(Fault(where=f"fills[{i}].echo_of", message=says))
