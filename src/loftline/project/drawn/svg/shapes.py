"""Shapes of an SVG drawing as lines in their own units.

Only single paths are given to the library; they are counted before.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Final
from xml.etree.ElementTree import Element

import numpy as np
import numpy.typing as npt
import svgelements

from loftline.project.drawn.counts import Counts
from loftline.project.drawn.curves import bezier, ellipse
from loftline.project.drawn.drawing import Refusal
from loftline.project.drawn.svg.attributes import called
from loftline.project.drawn.svg.measures import NUMBER, NUMBERS, POINTS, length, sound

Floats = npt.NDArray[np.float64]
Lines = Iterator[tuple[Floats, bool]]

SHAPES: Final = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_PATH: Final = re.compile(rf"\s*(?:[Mm](?:[MmLlHhVvCcSsQqTtAaZz]|{NUMBER}|[\s,]++)*+)?")
_CLOSES: Final = re.compile(r"[Zz](?:[\s,]*+[Zz])*+")
# At a close the library looks back to the last move, so a path that goes on without one
# would take it time quadratic in its length; a move to where the pen is changes nothing.
_MOVES_ON: Final = re.compile(r"[Zz](?=[\s,]*+[LlHhVvCcSsQqTtAa])")
# A smooth curve begins straight on where no curve of its own kind came before (SVG 2, 9.3.6
# and 9.3.7); the library mirrors the other kind's control point. A line of no length is none.
_TURNS: Final = tuple(
    re.compile(rf"[{before}][-+0-9.eE\s,]*+(?=[{after}])")
    for before, after in (("QqTt", "Ss"), ("CcSs", "Tt"))
)


def lines(
    element: Element, tag: str, view: tuple[float, float], flat: float, counts: Counts
) -> Lines:
    """Lines of one shape in its own units, and whether each is closed.

    Args:
        element: the shape.
        tag: one of :data:`SHAPES`.
        view: width and height of the viewport, for per cent.
        flat: chord error in the shape's units.
        counts: what was read so far; numbers and points are added.
    """
    if tag == "path":
        yield from _path(element, flat, counts)
        return
    if tag in {"polyline", "polygon"}:
        found = _points(element, counts)
        counts.points(len(found))
        yield found, tag == "polygon"
        return
    sides = {"x": view[0], "y": view[1], "r": math.hypot(*view) / 2**0.5}
    size = {
        key: length(element.get(key, "0"), sides[_axis(key)])
        for key in ("x", "y", "width", "height", "cx", "cy", "r", "x1", "y1", "x2", "y2")
    }
    if tag == "line":
        found, closed = np.array([[size["x1"], size["y1"]], [size["x2"], size["y2"]]]), False
    elif tag == "rect":
        found, closed = _rectangle(element, size, sides, flat), True
    else:
        rx = ry = size["r"]
        if tag == "ellipse":
            rx, ry = (length(element.get(f"r{k}", "0"), sides[k]) for k in "xy")
        if not (rx > 0 and ry > 0):
            return
        centre = (size["cx"], size["cy"])
        found = ellipse(centre, (rx, 0.0), (0.0, ry), 0.0, 2 * math.pi, flat)[:-1]
        closed = True
    counts.points(len(found))
    yield found, closed


def _points(element: Element, counts: Counts) -> Floats:
    text = element.get("points", "")
    if not POINTS.fullmatch(text):
        raise Refusal("file", f"{called(element)} holds something that is no number")
    found = NUMBERS.findall(text)
    counts.numbers(len(found))
    return np.array([float(n) for n in found[: len(found) // 2 * 2]]).reshape(-1, 2)


def _path(element: Element, flat: float, counts: Counts) -> Lines:
    text = element.get("d", "")
    if not _PATH.fullmatch(text):
        raise Refusal("file", f"{called(element)} holds something that is no path")
    closes = text.count("z") + text.count("Z")
    counts.numbers(len(NUMBERS.findall(text)) + closes)
    try:
        path = svgelements.Path(_plain(text))
    except Exception:  # noqa: BLE001 - the library raises many kinds, all mean this
        raise Refusal("file", f"{called(element)} has a number too few or too many") from None
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
            counts.points(len(pieces[-1]))
    if pieces:
        yield np.concatenate(pieces), False


def _plain(text: str) -> str:
    """The same path, in words that the library reads rightly and fast."""
    text = _MOVES_ON.sub(" z m0 0", _CLOSES.sub("z", text))
    for turn in _TURNS:
        text = turn.sub(r"\g<0>l0 0", text)
    return text


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
        if not sound(axes) or abs(np.linalg.det(axes)) < 1e-12:
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
) -> Floats:
    """Corners; none where it has no size."""
    x, y, width, height = size["x"], size["y"], size["width"], size["height"]
    if not (width > 0 and height > 0):
        return np.empty((0, 2))
    given = {k: element.get(f"r{k}") for k in "xy"}
    round_x, round_y = given["x"] or given["y"] or "0", given["y"] or given["x"] or "0"
    rx = min(max(length(round_x, view["x"]), 0.0), width / 2)
    ry = min(max(length(round_y, view["y"]), 0.0), height / 2)
    if not (rx and ry):
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        return np.array(corners)
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
    return np.concatenate(arcs)


def _xy(point: svgelements.Point) -> Floats:
    try:
        return np.array([[float(point.x), float(point.y)]])
    except (AttributeError, TypeError):
        raise Refusal("file", "a path of the drawing begins nowhere") from None


def _axis(key: str) -> str:
    if key == "r":
        return "r"
    return "x" if key in {"x", "width", "cx", "x1", "x2"} else "y"
