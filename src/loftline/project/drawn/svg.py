"""Lines of an SVG drawing: guards first, then every shape on its own.

The tree is walked here, with counts of all that could grow; only single paths, transforms
and view boxes are given to the library.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final
from xml.etree.ElementTree import Element, ParseError

import numpy as np
import numpy.typing as npt
import svgelements
from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from loftline.project.drawn.curves import bezier, ellipse
from loftline.project.drawn.drawing import DrawnUnit, Refusal, Sheet, Stroke
from loftline.project.drawn.limits import (
    FARTHEST_MM,
    FLAT_MM,
    MOST_DEPTH,
    MOST_DRAWN_POINTS,
    MOST_ELEMENTS,
    MOST_NUMBERS,
)
from loftline.project.drawn.names import clean
from loftline.units import show

Floats = npt.NDArray[np.float64]

_PX_MM: Final = 25.4 / 96
_UNIT_MM: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "q": 0.25,
    "px": _PX_MM,
    "": _PX_MM,
}
_NUMBER = r"[+-]?(?:[0-9]++\.?[0-9]*+|\.[0-9]++)(?:[eE][+-]?[0-9]++)?"
_LENGTH: Final = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z]{{0,2}}|%)\s*")
_NUMBERS: Final = re.compile(_NUMBER)
_PATH: Final = re.compile(rf"\s*(?:[Mm](?:[MmLlHhVvCcSsQqTtAaZz]|{_NUMBER}|[\s,]++)*+)?")
_POINTS: Final = re.compile(rf"(?:{_NUMBER}|[\s,]++)*+")
_TRANSFORM: Final = re.compile(
    rf"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\((?:{_NUMBER}|[\s,]++)*+\)[\s,]*+)*+"
)
# A document type that only names the standard declares nothing.
_DOCTYPE: Final = re.compile(
    rb"<!DOCTYPE\s+svg(?:\s+(?:PUBLIC|SYSTEM)(?:\s+(?:\"[^\"\[<>]*\"|'[^'\[<>]*'))*)?\s*>"
)
_GROUPS: Final = {"g", "svg", "a", "switch"}
_SHAPES: Final = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_SILENT: Final = {
    "defs",
    "title",
    "desc",
    "metadata",
    "symbol",
    "style",
    "script",
    "namedview",
    "clipPath",
    "mask",
    "pattern",
    "marker",
    "linearGradient",
    "radialGradient",
    "filter",
    "view",
}
_WORDS: Final = {"text": ("text", "texts"), "image": ("image", "images")}
_OTHER: Final = ("thing that is no line", "things that are no lines")
_HIDDEN: Final = ("hidden shape", "hidden shapes")


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the walk is: the transform so far, the viewport, the names around."""

    matrix: Floats
    view: tuple[float, float]
    names: tuple[str, ...]
    layer: str
    depth: int
    hidden: bool
    uses: tuple[int, ...]


def read_svg(data: bytes, unit: DrawnUnit | None) -> Sheet:
    """Read the lines of an SVG drawing.

    Raises:
        Refusal: with one sentence.
    """
    root = _tree(data)
    if _tag(root) != "svg":
        raise Refusal("file", "the file is XML but no SVG drawing")
    return _Reader(root).sheet(unit)


def _tree(data: bytes) -> Element:
    if data.count(b"<") > 2 * MOST_ELEMENTS:
        raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} elements")
    try:
        root: Element = fromstring(_DOCTYPE.sub(b"", data, count=1), forbid_dtd=True)
    except DefusedXmlException:
        raise Refusal(
            "file", "the drawing declares a document type of its own; save it as plain SVG"
        ) from None
    except ParseError as error:
        line = error.position[0]
        raise Refusal(
            "file", f"the drawing is not whole XML (line {line}); save it again"
        ) from None
    except (ValueError, LookupError):
        raise Refusal(
            "file", "the drawing is in no encoding that is read; save it as UTF-8"
        ) from None
    return root


