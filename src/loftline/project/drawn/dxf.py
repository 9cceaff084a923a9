"""Lines of a DXF drawing: what lies in its model space, blocks drawn out, hidden layers not."""

from __future__ import annotations

import io
import logging
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.insert import Insert
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.filemanagement import dxf_stream_info, read
from ezdxf.math import OCS
from scipy.interpolate import BSpline

from loftline.project.drawn.curves import bulge, ellipse
from loftline.project.drawn.drawing import DrawnUnit, Refusal, Sheet, Stroke
from loftline.project.drawn.limits import (
    FARTHEST_MM,
    FLAT_MM,
    MOST_CURVE_POINTS,
    MOST_DEPTH,
    MOST_DRAWN_POINTS,
    MOST_ELEMENTS,
    MOST_LINES,
)
from loftline.project.drawn.names import clean
from loftline.units import show

Floats = npt.NDArray[np.float64]
Lines = Iterator[tuple[Floats, bool]]

_UNIT_MM: Final = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 10: 914.4, 14: 100.0}
_UNIT_WORDS: Final = {
    1: "inches",
    2: "feet",
    4: "mm",
    5: "cm",
    6: "metres",
    10: "yards",
    14: "decimetres",
}
_GIVEN_MM: Final = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_WORDS: Final = {
    "TEXT": ("text", "texts"),
    "MTEXT": ("text", "texts"),
    "ATTDEF": ("text", "texts"),
    "DIMENSION": ("dimension", "dimensions"),
    "HATCH": ("hatching", "hatchings"),
    "POINT": ("point", "points"),
    "IMAGE": ("image", "images"),
}
_OTHER: Final = ("thing that is no line", "things that are no lines")
_HIDDEN: Final = ("hidden shape", "hidden shapes")
_MOST_CONTROL: Final = 2000


# What the library would say on the error stream is said here in words.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk is: the transform to mm, the layer of what is on none, the blocks around."""

    matrix: Floats
    layer: str
    names: tuple[str, ...]
    blocks: tuple[str, ...]


def read_dxf(data: bytes, unit: DrawnUnit | None) -> Sheet:
    """Read the lines of a DXF drawing.

    Raises:
        Refusal: with one sentence.
    """
    document = _document(data)
    scale, says = _unit(document, unit)
    return _Reader(document).sheet(scale, says)


def _document(data: bytes) -> Document:
    if b"\0" in data:
        raise Refusal("file", "the drawing is a binary DXF file; save it as text (ASCII) DXF")
    if data.count(b"\n") > MOST_LINES:
        raise Refusal("file", f"the drawing has more than {MOST_LINES} lines of text; simplify it")
    if b"SECTION" not in data[:10_000]:
        raise Refusal("file", "the file is no DXF drawing")
    if not data.rstrip().endswith(b"EOF"):
        raise Refusal("file", "the drawing breaks off before its end; save it again")
    plain = data.decode("latin-1")
    try:
        encoding = dxf_stream_info(io.StringIO(plain)).encoding
        text = data.decode(encoding, errors="surrogateescape")
    except Exception:  # noqa: BLE001 - no header, or none that can be read: any encoding will do
        text = plain
    try:
        return read(io.StringIO(text.replace("\r\n", "\n").replace("\r", "\n")))
    except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
        return _mended(data)


def _mended(data: bytes) -> Document:
    """Simple programs write files that break the rules but hold all their lines."""
    try:
        document, _ = recover.read(io.BytesIO(data))
        if len(document.modelspace()):
            return document
    except Exception:  # noqa: BLE001, S110 - told below
        pass
    raise Refusal("file", "the drawing is no DXF file that can be read; save it again")


def _unit(document: Document, unit: DrawnUnit | None) -> tuple[float, str]:
    if unit is not None:
        return _GIVEN_MM[unit], f"one unit of the drawing is 1 {unit}, as the project file says"
    try:
        code = int(document.header.get("$INSUNITS", 0))
    except (TypeError, ValueError):
        code = 0
    if code in _UNIT_MM:
        return _UNIT_MM[code], f"sizes in {_UNIT_WORDS[code]}, as the file says"
    names = "names no unit" if code == 0 else "is in a unit that no bag is drawn in"
    raise Refusal("unit", f'is missing; the drawing {names}: add unit = "mm", "cm" or "in"')


