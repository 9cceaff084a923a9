"""From the bytes of a motif's drawing to the motif, in the size wanted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import shapely

from loftline.project.drawn import MOST_DRAWING_BYTES, Refusal
from loftline.project.faults import listed, nearest
from loftline.project.motif_ends import led
from loftline.project.motif_tile import (
    FLAT_MM,
    LEAST_APART_MM,
    LEAST_LINE_MM,
    LEAST_SIZE_MM,
    MOST_CROSSINGS,
    MOST_LINES,
    MOST_POINTS,
    MOST_SIZE_MM,
    REPEATS,
    Floats,
    Motif,
    Repeat,
)
from loftline.units import show

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_LEAST_WIDTH_MM = 2.0
_LEAST_PITCH = 0.05
_MOST_PITCH = 5.0
"""Of the tile's height."""
_WAY_OUT = 2.0
"""How far lines may reach out of the tile, in tiles."""
_TINY_MM = 1e-9
_AT_A_TIME = 200


def read_motif(name: str, data: bytes, size: float | None) -> Motif:
    """Read a motif; pure.

    Args:
        name: what it is called.
        data: an SVG drawing whose page is the tile, at most 4 MB.
        size: height of the tile in mm, ``None`` for that of the drawing.

    Raises:
        Refusal: with one sentence.
    """
    if len(data) > MOST_DRAWING_BYTES:
        raise Refusal("file", f"the drawing is longer than {MOST_DRAWING_BYTES // 10**6} MB")
    from loftline.project.drawn.svg import read_svg  # noqa: PLC0415 - loaded when needed
    from loftline.project.drawn.svg.measures import page  # noqa: PLC0415 - loaded when needed
    from loftline.project.drawn.svg.tree import tree  # noqa: PLC0415 - loaded when needed

    root = tree(data)
    matrix, (wide, high), _ = page(root, None)
    unit = float(matrix[0, 0])
    drawn_width, drawn_height = wide * unit, high * unit
    if drawn_height > MOST_SIZE_MM or drawn_width > MOST_SIZE_MM:
        says = f"the tile is {drawn_width:.0f} by {drawn_height:.0f} mm; should be at most "
        raise Refusal("file", says + f"{MOST_SIZE_MM:g} mm each way: is the page one tile?")
    scale = 1.0 if size is None else size / drawn_height
    # what rounding adds in the drawing's units is taken off again
    width, height = round(drawn_width * scale, 6), round(drawn_height * scale, 6)
    if height < LEAST_SIZE_MM or width < _LEAST_WIDTH_MM:
        says = f"the tile is {width:.2g} by {height:.2g} mm; should be at least {_LEAST_WIDTH_MM:g}"
        raise Refusal("file", says + f" mm wide and {LEAST_SIZE_MM:g} mm high")
    repeat = _repeat(root)
    pitch = round(_pitch(root, high) * unit * scale, 6)
    sheet = read_svg(data, None, flat=FLAT_MM / scale)
    if not sheet.strokes:
        raise Refusal("file", "the drawing holds no lines; a motif is drawn as paths")
    if len(sheet.strokes) > MOST_LINES:
        says = f"the motif has {len(sheet.strokes)} lines; at most {MOST_LINES} are read"
        raise Refusal("file", says)
    corner = _corner(root, matrix, drawn_height)
    curves = [_tidy((s.points - corner) * scale, closed=s.closed) for s in sheet.strokes]
    curves = [curve for curve in curves if len(curve) > 1]
    if not curves:
        raise Refusal("file", "the lines of the motif have no length")
    _sewable(curves, width * pitch)
    points = np.concatenate(curves)
    if len(points) > MOST_POINTS:
        raise Refusal("file", "the motif has too many curves for one tile; simplify it")
    if (np.abs(points / (width, height) - 0.5) > 0.5 + _WAY_OUT).any():
        says = "a line reaches farther out of the tile than two tiles; is the page one tile?"
        raise Refusal("file", says)
    _no_scribble(curves)
    return Motif(
        name=name,
        width=width,
        height=height,
        pitch=pitch,
        repeat=repeat,
        lines=led(curves, width, height, pitch, repeat),
        data=data,
    )


def _sewable(curves: Sequence[Floats], area: float) -> None:
    """Refuse lines that are no lines at the size wanted, or lie one upon the other."""
    length = [float(np.hypot(*np.diff(curve, axis=0).T).sum()) for curve in curves]
    shortest = int(np.argmin(length))
    if length[shortest] < LEAST_LINE_MM:
        says = f"line {shortest + 1} of the motif is {length[shortest]:.2f} mm long in this size; "
        raise Refusal("file", says + f"should be at least {LEAST_LINE_MM:g} mm: make it larger")
    apart = area / sum(length)
    if apart < LEAST_APART_MM:
        says = f"its lines lie {apart:.2f} mm apart on average in this size; should be at least "
        raise Refusal("file", says + f"{LEAST_APART_MM:g} mm: make it larger")


def _no_scribble(curves: Sequence[Floats]) -> None:
    """Refuse lines that cross far too often, a part of them at a time."""
    a = np.concatenate([curve[:-1] for curve in curves])
    b = np.concatenate([curve[1:] for curve in curves])
    pieces = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=object)
    tree = shapely.STRtree(pieces)
    # each piece meets itself and its two neighbours
    left = 2 * MOST_CROSSINGS + 3 * len(a)
    for first in range(0, len(a), _AT_A_TIME):
        left -= tree.query(pieces[first : first + _AT_A_TIME], predicate="intersects").shape[1]
        if left < 0:
            says = f"the lines of the motif cross more than {MOST_CROSSINGS} times; simplify it"
            raise Refusal("file", says)


def _repeat(root: Element) -> Repeat:
    word = " ".join(root.get("data-repeat", "row").split())
    if word not in REPEATS:
        close = nearest(word, REPEATS)
        hint = f"did you mean {show(close)}?" if close else ""
        should = f"should be {listed([show(name) for name in REPEATS])}"
        raise Refusal("file", f"its data-repeat is {show(word)}; {hint or should}")
    return REPEATS[REPEATS.index(word)]


def _pitch(root: Element, high: float) -> float:
    """In units of the drawing."""
    text = root.get("data-pitch")
    if text is None:
        return high
    try:
        pitch = float(text[:40])
    except ValueError:
        pitch = math.nan
    if not _LEAST_PITCH * high <= pitch <= _MOST_PITCH * high:
        says = f"its data-pitch is {show(text)}; should be how far the rows lie apart, in units of "
        says += f"the drawing, from {_LEAST_PITCH * high:g} to {_MOST_PITCH * high:g}"
        raise Refusal("file", says)
    return pitch


def _corner(root: Element, matrix: Floats, high: float) -> Floats:
    """The lower left corner of the page, mm, y up."""
    from loftline.project.drawn.svg.measures import view_box  # noqa: PLC0415 - loaded when needed

    box = view_box(root)
    left, top = (box[0], box[1]) if box else (0.0, 0.0)
    upper = matrix @ np.array([left, top, 1.0])
    corner: Floats = upper[:2] - np.array([0.0, high])
    return corner


def _tidy(points: Floats, *, closed: bool) -> Floats:
    """Without points that repeat the one before; a closed line ends where it begins."""
    if closed:
        points = np.concatenate([points, points[:1]])
    fresh = np.append(True, np.hypot(*np.diff(points, axis=0).T) > _TINY_MM)
    out: Floats = points[fresh]
    if closed and len(out) > 1:
        out[-1] = out[0]
    return out
