"""Hardware in its place: size, position, other half, and how far the needle stays away."""

from __future__ import annotations

import difflib
import itertools
import math
from dataclasses import replace

import shapely
from shapely import Polygon

from loftline.errors import Fault, Finding
from loftline.geometry import circle, place, rectangle
from loftline.panel.fold_room import moved_for_room, room_findings
from loftline.panel.folding import mate_place
from loftline.panel.mates import meeting, sides_that_part, with_distances
from loftline.panel.rows import NoRowError, row_places
from loftline.panel.shapes import Edge, Shape, between
from loftline.project import EdgePlace, EdgeRow, FootSpec, HardwareSpec, KeepOutSpec, Project
from loftline.trade.hardware import UNKNOWN_FITTED, UNKNOWN_SITS, HardwareKind, look_up
from loftline.values import KeepOut, Piece, Point


def place_hardware(
    project: Project, shape: Shape, faults: list[Fault], findings: list[Finding]
) -> tuple[Piece, ...]:
    """All pieces of the file, each followed by its other half where it has one."""
    pieces: list[Piece] = []
    taken = {spec.name for spec in project.hardware} | {spec.name for spec in project.keep_outs}
    for i, spec in enumerate(project.hardware):
        where = f"hardware[{i}]"
        kind = look_up(spec.kind)
        size = _size(spec, kind)
        for name, at in _places(spec, shape, f"{where}.at", taken, faults):
            piece = replace(_piece(spec, kind, at, size, project.machine.foot), name=name)
            if shapely.distance(piece.outline, shape.outline) > 0:
                faults.append(
                    Fault(
                        where=f"{where}.at",
                        message=f'"{name}" at {place(at)} lies wholly outside the panel; '
                        f"the panel reaches from {place(shape.outline.bounds[:2])} "
                        f"to {place(shape.outline.bounds[2:])}",
                    )
                )
                continue
            pieces.append(piece)
            if spec.mate:
                mate = _other_half(piece, size, shape, where, faults, findings)
                if mate is not None:
                    mate = moved_for_room(mate, project)
                    pieces[-1], mate = meeting(piece, mate, spec, kind, shape)
                    pieces.append(mate)
    findings.extend(_overlaps(pieces))
    findings.extend(room_findings(project, tuple(pieces)))
    findings.extend(sides_that_part(pieces, shape))
    return tuple(with_distances(pieces, shape.outline, project.panel.seam_allowance))


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
        )
        for piece in pieces
        if piece.fitted == "before quilting"
    ]
    for i, spec in enumerate(project.keep_outs):
        where = f"keep_outs[{i}]"
        at = None if spec.at is None else _position(spec.at, shape, f"{where}.at", faults)
        if at is None and spec.shape != "polygon":
            continue
        outline = _drawn(spec, at or (0.0, 0.0))
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


def _drawn(spec: KeepOutSpec, at: Point) -> Polygon:
    if spec.shape == "polygon":
        return Polygon(spec.points or ())
    if spec.shape == "circle":
        return circle(at, spec.diameter or 0.0)
    return rectangle(at, spec.width or 0.0, spec.height or 0.0)


def _places(
    spec: HardwareSpec, shape: Shape, where: str, taken: set[str], faults: list[Fault]
) -> list[tuple[str, Point]]:
    """Where a piece lies; of a row, each piece with a number behind its name."""
    if not isinstance(spec.at, EdgeRow):
        at = _position(spec.at, shape, where, faults)
        return [] if at is None else [(spec.name, at)]
    edge = _edge(spec.at.along, shape, f"{where}.along", faults)
    if edge is None:
        return []
    try:
        places = row_places(spec.at, edge, shape.outline)
    except NoRowError as error:
        faults.append(Fault(where=f"{where}.{error.key}", message=str(error)))
        return []
    fresh = (name for n in itertools.count(1) if (name := f"{spec.name} {n}") not in taken)
    named = list(zip(itertools.islice(fresh, len(places)), places, strict=True))
    taken.update(name for name, _ in named)
    return named


def _position(at: Point | EdgePlace, shape: Shape, where: str, faults: list[Fault]) -> Point | None:
    if not isinstance(at, EdgePlace):
        return at
    if isinstance(at.from_, str):
        edge = _edge(at.from_, shape, f"{where}.from", faults)
        return None if edge is None else edge.inside(_one(at.distance))
    edges = [_edge(name, shape, f"{where}.from", faults) for name in at.from_]
    first, second = edges
    if first is None or second is None:
        return None
    far = at.distance if isinstance(at.distance, tuple) else (at.distance, at.distance)
    at_both = between(first, second, far)
    if at_both is None:
        says = f'"{at.from_[0]}" and "{at.from_[1]}" run the same way; name two that meet'
        faults.append(Fault(where=f"{where}.from", message=says))
    return at_both