class _Reader:
    """One walk over the model space, counting."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.ignored: Counter[tuple[str, str]] = Counter()
        self.elements = 0
        self.points = 0
        self.hidden = {
            layer.dxf.name.casefold()
            for layer in document.layers
            if layer.is_off() or layer.is_frozen()
        }

    def sheet(self, scale: float, says: str) -> Sheet:
        matrix = np.diag([scale, scale, 1.0])
        place = _Place(matrix, "0", (), ())
        strokes: list[Stroke] = []
        for entity in self.document.modelspace():
            strokes.extend(self._walk(entity, place))
        return Sheet(strokes=tuple(strokes), ignored=dict(self.ignored), unit=says)

    def _walk(self, entity: DXFEntity, place: _Place) -> Iterator[Stroke]:
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} entities")
        if not isinstance(entity, DXFGraphic):
            return
        raw = str(entity.dxf.get("layer", "0"))
        layer = place.layer if raw == "0" and place.blocks else raw
        if layer.casefold() in self.hidden or entity.dxf.get("invisible", 0) == 1:
            self.ignored[_HIDDEN] += 1
            return
        name = clean(layer)
        if isinstance(entity, Insert):
            yield from self._inserted(entity, place, layer)
            return
        yield from self._drawn(entity, place, name)

    def _drawn(self, entity: DXFGraphic, place: _Place, name: str) -> Iterator[Stroke]:
        """The lines of one entity in mm."""
        own = next((clean(block) for block in place.blocks if not block.startswith("*")), "")
        try:
            found = list(self._lines(entity, float(np.linalg.norm(place.matrix[:2, :2], 2))))
        except Refusal:
            raise
        except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
            says = f"{_called(entity, name)} cannot be read; draw it anew"
            raise Refusal("file", says) from None
        for points, closed in found:
            if len(points) < 2:
                continue
            with np.errstate(all="ignore"):
                ground = points @ place.matrix[:2, :2].T + place.matrix[:2, 2]
            if not (np.abs(ground) <= FARTHEST_MM).all():  # not a number too
                raise Refusal("file", f"{_called(entity, name)} reaches farther than 10 km")
            self.points += len(points)
            if self.points > MOST_DRAWN_POINTS:
                raise Refusal("file", "the drawing has too many curves to be one panel")
            names = tuple(dict.fromkeys((name, *place.names)))
            yield Stroke(points=ground, closed=closed, own=own, names=names, layer=name)

    def _inserted(self, insert: Insert, place: _Place, layer: str) -> Iterator[Stroke]:
        """What a block holds, drawn out in its place."""
        name = str(insert.dxf.get("name", ""))
        if name.casefold() in (block.casefold() for block in place.blocks):
            raise Refusal("file", f"the block {show(clean(name))} holds itself")
        if len(place.blocks) >= MOST_DEPTH:
            raise Refusal("file", f"blocks are nested more than {MOST_DEPTH} deep; take them apart")
        if name not in self.document.blocks:
            self.ignored["block that is not in the file", "blocks that are not in the file"] += 1
            return
        block = self.document.blocks[name]
        if not 1 <= insert.mcount <= MOST_ELEMENTS:
            raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} entities")
        names = tuple(dict.fromkeys((clean(layer), clean(name), *place.names)))
        for one in insert.multi_insert() if insert.mcount > 1 else (insert,):
            full = np.array([*one.matrix44()], dtype=np.float64).reshape(4, 4)
            matrix = np.eye(3)
            matrix[:2, :2], matrix[:2, 2] = full[:2, :2].T, full[3, :2]
            inner = place.matrix @ matrix
            if not np.isfinite(inner).all():
                raise Refusal("file", f"the block {show(clean(name))} is moved beyond all bounds")
            for entity in block:
                yield from self._walk(entity, _Place(inner, layer, names, (name, *place.blocks)))

    def _lines(self, entity: DXFGraphic, stretch: float) -> Lines:
        """Lines of one entity in its own units, and whether each is closed."""
        if not 0 < stretch < 1e9:
            raise Refusal("file", "a block of the drawing is scaled to nothing")
        flat = FLAT_MM / stretch
        if isinstance(entity, Line):
            yield np.array([entity.dxf.start, entity.dxf.end])[:, :2], False
        elif isinstance(entity, Arc | Circle):
            yield _arc(entity, flat)
        elif isinstance(entity, Ellipse):
            yield _ellipse(entity, flat)
        elif isinstance(entity, LWPolyline):
            vertices = [(x, y, b) for x, y, b in entity.get_points("xyb")]
            points = _polyline(vertices, flat, closed=entity.closed)
            yield _ground(points, entity.ocs(), float(entity.dxf.elevation)), entity.closed
        elif isinstance(entity, Polyline) and (entity.is_2d_polyline or entity.is_3d_polyline):
            flat_ones = entity.is_2d_polyline
            vertices = [
                (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0) if flat_ones else 0.0)
                for v in entity.vertices
                if not int(v.dxf.get("flags", 0)) & 16  # control points of a smoothed curve
            ]
            points = _polyline(vertices, flat, closed=entity.is_closed)
            yield (_ground(points, entity.ocs(), 0.0) if flat_ones else points), entity.is_closed
        elif isinstance(entity, Spline):
            yield _spline(entity, flat), False
        else:
            self.ignored[_WORDS.get(entity.dxftype(), _OTHER)] += 1


def _arc(entity: Circle, flat: float) -> tuple[Floats, bool]:
    """An arc or a whole circle (to the library an arc is a circle)."""
    centre, radius = entity.dxf.center, abs(float(entity.dxf.radius))
    start, turn = 0.0, 360.0
    if isinstance(entity, Arc):
        start = float(entity.dxf.start_angle)
        turn = (float(entity.dxf.end_angle) - start) % 360 or 360.0
    points = ellipse(
        (centre.x, centre.y),
        (radius, 0.0),
        (0.0, radius),
        math.radians(start),
        math.radians(turn),
        flat,
    )
    whole = turn == 360.0
    return _ground(points[:-1] if whole else points, entity.ocs(), centre.z), whole


def _ellipse(entity: Ellipse, flat: float) -> tuple[Floats, bool]:
    centre, major = entity.dxf.center, entity.dxf.major_axis
    minor = entity.minor_axis
    start = float(entity.dxf.start_param)
    turn = (float(entity.dxf.end_param) - start) % math.tau
    whole = turn < 1e-9 or math.tau - turn < 1e-9
    points = ellipse(
        (centre.x, centre.y),
        (major.x, major.y),
        (minor.x, minor.y),
        start,
        math.tau if whole else turn,
        flat,
    )
    return (points[:-1] if whole else points), whole


def _polyline(vertices: list[tuple[float, float, float]], flat: float, *, closed: bool) -> Floats:
    if not vertices:
        return np.empty((0, 2))
    ends = vertices[1:] + vertices[:1] if closed else vertices[1:]
    pieces = [np.array([vertices[0][:2]], dtype=np.float64)]
    for (x, y, b), end in zip(vertices, ends, strict=False):
        pieces.append(bulge((x, y), end[:2], b, flat))
    points = np.concatenate(pieces)
    return points[:-1] if closed and len(points) > 1 else points


def _spline(entity: Spline, flat: float) -> Floats:
    """Points of a spline: halved until no middle lies off its chord."""
    if max(len(entity.control_points), len(entity.fit_points)) > _MOST_CONTROL:
        raise Refusal("file", f"a spline has more than {_MOST_CONTROL} control points; simplify it")
    tool = entity.construction_tool()
    knots, control = np.array(tool.knots()), np.array([tuple(p) for p in tool.control_points])
    weights = np.array(tool.weights() or [1.0] * len(control))
    degree = tool.order - 1
    low, high = knots[degree], knots[len(control)]
    everything = np.concatenate([knots, control.ravel(), weights])
    if not (np.isfinite(everything).all() and high > low and (weights > 0).all() and degree < 12):
        raise ValueError("no spline")
    if np.abs(control).max() > FARTHEST_MM * 1e3:
        raise ValueError("too far")
    lifted = np.column_stack([control[:, :2] * weights[:, None], weights])
    curve = BSpline(knots, lifted, degree)
    spans = np.unique(np.clip(knots, low, high))
    pieces = 8
    while True:
        share = np.arange(pieces) / pieces
        t = np.append((spans[:-1, None] + np.diff(spans)[:, None] * share).ravel(), high)
        if len(t) > MOST_CURVE_POINTS:
            raise Refusal("file", "a curve of the drawing is far too large; is the unit right?")
        value = curve(t)
        points = value[:, :2] / value[:, 2:]
        middle = points[1:-1:2] - (points[:-2:2] + points[2::2]) / 2
        if np.hypot(*middle.T).max() <= flat:
            out: Floats = points[::1]
            return out
        pieces *= 2


def _ground(points: Floats, ocs: OCS, elevation: float) -> Floats:
    """From the entity's own plane to the drawing's, seen from above."""
    if not ocs.transform:
        return points
    return np.array([tuple(ocs.to_wcs((x, y, elevation)))[:2] for x, y in points.tolist()])


def _called(entity: DXFGraphic, layer: str) -> str:
    return f"{entity.dxftype()} on layer {show(layer)}"
