"""A plan as one binary answer: a header in JSON, then arrays of whole numbers.

``LOFT``, the header's length (uint32), the header (UTF-8, filled up to a multiple of 4 with
spaces), then the arrays one after the other, little-endian, each filled up in the same way.
The header's key ``arrays`` names them in order, each with its kind of number and its count.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from loftline.geometry import only_polygons, pack, rings
from loftline.project import Motif
from loftline.project.table import Table
from loftline.units import parse_length
from loftline.values import Floats, Panel, Plan
from loftline.web.edits import Tables
from loftline.web.figures import figures
from loftline.web.spots import spot_of
from loftline.web.walk import SIDES, make_legs
from loftline.writers.svg.closed import parts_words
from loftline.writers.svg.closed_place import closed_notes
from loftline.writers.svg.letters import lettered

MAGIC: Final = b"LOFT"
CELL_MM: Final = 10.0
LONGEST_LIST: Final = 64
"""Longer lists of a project, such as points of an outline, are not sent: no field shows them."""

Header = dict[str, object]
Arrays = dict[str, npt.NDArray[np.generic]]


def answer(header: Header, arrays: Mapping[str, npt.NDArray[np.generic]]) -> bytes:
    """Header and arrays in one piece.

    Args:
        header: what JSON can hold.
        arrays: whole numbers by name: int32, uint32 or uint8.
    """
    listed = [
        {"name": name, "type": array.dtype.str[1:], "count": int(array.size)}
        for name, array in arrays.items()
    ]
    text = json.dumps({**header, "arrays": listed}, ensure_ascii=False, allow_nan=False)
    head = text.encode("utf-8", "replace")
    head += b" " * (-len(head) % 4)
    parts = [MAGIC, struct.pack("<I", len(head)), head]
    for array in arrays.values():
        data = array.astype(array.dtype.newbyteorder("<")).tobytes()
        parts += [data, b"\0" * (-len(data) % 4)]
    return b"".join(parts)


def plan_answer(plan: Plan, data: Tables) -> tuple[Header, Arrays]:
    """What the page shows of a plan."""
    panel = plan.panel
    header: Header = {
        "name": plan.project.name,
        "slug": plan.project.slug,
        "units": plan.project.units,
        "unit_mm": parse_length(1, plan.project.units),
        "by_hand": plan.project.machine.guided == "hand",
        "data": shortened(data),
        "usual": shortened(plan.project.model_copy(update={"sizes": ()})),
        "bounds": _numbers(panel.outline.buffer(panel.overhang).bounds),
        "outline_bounds": _numbers(panel.outline.bounds),
        "pieces": _pieces(panel, data),
        "zones": _drawn_zones(panel, data),
        "folds": [
            {"name": fold.name, "line": [*_numbers(fold.start), *_numbers(fold.end)]}
            for fold in panel.folds
        ],
        "parts": [part.name for part in panel.parts],
        "regions": [region.name for region in panel.regions],
        "places": {
            part.name: _numbers(part.area.representative_point().coords[0])
            for part in panel.parts
            if not part.area.is_empty
        },
        "region_places": {
            region.name: _numbers(region.outline.representative_point().coords[0])
            for region in panel.regions
        },
        "edges": [name for name in panel.edge_lengths if name != "outline"][:LONGEST_LIST],
        "seams": [[seam.name, round(seam.length, 1)] for seam in plan.report.seams],
        "figures": figures(plan),
        "cautions": list(plan.report.cautions),
        "advice": list(plan.report.advice),
        "work": [{"title": s.title, "says": list(s.sentences)} for s in plan.report.work],
        "findings": _findings(plan),
        "closed": [[face.name, *face.size, parts_words(face)] for face in panel.closed],
        "closed_notes": closed_notes(panel, plan.project.units) if panel.closed else [],
        "strap": panel.strap,
        "letters": [[letter, thing.name] for letter, thing in lettered(panel)],
        "clean": plan.clean,
        "hoopings": _hoopings(plan),
        "bobbin": _bobbin(plan),
    }
    stiffness, counts = _stiffness(plan)
    return header | {"stiffness": stiffness}, _arrays(plan) | {"stiffness": counts}


def _stiffness(plan: Plan) -> tuple[Header, npt.NDArray[np.generic]]:
    """Needle points in a square centimetre, cell by cell, row by row from below.

    Each cell tells the mean of itself and those around it, so that a single line is no pattern.
    """
    x0, y0, x1, y1 = plan.panel.outline.bounds
    columns, rows = (max(1, math.ceil((b - a) / CELL_MM)) for a, b in ((x0, x1), (y0, y1)))
    column = np.floor((plan.sewn.x / 10 - x0) / CELL_MM).astype(np.int64)
    row = np.floor((plan.sewn.y / 10 - y0) / CELL_MM).astype(np.int64)
    inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
    place = row[inside] * columns + column[inside]
    counts = np.bincount(place, minlength=rows * columns).reshape(rows, columns)
    around = np.pad(counts.astype(np.float64), 1, mode="edge")
    mean = sum(around[i : i + rows, k : k + columns] for i in range(3) for k in range(3)) / 9.0
    header: Header = {"cell": CELL_MM, "low": [x0, y0], "columns": columns}
    return header, np.minimum(np.rint(mean * (10 / CELL_MM) ** 2), 255).astype(np.uint8).ravel()


def _numbers(values: Sequence[float]) -> list[float]:
    return [round(float(value), 2) + 0.0 for value in values]


def shortened(value: object) -> object:
    """Tables by the file's keys, without lists that are too long for any field."""
    if isinstance(value, Motif):
        return value.name
    if isinstance(value, Table):
        fields = type(value).model_fields.items()
        return {info.alias or name: shortened(getattr(value, name)) for name, info in fields}
    if isinstance(value, Mapping):
        return {str(key): shortened(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        if len(value) > LONGEST_LIST and not isinstance(value[0], Mapping | Table):
            return {"long": len(value)}
        return [shortened(item) for item in value]
    return value if isinstance(value, str | int | float | bool | None) else str(value)


def _entries(data: Tables, key: str) -> list[Mapping[str, object]]:
    found = data.get(key)
    return [e for e in found if isinstance(e, Mapping)] if isinstance(found, list) else []


def _source(name: str, plain: Mapping[str, int]) -> int | None:
    """Which entry of the file a piece is: its own, or one of a row of that name."""
    if name in plain:
        return plain[name]
    stem = name.rpartition(" ")[0]
    return plain.get(stem)


def _named(data: Tables, key: str, usual: Sequence[str]) -> dict[str, int]:
    entries = _entries(data, key)
    return {str(entry.get("name", usual[i])).strip(): i for i, entry in enumerate(entries)}


def _pieces(panel: Panel, data: Tables) -> list[Header]:
    usual = [
        f"{str(entry.get('kind', 'hardware')).strip()} {i + 1}"
        for i, entry in enumerate(_entries(data, "hardware"))
    ]
    sources = _named(data, "hardware", usual)
    entries = _entries(data, "hardware")
    found: list[Header] = []
    for piece in panel.pieces:
        source = _source(piece.mate_of or piece.name, sources)
        at = entries[source].get("at") if source is not None else None
        mate = entries[source].get("mate") if source is not None else None
        own = isinstance(at, list) or (isinstance(at, Mapping) and "from" in at)
        placed = isinstance(mate, Mapping) and "at" in mate
        found.append(
            {
                "name": piece.name,
                "kind": piece.kind,
                "at": _numbers(piece.at),
                "size": _numbers(
                    (
                        piece.outline.bounds[2] - piece.outline.bounds[0],
                        piece.outline.bounds[3] - piece.outline.bounds[1],
                    )
                ),
                "round": len(piece.outline.exterior.coords) > 5,
                "sits": piece.sits,
                "fitted": piece.fitted,
                "mate_of": piece.mate_of,
                "face_up": piece.face_up,
                "from_cut": None if piece.from_cut is None else round(piece.from_cut, 1),
                "from_finished": None
                if piece.from_finished is None
                else round(piece.from_finished, 1),
                "index": source,
                "moves": source is not None
                and ((piece.mate_of is None and own) or (piece.mate_of is not None and placed)),
            }
        )
    return found


def _drawn_zones(panel: Panel, data: Tables) -> list[Header]:
    entries = _entries(data, "keep_outs")
    sources = _named(data, "keep_outs", [f"keep-out {i + 1}" for i in range(len(entries))])
    found: list[Header] = []
    for zone in panel.keep_outs:
        if zone.hardware:
            continue
        x0, y0, x1, y1 = zone.outline.bounds
        index = sources.get(zone.name)
        shape = entries[index].get("shape") if index is not None else "polygon"
        found.append(
            {
                "name": zone.name,
                "at": _numbers(((x0 + x1) / 2, (y0 + y1) / 2)),
                "size": _numbers((x1 - x0, y1 - y0)),
                "round": shape == "circle",
                "shape": shape,
                "index": index,
                "moves": index is not None and shape in {"circle", "rectangle"},
            }
        )
    return found


def _findings(plan: Plan) -> list[Header]:
    found: list[Header] = []
    for finding in plan.findings:
        spot = spot_of(finding, plan)
        found.append(
            {
                "code": finding.code,
                "severity": finding.severity,
                "where": finding.where,
                "message": finding.message,
                "remedy": finding.remedy,
                "at": None if spot.at is None else _numbers(spot.at),
                "names": list(spot.names),
                "field": spot.field,
            }
        )
    return found


def _hoopings(plan: Plan) -> list[Header]:
    """Where the hoop lies in each placing, and the needle points that are sewn there."""
    last = max(len(plan.sewn) - 1, 0)
    return [
        {
            "place": None if hooping.place is None else _numbers(hooping.place),
            "turn": hooping.turn,
            "first": hooping.first,
            "last": last if hooping.last is None else hooping.last,
        }
        for hooping in plan.hoopings
    ]


def _bobbin(plan: Plan) -> Header:
    """What the sew-through tells of the bobbin: mm that one holds, and that one bag takes."""
    bobbins = plan.report.bobbins
    return {
        "holds": 0.0 if bobbins is None else round(bobbins.metres * 1000, 1),
        "takes": round(plan.report.bobbin_thread.expected, 1),
        "needle": round(plan.report.needle_thread.expected, 1),
    }


def _arrays(plan: Plan) -> Arrays:
    """Needle points in tenths of a millimetre, areas in hundredths, the sew-through."""
    panel, sewn = plan.panel, plan.sewn
    points = np.column_stack([sewn.x, sewn.y]).ravel().astype(np.int32)
    legs = make_legs(plan)
    arrays: Arrays = {
        "points": points,
        "run": sewn.run.astype(np.uint32),
        "kind": sewn.kind.astype(np.uint8),
    }
    grown = panel.outline.buffer(panel.overhang, join_style="round")
    zones = [zone.zone or zone.outline.buffer(zone.reach) for zone in panel.keep_outs]
    reach = only_polygons(shapely.union_all(zones))
    for name, curves in (
        ("outline", rings(panel.outline)),
        ("overhang", rings(grown)),
        ("reach", rings(reach)),
        ("darts", [ring for dart in panel.darts for ring in rings(dart.wedge)]),
        ("regions", [ring for region in panel.regions for ring in rings(region.outline)]),
        ("hard", [ring for zone in panel.keep_outs for ring in rings(zone.outline)]),
    ):
        arrays[name], arrays[f"{name}_starts"] = _packed(curves)
    arrays["leg_first"] = np.array([leg.first for leg in legs], np.uint32)
    arrays["leg_last"] = np.array([leg.last for leg in legs], np.uint32)
    arrays["leg_kind"] = np.array([leg.kind for leg in legs], np.uint8)
    arrays["leg_left"] = np.array([SIDES.index(leg.left) for leg in legs], np.uint8)
    arrays["leg_length"] = np.array([round(leg.length * 100) for leg in legs], np.uint32)
    arrays["leg_so_far"] = np.array([round(leg.so_far * 1e6) for leg in legs], np.uint32)
    return arrays


def _packed(curves: Sequence[Floats]) -> tuple[npt.NDArray[np.generic], npt.NDArray[np.generic]]:
    if not curves:
        return np.empty(0, np.int32), np.zeros(1, np.uint32)
    points, starts = pack(list(curves))
    return np.rint(points * 100).ravel().astype(np.int32), starts.astype(np.uint32)
