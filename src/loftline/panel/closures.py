"""Hardware in its place: size, position, other half, and how far the needle stays away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Polygon

from loftline.errors import Fault, Finding
from loftline.geometry import circle, place, rectangle
from loftline.panel.closed_bag import ClosedBag
from loftline.panel.fold_room import Room, depth_findings, needed_room, room_findings
from loftline.panel.mates import meeting, sides_that_part, with_distances
from loftline.panel.other_halves import closing_of, other_half
from loftline.panel.places import place_of, places_of
from loftline.panel.shape import Shape
from loftline.project import EdgeRow, FootSpec, HardwareSpec, KeepOutSpec, Project, RegionSpec
from loftline.project.limits import MOST_PIECES
from loftline.trade.hardware import UNKNOWN_FITTED, UNKNOWN_SITS, HardwareKind, look_up
from loftline.units import format_length, show
from loftline.values import KeepOut, Piece, Point, Sits


def place_hardware(
    project: Project, shape: Shape, bag: ClosedBag, faults: list[Fault], findings: list[Finding]
) -> tuple[Piece, ...]:
    """All pieces of the file, each followed by its other half where it has one."""
    pieces: list[Piece] = []
    rooms: list[Room] = []
    closing = closing_of(shape, bag, needed_room(project), project.panel.fold_room)
    taken = {spec.name for spec in project.hardware} | {spec.name for spec in project.keep_outs}
    count = 0
    for i, spec in enumerate(project.hardware):
        where = f"hardware[{i}]"
        kind = look_up(spec.kind)
        size = _size(spec, kind)
        places = places_of(spec.name, spec.at, shape, f"{where}.at", taken, faults)
        count += len(places)
        if count > MOST_PIECES:
            says = f"found {count} pieces up to here; at most {MOST_PIECES} are placed on a panel"
            faults.append(Fault(where=f"{where}.at", message=says))
            break
        row = [replace(_piece(project, spec, kind, at, size), name=name) for name, at in places]
        if isinstance(spec.at, EdgeRow) and _crowded(row):
            step = format_length(math.dist(row[0].at, row[1].at), project.units)
            says = f"the pieces would lie over each other, {step} from centre to centre; place "
            says += "them farther apart, or fewer of them"
            key = "count" if spec.at.every is None else "every"
            faults.append(Fault(where=f"{where}.at.{key}", message=says))
            continue
        before = len(faults)
        for piece in row:
            if len(faults) > before:
                break  # the rest of a row has the same fault
            if shapely.distance(piece.outline, shape.outline) > 0:
                faults.append(_outside(piece, shape, f"{where}.at"))
                continue
            pieces.append(piece)
            half = other_half(piece, spec, closing, where, faults) if spec.mate else None
            if half is None:
                continue
            findings.extend(half.findings)
            rooms.extend([] if half.room is None else [half.room])
            if shapely.distance(half.piece.outline, shape.outline) == 0:
                both = meeting(piece, half.piece, spec, kind, bag)
                foot = project.machine.foot
                pieces[-1:] = [
                    replace(each, reach=_reach(each.lies, each.clearance, foot)) for each in both
                ]
    findings.extend(_overlaps(pieces))
    findings.extend(room_findings(rooms, project))
    findings.extend(depth_findings(rooms, bag.gussets, project))
    findings.extend(sides_that_part(pieces, bag))
    return tuple(with_distances(pieces, shape.outline, project.panel.seam_allowance))


def _crowded(row: Sequence[Piece]) -> bool:
    """Whether the pieces of a row, all alike and evenly apart, lie over each other."""
    if len(row) < 2:
        return False
    return row[0].outline.intersection(row[1].outline).area > 0


def _outside(piece: Piece, shape: Shape, where: str) -> Fault:
    return Fault(
        where=where,
        message=f"{show(piece.name)} at {place(piece.at)} lies wholly outside the panel; "
        f"the panel reaches from {place(shape.outline.bounds[:2])} "
        f"to {place(shape.outline.bounds[2:])}",
    )


def keep_outs(
    project: Project, shape: Shape, pieces: tuple[Piece, ...], faults: list[Fault]
) -> tuple[KeepOut, ...]:
    """What the needle must stay away from: pieces fitted before quilting and drawn zones."""
    zones = [
        KeepOut(
            name=piece.name,
            outline=piece.outline,
            clearance=piece.clearance,
            reach=piece.reach,
            sits=piece.sits,
            mate_of=piece.mate_of,
            outer_down=piece.outer_down,
        )
        for piece in pieces
        if piece.fitted == "before quilting"
    ]
    for i, spec in enumerate(project.keep_outs):
        where = f"keep_outs[{i}]"
        at = None if spec.at is None else place_of(spec.at, shape, f"{where}.at", faults)
        if at is None and spec.shape != "polygon":
            continue
        outline = drawn_outline(spec, at or (0.0, 0.0))
        if not outline.is_valid or outline.area <= 0:
            message = f'the outline of "{spec.name}" crosses itself or holds no area'
            faults.append(Fault(where=f"{where}.points", message=message))
            continue
        if shapely.distance(outline, shape.outline) > 0:
            message = f'"{spec.name}" lies wholly outside the panel; move it or leave it out'
            faults.append(Fault(where=where, message=message))
            continue
        zones.append(
            KeepOut(
                name=spec.name,
                outline=outline,
                clearance=spec.clearance,
                reach=spec.clearance,
                sits="inside",
                hardware=False,
            )
        )
    return tuple(zones)


def drawn_outline(spec: KeepOutSpec | RegionSpec, at: Point) -> Polygon:
    """The border of a drawn shape about its centre."""
    if spec.shape == "polygon":
        return Polygon(spec.points or ())
    if spec.shape == "circle":
        return circle(at, spec.diameter or 0.0)
    return rectangle(at, spec.width or 0.0, spec.height or 0.0)


def _size(spec: HardwareSpec, kind: HardwareKind | None) -> tuple[float, float] | float:
    """A diameter, or width and height; the project file sees to it that there is one."""
    if spec.diameter is not None:
        return spec.diameter
    if spec.width is not None and spec.height is not None:
        return (spec.width, spec.height)
    if kind is not None and kind.diameter is not None:
        return kind.diameter
    if kind is not None and kind.width is not None and kind.height is not None:
        return (kind.width, kind.height)
    raise AssertionError(f"{spec.name} has no size")


def _hard_edge(at: Point, size: tuple[float, float] | float) -> Polygon:
    return rectangle(at, *size) if isinstance(size, tuple) else circle(at, size)


def _reach(lies: Sits, clearance: float, foot: FootSpec | None) -> float:
    """How far the needle stays away: of what stands above, for the foot's sake too.

    The foot may come from any side: its farthest corner sweeps a disc.
    """
    if lies != "above" or foot is None:
        return clearance
    return clearance + math.hypot(max(foot.left, foot.right), max(foot.front, foot.back))


def _piece(
    project: Project,
    spec: HardwareSpec,
    kind: HardwareKind | None,
    at: Point,
    size: tuple[float, float] | float,
) -> Piece:
    piece = Piece(
        name=spec.name,
        kind=spec.kind,
        at=at,
        outline=_hard_edge(at, size),
        clearance=spec.clearance,
        reach=spec.clearance,
        sits=spec.sits or (kind.sits if kind else UNKNOWN_SITS),
        fitted=spec.fitted or (kind.fitted if kind else UNKNOWN_FITTED),
        magnetic=kind.magnetic if kind else "magnet" in spec.kind.lower(),
        outer_down=project.quilting.sewn_from == "back",
    )
    return replace(piece, reach=_reach(piece.lies, spec.clearance, project.machine.foot))


def _overlaps(pieces: list[Piece]) -> list[Finding]:
    """A warning for first halves and other pieces; what an other half lies on is an error."""
    placed = [piece for piece in pieces if piece.mate_of is None]
    if len(placed) < 2:
        return []
    outlines = [piece.outline for piece in placed]
    first, second = shapely.STRtree(outlines).query(outlines, predicate="intersects")
    return [
        Finding(
            code="pieces-overlap",
            severity="warning",
            where=f"{place(placed[i].at)} and {place(placed[j].at)}",
            message=f"{show(placed[i].name)} and {show(placed[j].name)} lie over each other",
            remedy="move one of them, unless they are fitted on different layers",
        )
        for i, j in zip(first.tolist(), second.tolist(), strict=True)
        if i < j
    ]