class _Reader:
    """One walk over the tree, counting."""

    def __init__(self, root: Element) -> None:
        self.root = root
        self.by_id = {e.get("id"): e for e in reversed(list(root.iter())) if e.get("id")}
        self.ignored: Counter[tuple[str, str]] = Counter()
        self.elements = 0
        self.numbers = 0
        self.points = 0

    def sheet(self, unit: DrawnUnit | None) -> Sheet:
        matrix, view, says = self._page(unit)
        place = _Place(matrix, view, (), "", 0, hidden=False, uses=())
        strokes: list[Stroke] = []
        for child in self.root:
            strokes.extend(self._walk(child, self._entered(self.root, place)))
        return Sheet(strokes=tuple(strokes), ignored=dict(self.ignored), unit=says)

    def _page(self, unit: DrawnUnit | None) -> tuple[Floats, tuple[float, float], str]:
        """From the root's own units to mm with y up."""
        flip = np.diag([1.0, -1.0, 1.0])
        box = _view_box(self.root)
        if unit is not None:
            size = (box[2], box[3]) if box else (1.0, 1.0)
            scale = _UNIT_MM[unit]
            matrix = flip @ np.diag([scale, scale, 1.0])
            return matrix, size, f"one unit of the drawing is 1 {unit}, as the project file says"
        page = np.diag([_PX_MM, _PX_MM, 1.0])
        sides = [self.root.get(key, "100%") for key in ("width", "height")]
        fallback = (box[2], box[3]) if box else (300.0, 150.0)
        width, height = (_length(side, whole) for side, whole in zip(sides, fallback, strict=True))
        words = {match[2].casefold() for side in sides if (match := _LENGTH.fullmatch(side))}
        known = box is not None and bool(words - {"", "px", "%"})
        says = "sizes as the file says"
        if not known and not words - {"", "px", "%"}:
            says = "the file names no unit, so 96 of its units are an inch"
        if box is not None:
            page = page @ _fitted(self.root, box, (0.0, 0.0, width, height))
            width, height = box[2], box[3]
        return flip @ page, (width, height), says

    def _walk(self, element: Element, place: _Place) -> Iterator[Stroke]:
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise Refusal("file", f"the drawing has more than {MOST_ELEMENTS} elements")
        if place.depth > MOST_DEPTH:
            raise Refusal("file", f"groups are nested more than {MOST_DEPTH} deep; ungroup them")
        tag = _tag(element)
        if tag in _SILENT or not tag:
            return
        if tag == "use":
            yield from self._used(element, place)
        elif tag in _GROUPS:
            inner = self._entered(element, place)
            if tag == "svg":
                inner = self._nested(element, inner)
            for child in element:
                yield from self._walk(child, inner)
        elif tag in _SHAPES:
            inner = self._entered(element, place)
            if inner.hidden:
                self.ignored[_HIDDEN] += 1
            else:
                yield from self._strokes(element, tag, replace(inner, layer=place.layer))
        else:
            self.ignored[_WORDS.get(tag, _OTHER)] += 1

    def _entered(self, element: Element, place: _Place) -> _Place:
        """The place inside an element."""
        own = _names(element)
        return _Place(
            place.matrix @ _transform(element),
            place.view,
            (*own, *place.names),
            own[0] if own else place.layer,
            place.depth + 1,
            hidden=place.hidden or _hidden(element),
            uses=place.uses,
        )

    def _nested(self, element: Element, place: _Place) -> _Place:
        """The place inside a drawing within the drawing."""
        x, y = (_length(element.get(k, "0"), w) for k, w in zip("xy", place.view, strict=True))
        width, height = (
            _length(element.get(key, "100%"), whole)
            for key, whole in zip(("width", "height"), place.view, strict=True)
        )
        box = _view_box(element)
        if box is None:
            shift = np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]])
            return replace(place, matrix=place.matrix @ shift, view=(width, height))
        fitted = _fitted(element, box, (x, y, width, height))
        return replace(place, matrix=place.matrix @ fitted, view=(box[2], box[3]))

    def _used(self, element: Element, place: _Place) -> Iterator[Stroke]:
        """What is drawn again elsewhere."""
        target = self.by_id.get(_link(element).removeprefix("#"))
        if target is None:
            self.ignored["link that leads nowhere", "links that lead nowhere"] += 1
            return
        if id(target) in place.uses:
            raise Refusal("file", f"{_called(element)} is used inside itself")
        inner = self._entered(element, place)
        x, y = (_length(element.get(k, "0"), w) for k, w in zip("xy", place.view, strict=True))
        shift = np.array([[1.0, 0, x], [0, 1.0, y], [0, 0, 1.0]])
        inner = replace(inner, matrix=inner.matrix @ shift, uses=(*place.uses, id(target)))
        if _tag(target) != "symbol":
            yield from self._walk(target, inner)
            return
        sized = Element("svg", {k: v for k, v in target.attrib.items() if k not in {"x", "y"}})
        sized.attrib.update({k: v for k, v in element.attrib.items() if k in {"width", "height"}})
        inner = self._nested(sized, self._entered(target, inner))
        for child in target:
            yield from self._walk(child, inner)

    def _strokes(self, element: Element, tag: str, place: _Place) -> Iterator[Stroke]:
        own = _names(element)
        for points, closed in self._lines(element, tag, place):
            if len(points) < 2:
                continue
            with np.errstate(all="ignore"):
                ground = points @ place.matrix[:2, :2].T + place.matrix[:2, 2]
            if not (np.abs(ground) <= FARTHEST_MM).all():  # not a number too
                raise Refusal("file", f"{_called(element)} reaches farther than 10 km")
            self._drawn(0 if tag == "path" else len(points))
            yield Stroke(
                points=ground,
                closed=closed,
                own=own[0] if own else "",
                names=place.names,
                layer=place.layer,
            )

    def _lines(self, element: Element, tag: str, place: _Place) -> Iterator[tuple[Floats, bool]]:
        """Lines of one shape in its own units, and whether each is closed."""
        stretch = float(np.linalg.norm(place.matrix[:2, :2], 2)) if _sound(place.matrix) else 0.0
        if not 0 < stretch < 1e9:
            raise Refusal("file", f"{_called(element)} is scaled to nothing, or beyond all bounds")
        flat = FLAT_MM / stretch
        if tag == "path":
            yield from self._path(element, flat)
            return
        if tag in {"polyline", "polygon"}:
            text = element.get("points", "")
            if not _POINTS.fullmatch(text):
                raise Refusal("file", f"{_called(element)} holds something that is no number")
            found = [float(n) for n in self._counted(text)]
            yield np.array(found[: len(found) // 2 * 2]).reshape(-1, 2), tag == "polygon"
            return
        view = {"x": place.view[0], "y": place.view[1], "r": math.hypot(*place.view) / 2**0.5}
        size = {
            key: _length(element.get(key, "0"), view[_axis(key)])
            for key in ("x", "y", "width", "height", "cx", "cy", "r", "x1", "y1", "x2", "y2")
        }
        if tag == "line":
            yield np.array([[size["x1"], size["y1"]], [size["x2"], size["y2"]]]), False
        elif tag == "rect":
            yield from _rectangle(element, size, view, flat)
        else:
            rx = ry = size["r"]
            if tag == "ellipse":
                rx, ry = (_length(element.get(f"r{k}", "0"), view[k]) for k in "xy")
            if rx > 0 and ry > 0:
                centre = (size["cx"], size["cy"])
                yield ellipse(centre, (rx, 0.0), (0.0, ry), 0.0, 2 * math.pi, flat)[:-1], True

    def _path(self, element: Element, flat: float) -> Iterator[tuple[Floats, bool]]:
        text = element.get("d", "")
        if not _PATH.fullmatch(text):
            raise Refusal("file", f"{_called(element)} holds something that is no path")
        self._counted(text)
        try:
            path = svgelements.Path(text)
        except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
            raise Refusal("file", f"{_called(element)} has a number too few or too many") from None
        pieces: list[Floats] = []
        for segment in path:
            if isinstance(segment, svgelements.Move):
                if pieces:
                    yield np.concatenate(pieces), False
                pieces = [_xy(segment.end)]
                continue
            if not pieces:  # a path may go on after it was closed
                pieces = [_xy(segment.start)]
            if isinstance(segment, svgelements.Close):
                yield np.concatenate(pieces), True
                pieces = []
            else:
                pieces.append(_flat(segment, flat))
                self._drawn(len(pieces[-1]))
        if pieces:
            yield np.concatenate(pieces), False

    def _drawn(self, count: int) -> None:
        self.points += count
        if self.points > MOST_DRAWN_POINTS:
            raise Refusal("file", "the drawing has too many curves to be one panel")

    def _counted(self, text: str) -> list[str]:
        found = _NUMBERS.findall(text)
        self.numbers += len(found)
        if self.numbers > MOST_NUMBERS:
            raise Refusal(
                "file", f"the paths hold more than {MOST_NUMBERS} numbers; simplify the drawing"
            )
        return found


def _flat(segment: svgelements.PathSegment, flat: float) -> Floats:
    """Points of a piece of a path after its first."""
    if isinstance(segment, svgelements.Line):
        return _xy(segment.end)
    if isinstance(segment, svgelements.Arc):
        centre = (segment.center.x, segment.center.y)
        x_axis = (segment.prx.x - centre[0], segment.prx.y - centre[1])
        y_axis = (segment.pry.x - centre[0], segment.pry.y - centre[1])
        start = _xy(segment.start)[0] - centre
        axes = np.array([x_axis, y_axis]).T
        if not _sound(axes) or abs(np.linalg.det(axes)) < 1e-12:
            return _xy(segment.end)
        cosine, sine = np.linalg.solve(axes, start)
        begin = math.atan2(sine, cosine)
        points = ellipse(centre, x_axis, y_axis, begin, float(segment.sweep), flat)[1:]
        points[-1] = _xy(segment.end)[0]
        return points
    control = [segment.start, segment.end]
    if isinstance(segment, svgelements.CubicBezier):
        control[1:1] = [segment.control1, segment.control2]
    else:
        control[1:1] = [segment.control]
    return bezier(np.concatenate([_xy(point) for point in control]), flat)


def _rectangle(
    element: Element, size: dict[str, float], view: dict[str, float], flat: float
) -> Iterator[tuple[Floats, bool]]:
    x, y, width, height = size["x"], size["y"], size["width"], size["height"]
    if not (width > 0 and height > 0):
        return
    given = {k: element.get(f"r{k}") for k in "xy"}
    round_x, round_y = given["x"] or given["y"] or "0", given["y"] or given["x"] or "0"
    rx = min(max(_length(round_x, view["x"]), 0.0), width / 2)
    ry = min(max(_length(round_y, view["y"]), 0.0), height / 2)
    if not (rx and ry):
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        yield np.array(corners), True
        return
    centres = [
        (x + width - rx, y + height - ry),
        (x + rx, y + height - ry),
        (x + rx, y + ry),
        (x + width - rx, y + ry),
    ]
    quarter = math.pi / 2
    arcs = [
        ellipse(centre, (rx, 0.0), (0.0, ry), i * quarter, quarter, flat)
        for i, centre in enumerate(centres)
    ]
    yield np.concatenate(arcs), True


def _xy(point: svgelements.Point) -> Floats:
    try:
        return np.array([[float(point.x), float(point.y)]])
    except (AttributeError, TypeError):
        raise Refusal("file", "a path of the drawing begins nowhere") from None


def _tag(element: Element) -> str:
    """Name without its namespace; empty for what belongs to no drawing."""
    tag: object = element.tag
    if not isinstance(tag, str):  # a comment
        return ""
    space, _, name = tag.rpartition("}")
    return name if space in {"", "{http://www.w3.org/2000/svg"} else ""


def _names(element: Element) -> tuple[str, ...]:
    """What an element is called: its label first, then its id."""
    labels = [
        v for k, v in element.attrib.items() if k.rpartition("}")[2] in {"label", "data-name"}
    ]
    found = (clean(name) for name in (*labels, element.get("id", "")))
    return tuple(dict.fromkeys(name for name in found if name))


def _called(element: Element) -> str:
    names = _names(element)
    tag = element.tag.rpartition("}")[2]
    return f"{tag} {show(names[0])}" if names else f"a {tag} of the drawing"


def _link(element: Element) -> str:
    links = [v for k, v in element.attrib.items() if k.rpartition("}")[2] == "href"]
    return links[0].strip() if links else ""


def _hidden(element: Element) -> bool:
    style = dict(
        re.findall(r"(?:^|;)\s*([a-z-]{1,20})\s*:\s*([a-z]{1,20})", element.get("style", "")[:2000])
    )
    display = style.get("display", element.get("display"))
    visible = style.get("visibility", element.get("visibility"))
    return display == "none" or visible in {"hidden", "collapse"}


def _transform(element: Element) -> Floats:
    text = element.get("transform")
    if text is None or not text.strip():
        return np.eye(3)
    if len(text) > 10_000 or not _TRANSFORM.fullmatch(text):
        raise Refusal("file", f"{_called(element)} has a transform that cannot be read")
    try:
        m = svgelements.Matrix(text)
        found = np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0, 0, 1]], dtype=np.float64)
    except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
        raise Refusal("file", f"{_called(element)} has a transform that cannot be read") from None
    if not _sound(found):
        raise Refusal("file", f"{_called(element)} is moved beyond all bounds")
    return found


