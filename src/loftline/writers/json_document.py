"""The JSON document: the whole plan in one file, for other programs to read.

Its keys are fixed and told in docs/json-document.md and
:mod:`loftline.writers.json_schema`.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import LinearRing

from loftline.errors import Finding
from loftline.geometry import polygons
from loftline.values import (
    KIND_WORDS,
    Area,
    ClosedFace,
    Dart,
    Floats,
    KeepOut,
    Lines,
    Panel,
    Piece,
    Plan,
    Report,
    Sewn,
)
from loftline.writers.json_cutting import cutting_document
from loftline.writers.json_threads import (
    band,
    bobbin_document,
    draw_in_document,
    seam_document,
    thread_document,
    time_document,
    work_document,
)

DECIMALS = 2
"""Lengths are told to a hundredth of a millimetre."""

Points = list[list[float]]
Json = dict[str, object]


def json_document(plan: Plan, files: Sequence[Mapping[str, str]]) -> bytes:
    """Write a plan as one compact JSON document.

    Args:
        plan: the plan.
        files: for each hooping the stitch files that are written, by ending.

    Returns:
        UTF-8 text with the keys in their fixed order; millimetres to 0.01 in panel
        coordinates, y up, closed lines repeat their first point. O(n).
    """
    document = {
        "format": 1,
        "name": plan.project.name,
        "panel": _panel(plan.panel),
        "keep_outs": [_keep_out(zone) for zone in plan.panel.keep_outs],
        "lines": _lines(plan.lines),
        "stitches": _stitches(plan.sewn),
        "hoopings": _hoopings(plan, files),
        "report": _report(plan.report) | {"sewn_from": plan.project.quilting.sewn_from},
        "findings": [_finding(finding) for finding in plan.findings],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    # a lone surrogate in a name has no bytes in UTF-8: told as "?"
    return text.encode("utf-8", "replace")


def _points(coordinates: Floats) -> Points:
    # adding zero turns -0.0 into 0.0
    rounded: Points = (np.round(coordinates, DECIMALS) + 0.0).tolist()
    return rounded


def _ring(ring: LinearRing) -> Points:
    return _points(shapely.get_coordinates(ring))


def _panel(panel: Panel) -> Json:
    parts: dict[str, Points] = {}
    for part in panel.parts:
        # the outline of a part that lies in several pieces is told piece by piece
        for number, piece in enumerate(polygons(part.area), 1):
            name = part.name if number == 1 else f"{part.name} ({number})"
            parts[name] = _ring(piece.exterior)
    return {
        "outline": _ring(panel.outline.exterior),
        "holes": [_ring(hole) for hole in panel.outline.interiors],
        "parts": parts,
        "folds": [_points(np.array([fold.start, fold.end])) for fold in panel.folds],
        "darts": [_dart(dart) for dart in panel.darts],
        "fold_settings": [
            {
                "name": fold.name,
                "closed_to": fold.closed_to,
                "gap": round(fold.gap, DECIMALS),
                "crease": fold.crease,
                "bends": fold.bends,
            }
            for fold in panel.folds
        ],
        "closed_size": None if panel.closed_size is None else _sizes(panel.closed_size),
        "gussets": [
            {"name": name, "depth": round(width, DECIMALS)} for name, width in panel.gussets
        ],
        "standing": None if panel.standing is None else _sizes(panel.standing),
        "closed": {face.name: _closed(face) for face in panel.closed},
        "run_off": round(panel.run_off, DECIMALS),
        "hardware": [_piece(piece) for piece in panel.pieces],
    }


def _sizes(sizes: Sequence[float]) -> list[float]:
    return [round(size, DECIMALS) for size in sizes]


def _closed(face: ClosedFace) -> Json:
    parts = [
        {"part": shown.part, "up": _points(np.array([shown.up]))[0], "seen": _areas(shown.area)}
        for shown in face.parts
    ]
    return {"size": _sizes(face.size), "parts": parts}


def _areas(area: Area) -> list[list[Points]]:
    """Each piece of an area as its rings, outside first."""
    return [
        [_ring(piece.exterior), *(_ring(hole) for hole in piece.interiors)]
        for piece in polygons(area)
    ]


def _piece(piece: Piece) -> Json:
    far = (piece.from_cut, piece.from_finished)
    from_cut, from_finished = (None if mm is None else round(mm, DECIMALS) + 0.0 for mm in far)
    return {
        "name": piece.name,
        "kind": piece.kind,
        "at": _points(np.array([piece.at]))[0],
        "outline": _ring(piece.outline.exterior),
        "sits": piece.sits,
        "fitted": piece.fitted,
        "mate_of": piece.mate_of,
        "face_up": piece.face_up or None,
        "from_cut": from_cut,
        "from_finished": from_finished,
    }


def _dart(dart: Dart) -> Json:
    return {
        "name": dart.name,
        "wedge": _ring(dart.wedge.exterior),
        "tip": _points(np.array([dart.tip]))[0],
        "ends": _points(np.array(dart.ends)),
        "legs": [round(length, DECIMALS) for length in dart.leg_lengths],
        "seam": round(dart.seam, DECIMALS),
    }


def _keep_out(zone: KeepOut) -> Json:
    return {
        "name": zone.name,
        "outline": _ring(zone.outline.exterior),
        "clearance": round(zone.clearance, DECIMALS),
        "sits": zone.sits,
        "mate_of": zone.mate_of,
        "tolerance": round(zone.tolerance, DECIMALS),
        "draw_in": round(zone.draw_in, DECIMALS),
        "reach": round(zone.reach, DECIMALS),
    }


def _lines(lines: Lines) -> list[Points]:
    points = _points(lines.points)
    starts = lines.starts.tolist()
    return [points[a:b] for a, b in itertools.pairwise(starts)]


def _stitches(sewn: Sewn) -> Json:
    return {
        "x": (sewn.x / 10).tolist(),
        "y": (sewn.y / 10).tolist(),
        "run": sewn.run.tolist(),
        "kind": np.array(KIND_WORDS)[sewn.kind].tolist(),
    }


def _hoopings(plan: Plan, files: Sequence[Mapping[str, str]]) -> list[Json]:
    return [
        {
            "files": dict(names),
            "origin": [tenths / 10 for tenths in hooping.origin or plan.sewn.origin],
            "first": hooping.first,
            "last": len(plan.sewn) - 1 if hooping.last is None else hooping.last,
            "field": None if hooping.seen is None else list(hooping.seen),
            "turn": hooping.turn,
            "hoop": None if hooping.hoop is None else list(hooping.hoop),
            "cell": None if hooping.cell is None else list(hooping.cell),
            "marks": [
                {"at": [round(x, 2) for x in mark.at], "kind": mark.kind, "sewn": mark.sewn}
                for mark in hooping.marks
            ],
            "misplacing": hooping.misplacing,
        }
        for hooping, names in zip(plan.hoopings, files, strict=True)
    ]


def _report(report: Report) -> Json:
    return {
        "stitches": report.stitches,
        "runs": report.runs,
        "cuts": report.cuts,
        "turns": report.turns,
        "length": {kind: round(length, DECIMALS) for kind, length in report.length.items()},
        "needle_thread": band(report.needle_thread),
        "bobbin_thread": band(report.bobbin_thread),
        "minutes": round(report.minutes, DECIMALS),
        "cost": round(report.cost, DECIMALS),
        "least_cost": round(report.least_cost, DECIMALS),
        "optimal": report.optimal,
        "copies": report.copies,
        "versions": dict(report.versions),
        "needle_batch": band(report.needle_batch),
        "bobbin_batch": band(report.bobbin_batch),
        "waste": report.waste,
        "model": report.model,
        "advice": list(report.advice),
        "cautions": list(report.cautions),
        "cost_parts": {part: round(mm, DECIMALS) for part, mm in report.cost_parts.items()},
        "order": _order(report),
        "extra": {name: round(figure, 4) for name, figure in report.extra.items()},
        "cutting": None if report.cutting is None else cutting_document(report.cutting),
        "seams": [seam_document(seam) for seam in report.seams],
        "threads": [thread_document(total) for total in report.threads],
        "bobbins": None if report.bobbins is None else bobbin_document(report.bobbins),
        "times": [time_document(times) for times in report.times],
        "class_minutes": (
            None if report.class_minutes is None else round(report.class_minutes, DECIMALS)
        ),
        "work": [work_document(step) for step in report.work],
        "draw_in": None if report.draw_in is None else draw_in_document(report.draw_in),
    }


def _order(report: Report) -> Json:
    habit = report.habit
    return {
        "name": report.order,
        "least_cost": round(report.least_cost if habit is None else habit.least_cost, DECIMALS),
        "optimal": report.optimal if habit is None else habit.optimal,
        "free_cost": round(report.cost if habit is None else habit.free_cost, DECIMALS),
    }


def _finding(finding: Finding) -> Json:
    return {
        "code": finding.code,
        "severity": finding.severity,
        "where": finding.where,
        "message": finding.message,
        "remedy": finding.remedy,
    }
