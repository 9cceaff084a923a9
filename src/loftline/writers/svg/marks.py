"""Small things every part of the picture is drawn with: numbers, paths, words.

Elements are made without svgwrite's checks, which cost more than all the drawing; numbers
and words are made safe here instead.
"""

from __future__ import annotations

import math
import re
from typing import Any, TypeAlias

import numpy as np
import shapely
from svgwrite import container, path as paths, shapes, text as texts

from loftline.geometry import polygons
from loftline.values import Area, Floats, Ints, Point

Element: TypeAlias = Any
"""An element of svgwrite, which ships no types."""

Attribute: TypeAlias = str | float

FONT = "sans-serif"

LETTER_WIDTH = 0.6
"""Ems of an average letter of a wide sans-serif (measured); narrower ones leave room."""

_PLANE_ENDS = "".join(
    chr(plane + 0xFFFE) + chr(plane + 0xFFFF) for plane in range(0, 0x110000, 0x10000)
)
_UNSAFE = re.compile(
    "[\\x00-\\x1f\\x7f-\\x9f"  # control characters
    "\\ud800-\\udfff"  # halves of surrogate pairs
    f"\\ufdd0-\\ufdef{_PLANE_ENDS}"  # no characters at all
    "\\u200e\\u200f\\u202a-\\u202e\\u2066-\\u2069]"  # turn the direction of writing
)


def num(value: float) -> str:
    """A number with at most two decimals.

    >>> num(12.0), num(1 / 3), num(-0.001)
    ('12', '0.33', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def safe_text(text: str) -> str:
    """Text that may stand in XML and cannot turn its neighbours around.

    Control characters, what is no character, and signs that turn the direction of writing
    become spaces; runs of space become one.

    >>> safe_text("a" + chr(0) + "b" + chr(0x202E) + "c" + chr(10))
    'a b c'
    """
    return " ".join(_UNSAFE.sub(" ", text).split())


def text_width(text: str, size: float) -> float:
    """About how wide a text is; letters of East Asian scripts count double."""
    wide = sum(
        1 if ord(letter) < 0x1100 or 0x2000 <= ord(letter) < 0x2E80 else 2 for letter in text
    )
    return LETTER_WIDTH * size * wide


def shorten(text: str, width: float, size: float) -> str:
    """The safe text, cut with an ellipsis if it would be wider than there is room.

    >>> shorten("pocket", 10.0, 1.0), shorten("pocket corner", 5.0, 1.0)
    ('pocket', 'pocket …')
    """
    text = safe_text(text)
    if text_width(text, size) <= width:
        return text
    most = int(width / (LETTER_WIDTH * size))
    text = text[: max(0, most)]
    while text and text_width(text + "…", size) > width:
        text = text[:-1]
    return text + "…"


def wrapped(text: str, width: float, size: float, most: int) -> list[str]:
    """The safe text in lines that fit; what does not fit into so many is cut as by `shorten`.

    >>> wrapped("a pocket corner", 7.0, 1.0, 2), wrapped("a pocket corner", 7.0, 1.0, 1)
    (['a pocket', 'corner'], ['a pocket c…'])
    """
    lines: list[str] = []
    rest = safe_text(text)
    while rest and len(lines) < most - 1 and text_width(rest, size) > width:
        cut = max(
            (
                i
                for i, letter in enumerate(rest)
                if letter == " "
                and not rest[i - 1].isdigit()  # a number keeps its unit
                and text_width(rest[:i], size) <= width
            ),
            default=0,
        )
        if cut == 0:
            break
        lines.append(rest[:cut])
        rest = rest[cut + 1 :]
    return [*lines, shorten(rest, width, size)]


def group(name: str = "", **more: Attribute) -> Element:
    """A group, with an id if it has a name."""
    return container.Group(debug=False, **({"id": name} if name else {}), **more)


def words(text: str, at: Point, size: float, **more: Attribute) -> Element:
    """One line of text on its baseline."""
    place = (num(at[0]), num(at[1]))
    return texts.Text(safe_text(text), insert=place, font_size=num(size), debug=False, **more)


def path(d: str, **more: Attribute) -> Element:
    """A path from its data."""
    return paths.Path(d=d, debug=False, **more)


def straight(start: Point, end: Point, **more: Attribute) -> Element:
    """A straight line."""
    ends = {"start": (num(start[0]), num(start[1])), "end": (num(end[0]), num(end[1]))}
    return shapes.Line(**ends, debug=False, **more)


def disc(at: Point, radius: float, **more: Attribute) -> Element:
    """A circle."""
    return shapes.Circle(center=(num(at[0]), num(at[1])), r=num(radius), debug=False, **more)


def box(at: Point, width: float, height: float, **more: Attribute) -> Element:
    """An upright rectangle from its least x and y."""
    size = (num(width), num(height))
    return shapes.Rect(insert=(num(at[0]), num(at[1])), size=size, debug=False, **more)


def area_path(area: Area, **more: Attribute) -> Element:
    """An area with its holes as one path, filled even-odd."""
    rings = []
    for polygon in polygons(area):
        rings.append(_ring(polygon.exterior))
        rings.extend(_ring(hole) for hole in polygon.interiors)
    return path("".join(rings), fill_rule="evenodd", **more)


def _ring(ring: shapely.LinearRing) -> str:
    places = shapely.get_coordinates(ring)[:-1].tolist()
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in places) + "Z"


def lines_path(points: Floats, starts: Ints) -> str:
    """Path data of packed polylines, to a tenth of a millimetre.

    >>> lines_path(np.array([[0, 0.25], [10, 0], [3, 4], [5, 4]]), np.array([0, 2, 4]))
    'M0 0.2L10 0M3 4L5 4'
    """
    pen = np.full(len(points), "L")
    pen[starts[:-1]] = "M"
    rounded = np.round(points, 1) + 0.0  # no -0
    places = zip(pen.tolist(), rounded[:, 0].tolist(), rounded[:, 1].tolist(), strict=True)
    return "".join([f"{sign}{x:.6g} {y:.6g}" for sign, x, y in places])


def open_path(*corners: Point) -> str:
    """Path data of one polyline."""
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in corners)


def arrow_corners(tip: Point, heading: float, length: float) -> list[Point]:
    """Corners of a slender arrow head with a notch, pointing along ``heading`` (radians)."""
    along = np.array([math.cos(heading), math.sin(heading)])
    across = np.array([-along[1], along[0]])
    corners = np.array([(0, 0), (-1, 0.36), (-0.72, 0), (-1, -0.36)]) * length
    places = np.asarray(tip) + corners[:, :1] * along + corners[:, 1:] * across
    return [(x, y) for x, y in places.tolist()]


def arrow_head(tip: Point, heading: float, length: float) -> str:
    """Path data of the arrow head of :func:`arrow_corners`."""
    return open_path(*arrow_corners(tip, heading, length)) + "Z"


def letters(index: int) -> str:
    """A, B, ... Z, AA, AB ...

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
