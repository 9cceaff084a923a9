"""A plan as the panel lies when it is sewn from the back: turned over, left to right.

A plan tells all places with the outer fabric up. What lies under the needle outer fabric down,
and what is printed for it, is the mirror image about the middle of the outline, so that the
zero stays at its lower left corner. Turned over twice, everything is as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final, TypeVar

import numpy as np
import shapely

from loftline.values import (
    Affine,
    ClosedFace,
    Dart,
    Floats,
    Fold,
    Hooping,
    KeepOut,
    Lines,
    Network,
    Panel,
    Piece,
    Plan,
    Point,
    Region,
    Report,
    Sewn,
    Ways,
)

Shape = TypeVar("Shape", bound=shapely.Geometry)

_FACES: Final[Mapping[str, str]] = MappingProxyType(
    {"marked face up": "marked face down", "marked face down": "marked face up"}
)
"""A magnet's face that lies towards the outer fabric lies down where that does."""


def as_sewn(plan: Plan) -> Plan:
    """The plan as its panel lies under the needle; itself where the outer fabric lies up."""
    if plan.panel.seen_from == plan.project.quilting.sewn_from:
        return plan
    return mirrored(plan)


def mirrored(plan: Plan) -> Plan:
    """Everything of a plan that has a place, seen from the other side.

    Findings keep the words they were told in. O(n) for n points of the plan.
    """
    over = _Over(plan.panel)
    return replace(
        plan,
        panel=over.panel(plan.panel),
        lines=over.lines(plan.lines),
        network=over.network(plan.network),
        hoopings=tuple(over.hooping(hooping) for hooping in plan.hoopings),
        sewn=over.sewn(plan.sewn),
        report=over.report(plan.report),
    )


def mirrored_panel(panel: Panel) -> Panel:
    """A panel seen from its other side."""
    return _Over(panel).panel(panel)


def mirrored_sewn(sewn: Sewn, panel: Panel) -> Sewn:
    """Needle points on a panel seen from its other side."""
    return _Over(panel).sewn(sewn)


def mirrored_point(at: Point, panel: Panel) -> Point:
    """A place on a panel seen from its other side."""
    return _Over(panel).point(at)


class _Over:
    """Turns things over about the middle of an outline's bounding box.

    The sum of a place and of its image is a whole number of tenths of a millimetre, so that
    needle points stay on their grid.

    Attributes:
        tenths: that sum.
        both: the same in mm.
        move: what is done to the plane.
    """

    def __init__(self, panel: Panel) -> None:
        x0, _, x1, _ = panel.outline.bounds
        self.tenths = round(10 * (x0 + x1))
        self.both = self.tenths / 10
        self.move = Affine(-1.0, 0.0, 0.0, 1.0, self.both, 0.0)

    def point(self, at: Point) -> Point:
        return (self.both - at[0], at[1])

    def points(self, points: Floats) -> Floats:
        return points * (-1.0, 1.0) + (self.both, 0.0)

    def shape(self, shape: Shape) -> Shape:
        found: Shape = shapely.transform(shape, self.points)
        return found

    def box(self, box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        return (self.both - box[2], box[1], self.both - box[0], box[3])

    def panel(self, panel: Panel) -> Panel:
        edge = panel.closed_edge
        turned = None if edge is None else (-edge.inward[0], edge.inward[1])
        return replace(
            panel,
            seen_from="back" if panel.seen_from == "outer" else "outer",
            outline=self.shape(panel.outline),
            parts=tuple(replace(part, area=self.shape(part.area)) for part in panel.parts),
            folds=tuple(self.fold(fold) for fold in panel.folds),
            ground=self.shape(panel.ground),
            sewable=self.shape(panel.sewable),
            pieces=tuple(self.piece(piece) for piece in panel.pieces),
            keep_outs=tuple(self.keep_out(zone) for zone in panel.keep_outs),
            ways=self.ways(panel.ways),
            darts=tuple(self.dart(dart) for dart in panel.darts),
            closed_edge=edge
            if edge is None or turned is None
            else replace(edge, at=self.point(edge.at), inward=turned),
            closed=tuple(self.face(face) for face in panel.closed),
            moves={part: self.move.then(move) for part, move in panel.moves.items()},
            regions=tuple(self.region(region) for region in panel.regions),
            starts=tuple(None if at is None else self.point(at) for at in panel.starts),
        )

    def fold(self, fold: Fold) -> Fold:
        return replace(
            fold,
            start=self.point(fold.start),
            end=self.point(fold.end),
            across=tuple(self.point(at) for at in fold.across),
            strip=None if fold.strip is None else self.shape(fold.strip),
        )

    def piece(self, piece: Piece) -> Piece:
        return replace(
            piece,
            at=self.point(piece.at),
            outline=self.shape(piece.outline),
            face_up=_FACES.get(piece.face_up, piece.face_up),
        )

    def keep_out(self, zone: KeepOut) -> KeepOut:
        own = None if zone.zone is None else self.shape(zone.zone)
        return replace(zone, outline=self.shape(zone.outline), zone=own)

    def ways(self, ways: Ways) -> Ways:
        return replace(ways, points=self.points(ways.points), joints=self.points(ways.joints))

    def dart(self, dart: Dart) -> Dart:
        one, two = (self.points(leg) for leg in dart.legs)
        return replace(
            dart,
            wedge=self.shape(dart.wedge),
            zone=self.shape(dart.zone),
            tip=self.point(dart.tip),
            legs=(one, two),
        )

    def face(self, face: ClosedFace) -> ClosedFace:
        """The closed bag looks as it did: only the way there from the flat panel is another."""
        parts = tuple(replace(shown, move=self.move.then(shown.move)) for shown in face.parts)
        return replace(face, parts=parts)

    def region(self, region: Region) -> Region:
        return replace(region, outline=self.shape(region.outline))

    def lines(self, lines: Lines) -> Lines:
        rows = lines.rows
        if rows is not None:
            aside = self.both * np.sin(np.radians(rows[:, 0]))
            rows = np.column_stack([-rows[:, 0], rows[:, 1] + aside])
        return replace(lines, points=self.points(lines.points), angle=-lines.angle, rows=rows)

    def network(self, network: Network) -> Network:
        return replace(
            network,
            nodes=self.points(network.nodes),
            points=self.points(network.points),
            line_points=self.points(network.line_points),
        )

    def sewn(self, sewn: Sewn) -> Sewn:
        via = sewn.via * np.array([-1, 1], np.int64) + np.array([self.tenths, 0], np.int64)
        x, y = sewn.origin
        return replace(sewn, x=self.tenths - sewn.x, via=via, origin=(self.tenths - x, y))

    def hooping(self, hooping: Hooping) -> Hooping:
        """What seemed turned to the left is turned to the right, and the other way round."""
        marks = tuple(replace(mark, at=self.point(mark.at)) for mark in hooping.marks)
        origin = hooping.origin
        return replace(
            hooping,
            off=(-hooping.off[0], hooping.off[1]),
            turn=-hooping.turn % 360,
            cell=None if hooping.cell is None else self.box(hooping.cell),
            place=None if hooping.place is None else self.box(hooping.place),
            origin=None if origin is None else (self.tenths - origin[0], origin[1]),
            marks=marks,
        )

    def report(self, report: Report) -> Report:
        if report.bobbins is None:
            return report
        changes = tuple(
            change if change.at is None else replace(change, at=self.point(change.at))
            for change in report.bobbins.changes
        )
        return replace(report, bobbins=replace(report.bobbins, changes=changes))