def _one(distance: float | tuple[float, float]) -> float:
    return distance[0] if isinstance(distance, tuple) else distance


def _edge(name: str, shape: Shape, where: str, faults: list[Fault]) -> Edge | None:
    edge = shape.edges.get(name)
    if edge is not None:
        return edge
    if shape.edges:
        near = difflib.get_close_matches(name, shape.edges, 1)
        guess = f'; did you mean "{near[0]}"?' if near else ""
        known = ", ".join(f'"{word}"' for word in shape.edges)
        message = f'no edge is called "{name}"; this shape has {known}{guess}'
    else:
        message = "a polygon's edges have no names; give the centre as [x, y]"
    faults.append(Fault(where=where, message=message))
    return None


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


def _piece(
    spec: HardwareSpec,
    kind: HardwareKind | None,
    at: Point,
    size: tuple[float, float] | float,
    foot: FootSpec | None,
) -> Piece:
    sits = spec.sits or (kind.sits if kind else UNKNOWN_SITS)
    reach = spec.clearance
    if sits == "above" and foot is not None:
        # the clearance is the foot's too, which may come from any side: its farthest corner
        # sweeps a disc
        corner = math.hypot(max(foot.left, foot.right), max(foot.front, foot.back))
        reach += corner
    return Piece(
        name=spec.name,
        kind=spec.kind,
        at=at,
        outline=_hard_edge(at, size),
        clearance=spec.clearance,
        reach=reach,
        sits=sits,
        fitted=spec.fitted or (kind.fitted if kind else UNKNOWN_FITTED),
        magnetic=kind.magnetic if kind else "magnet" in spec.kind.lower(),
    )


def _other_half(
    piece: Piece,
    size: tuple[float, float] | float,
    shape: Shape,
    where: str,
    faults: list[Fault],
    findings: list[Finding],
) -> Piece | None:
    """The mate, where the closed bag brings it: a reflection over each fold between."""
    point = shapely.Point(piece.at)
    home = next((p.name for p in shape.parts if p.area.covers(point)), None)
    found = None if home is None else _across(shape, home, piece.at)
    if found is None:
        parts = " or ".join(f'"{name}"' for name in shape.facing)
        lies = f'lies on the part "{home}"' if home else "lies outside every part"
        message = f'"{piece.name}" {lies}, which closes onto nothing there; place it on '
        message += parts or "a part that lies over another when the bag is closed"
        faults.append(Fault(where=f"{where}.mate", message=message))
        return None
    other, at = found
    outline = _hard_edge(at, size)
    area = next(p.area for p in shape.parts if p.name == other)
    name = f"{piece.name}, other half"
    if not area.covers(outline):
        findings.append(
            Finding(
                code="mate-outside-part",
                severity="error",
                where=f"{name} at {place(at)}",
                message=f'the other half of "{piece.name}" would not lie wholly on the '
                f'part "{other}" when the bag is closed',
                remedy=f'move "{piece.name}" or change the panel so that both halves lie inside',
            )
        )
        if shapely.distance(outline, shape.outline) > 0:
            return None
    return Piece(
        name=name,
        kind=piece.kind,
        at=at,
        outline=outline,
        clearance=piece.clearance,
        reach=piece.reach,
        sits=piece.sits,
        fitted=piece.fitted,
        mate_of=piece.name,
        magnetic=piece.magnetic,
    )


def _across(shape: Shape, home: str, at: Point) -> tuple[str, Point] | None:
    """The part that lies against a place in the closed bag, and where on it."""
    if not shape.facing:
        return mate_place(shape.parts, shape.folds, home, at)
    if home not in shape.facing:
        return None
    other, move = shape.facing[home]
    return other, move(at)


def _overlaps(pieces: list[Piece]) -> list[Finding]:
    if len(pieces) < 2:
        return []
    tree = shapely.STRtree([piece.outline for piece in pieces])
    first, second = tree.query([piece.outline for piece in pieces], predicate="intersects")
    return [
        Finding(
            code="pieces-overlap",
            severity="warning",
            where=f"{place(pieces[i].at)} and {place(pieces[j].at)}",
            message=f'"{pieces[i].name}" and "{pieces[j].name}" lie over each other',
            remedy="move one of them, unless they are fitted on different layers",
        )
        for i, j in zip(first.tolist(), second.tolist(), strict=True)
        if i < j
    ]