def _view_box(element: Element) -> tuple[float, float, float, float] | None:
    text = element.get("viewBox")
    if text is None:
        return None
    found = _NUMBERS.findall(text) if len(text) < 500 and _POINTS.fullmatch(text) else []
    if len(found) != 4:
        raise Refusal("file", "the drawing's viewBox should be four numbers")
    x, y, width, height = (float(number) for number in found)
    if not (0 < width < 1e9 and 0 < height < 1e9 and abs(x) < 1e9 and abs(y) < 1e9):
        raise Refusal("file", "the drawing's viewBox has no size, or one beyond all bounds")
    return x, y, width, height


def _fitted(
    element: Element,
    box: tuple[float, float, float, float],
    view: tuple[float, float, float, float],
) -> Floats:
    """From the units of a view box to those around it."""
    how = element.get("preserveAspectRatio", "xMidYMid meet").split()
    align = how[0] if how else "xMidYMid"
    scale = [view[2] / box[2], view[3] / box[3]]
    if align != "none":
        scale = [max(scale) if how[-1] == "slice" else min(scale)] * 2
    shift = [view[0] - box[0] * scale[0], view[1] - box[1] * scale[1]]
    for axis, letter in enumerate("xY"):
        spare = view[2 + axis] - box[2 + axis] * scale[axis]
        if f"{letter}Mid" in align:
            shift[axis] += spare / 2
        elif f"{letter}Max" in align:
            shift[axis] += spare
    return np.array([[scale[0], 0, shift[0]], [0, scale[1], shift[1]], [0, 0, 1.0]])


def _length(text: str, whole: float) -> float:
    """In px; per cent of the viewport's side."""
    match = _LENGTH.fullmatch(text[:60]) if text != "auto" else _LENGTH.fullmatch("100%")
    unit = match[2].casefold() if match else "?"
    if match is None or (unit != "%" and unit not in _UNIT_MM):
        raise Refusal("file", f"the drawing holds the length {show(text)}, which is not read")
    value = float(match[1])
    if not abs(value) < 1e9:
        raise Refusal("file", f"the drawing holds the length {show(text)}; that is too large")
    return value * whole / 100 if unit == "%" else value * _UNIT_MM[unit] / _PX_MM


def _axis(key: str) -> str:
    if key == "r":
        return "r"
    return "x" if key in {"x", "width", "cx", "x1", "x2"} else "y"


def _sound(numbers: Floats) -> bool:
    return bool(np.isfinite(numbers).all())
