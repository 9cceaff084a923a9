"""Sizes in an SVG drawing: lengths with units, view boxes, transforms, the page."""

from __future__ import annotations

import re
from typing import Final
from xml.etree.ElementTree import Element

import numpy as np
import numpy.typing as npt
import svgelements

from loftline.project.drawn.drawing import DrawnUnit, Refusal
from loftline.project.drawn.svg.attributes import called
from loftline.units import show

Floats = npt.NDArray[np.float64]

PX_MM: Final = 25.4 / 96
UNIT_MM: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "q": 0.25,
    "px": PX_MM,
    "": PX_MM,
}
NUMBER: Final = r"[+-]?(?:[0-9]++\.?[0-9]*+|\.[0-9]++)(?:[eE][+-]?[0-9]++)?"
_LENGTH: Final = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]{{0,2}}|%)\s*")
NUMBERS: Final = re.compile(NUMBER)
POINTS: Final = re.compile(rf"(?:{NUMBER}|[\s,]++)*+")
_TRANSFORM: Final = re.compile(
    rf"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\((?:{NUMBER}|[\s,]++)*+\)[\s,]*+)*+"
)


def page(root: Element, unit: DrawnUnit | None) -> tuple[Floats, tuple[float, float], str]:
    """From the root's own units to mm with y up."""
    flip = np.diag([1.0, -1.0, 1.0])
    box = view_box(root)
    if unit is not None:
        size = (box[2], box[3]) if box else (1.0, 1.0)
        scale = UNIT_MM[unit]
        matrix = flip @ np.diag([scale, scale, 1.0])
        return matrix, size, f"one unit of the drawing is 1 {unit}, as the project file says"
    scaled = np.diag([PX_MM, PX_MM, 1.0])
    sides = [root.get(key, "100%") for key in ("width", "height")]
    fallback = (box[2], box[3]) if box else (300.0, 150.0)
    width, height = (length(side, whole) for side, whole in zip(sides, fallback, strict=True))
    if not (width > 0 and height > 0):
        raise Refusal("file", "the drawing's page has no size; set its width and height")
    words = {match[2].casefold() for side in sides if (match := _LENGTH.fullmatch(side))}
    known = box is not None and bool(words - {"", "px", "%"})
    says = "sizes as the file says"
    if not known and not words - {"", "px", "%"}:
        says = "the file names no unit, so 96 of its units are an inch"
    if box is not None:
        scaled = scaled @ fitted(root, box, (0.0, 0.0, width, height))
        width, height = box[2], box[3]
    return flip @ scaled, (width, height), says


def transform(element: Element) -> Floats:
    """An element's own transform, 3 by 3."""
    text = element.get("transform")
    if text is None or not text.strip():
        return np.eye(3)
    if len(text) > 10_000 or not _TRANSFORM.fullmatch(text):
        raise Refusal("file", f"{called(element)} has a transform that cannot be read")
    try:
        m = svgelements.Matrix(text)
        found = np.array([[m.a, m.c, m.e], [m.b, m.d, m.f], [0, 0, 1]], dtype=np.float64)
    except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
        raise Refusal("file", f"{called(element)} has a transform that cannot be read") from None
    if not sound(found):
        raise Refusal("file", f"{called(element)} is moved beyond all bounds")
    return found


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Left, top, width and height of a view box; ``None`` without one."""
    text = element.get("viewBox")
    if text is None:
        return None
    found = NUMBERS.findall(text) if len(text) < 500 and POINTS.fullmatch(text) else []
    if len(found) != 4:
        raise Refusal("file", "the drawing's viewBox should be four numbers")
    x, y, width, height = (float(number) for number in found)
    if not (0 < width < 1e9 and 0 < height < 1e9 and abs(x) < 1e9 and abs(y) < 1e9):
        raise Refusal("file", "the drawing's viewBox has no size, or one beyond all bounds")
    return x, y, width, height


def fitted(
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


def length(text: str, whole: float) -> float:
    """In px; per cent of the viewport's side."""
    match = _LENGTH.fullmatch(text[:60]) if text != "auto" else _LENGTH.fullmatch("100%")
    unit = match[2].casefold() if match else "?"
    if match is None or (unit != "%" and unit not in UNIT_MM):
        raise Refusal("file", f"the drawing holds the length {show(text)}, which is not read")
    value = float(match[1])
    if not abs(value) < 1e9:
        raise Refusal("file", f"the drawing holds the length {show(text)}; that is too large")
    return value * whole / 100 if unit == "%" else value * UNIT_MM[unit] / PX_MM


def sound(numbers: Floats) -> bool:
    """Whether all are numbers, and none is endless."""
    return bool(np.isfinite(numbers).all())
