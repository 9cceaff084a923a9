"""A drawing at full size over as few sheets as can be, to be taped together by crosses.

Neighbouring tiles overlap by a glue strip; along its middle lie the crosses that both show.
The drawing on a sheet ends at its window. Where a neighbour lies on the left or above, the
sheet is cut there along the window's edge and laid over the neighbour's strip, whose inner
line it then meets.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import compress

import numpy as np
import shapely

from loftline.values import Bools, Floats, Point
from loftline.writers.sheets import paper as page
from loftline.writers.sheets.drawing import Drawing
from loftline.writers.sheets.flow import Draft
from loftline.writers.sheets.ink import (
    BLACK,
    SOFT,
    WHITE,
    Box,
    Curves,
    Face,
    Ink,
    Mark,
    Shape,
    Sheet,
    Tile,
    edge,
    lines,
    straight,
)
from loftline.writers.sheets.lettering import words
from loftline.writers.sheets.paper import LARGE, Layout, foot, foot_height, layouts
from loftline.writers.sheets.placing import Label, Placer
from loftline.writers.svg.marks import letters

STRIP = 10.0
"""Width of a glue strip, mm."""

CROSS = 3.5
"""Half the length of a registration cross, mm."""

AROUND = 3.0
"""Millimetres left free round the whole drawing."""

LEAST_SIDE = 1.2
"""Millimetres of a tile on the little map: of more tiles only the name tells."""

CUT = Ink(width=0.25)
STRIP_LINE = Ink(width=0.25, colour=SOFT, dashes=(1.0, 1.0))
CROSS_INK = Ink(width=0.25)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """How a drawing is cut into tiles.

    Attributes:
        window: of every sheet, glue strips included.
        corner: where the upper left tile's own cell begins, drawing coordinates.
        pitch: width and height of a cell.
        used: ``(rows, columns)`` which tiles hold something; row 0 is the uppermost.
    """

    layout: Layout
    window: Box
    corner: Point
    pitch: tuple[float, float]
    used: Bools

    @property
    def count(self) -> int:
        """Sheets it takes."""
        return int(self.used.sum())


def choose_grid(drawing: Drawing, face: Face, paper: str) -> Grid:
    """Upright or on its side, whichever takes fewer sheets."""
    grids = [_grid(drawing, layout, _window(face, layout)) for layout in layouts(paper)]
    return min(grids, key=lambda grid: grid.count)


def _window(face: Face, layout: Layout) -> Box:
    left, low, right, top = layout.frame
    return (left, low + foot_height(face, layout.wide), right, top - page.HEADER)


def one_sheet(drawing: Drawing, face: Face) -> Grid:
    """A sheet as large as the drawing, for a plotter."""
    x0, y0, x1, y1 = drawing.area.bounds
    wide = max(x1 - x0, 120.0) + 2 * (page.MARGIN + AROUND)
    squares = LARGE + 6
    low = foot_height(face, wide - 2 * page.MARGIN) + squares
    layout = Layout(size=(wide, y1 - y0 + 2 * (page.MARGIN + AROUND) + low + page.HEADER))
    left, bottom, right, top = layout.frame
    window = (left, bottom + low, right, top - page.HEADER)
    return _grid(drawing, layout, window)


def _grid(drawing: Drawing, layout: Layout, window: Box) -> Grid:
    x0, y0, x1, y1 = drawing.area.bounds
    x0, y0, x1, y1 = x0 - AROUND, y0 - AROUND, x1 + AROUND, y1 + AROUND
    wide, tall = window[2] - window[0], window[3] - window[1]
    columns, column = _cells(x1 - x0, wide)
    rows, row = _cells(y1 - y0, tall)
    left = (x0 + x1 - columns * column) / 2
    top = (y0 + y1 + rows * row) / 2
    # nothing is glued at the outer sides: there the window shows half a strip more
    xs = left + column * np.arange(columns + 1)
    ys = top - row * np.arange(rows + 1)
    xs[[0, -1]] += (-STRIP / 2, STRIP / 2)
    ys[[0, -1]] += (STRIP / 2, -STRIP / 2)
    cells = shapely.box(xs[None, :-1], ys[1:, None], xs[None, 1:], ys[:-1, None])
    shapely.prepare(drawing.area)
    used = np.asarray(shapely.intersects(drawing.area, cells), dtype=np.bool_)
    return Grid(layout=layout, window=window, corner=(left, top), pitch=(column, row), used=used)


def _cells(length: float, room: float) -> tuple[int, float]:
    """How many cells cover a length, and how long one is."""
    pitch = room - STRIP
    return max(1, math.ceil((length - STRIP - 1e-9) / pitch)), pitch


def tile_drafts(
    drawing: Drawing,
    grid: Grid,
    face: Face,
    *,
    kind: str,
    name: str,
    title: str,
    code: str = "",
    side: str = "",
) -> list[Draft]:
    """The sheets of a drawing, row by row from the top.

    Args:
        drawing: at full size.
        grid: how it is cut up.
        face: the letters.
        kind: which of the sheets they are.
        name: of the bag.
        title: what they show.
        code: put before each tile's name, such as a size's letter.
        side: which side of the panel is seen, where that is not the usual one.
    """
    return [
        partial(
            _sheet, drawing, grid, _tile(grid, row, column, code), face, kind, name, title, side
        )
        for row, column in np.argwhere(grid.used).tolist()
    ]


def _tile(grid: Grid, row: int, column: int, code: str) -> Tile:
    x0, y0, x1, y1 = grid.window
    wide, tall = grid.pitch
    # the cell lies in the middle of the window, half a strip from its edges
    left = grid.corner[0] + column * wide
    low = grid.corner[1] - (row + 1) * tall
    shift = (x0 + STRIP / 2 - left, y0 + STRIP / 2 - low)
    inner = STRIP / 2
    crosses = tuple((x, y) for x in (x0 + inner, x1 - inner) for y in (y0 + inner, y1 - inner))
    return Tile(
        name=f"{code}{letters(row)}{column + 1}",
        row=row,
        column=column,
        shift=shift,
        window=grid.window,
        crosses=crosses,
    )


def _sheet(
    drawing: Drawing, grid: Grid, tile: Tile, face: Face, kind: str, name: str, title: str,
    side: str, number: str
) -> Sheet:  # fmt: skip
    window, layout = tile.window, grid.layout
    alone = grid.used.size == 1
    plotted = alone and window[1] - layout.frame[1] > LARGE
    seen = _shown(drawing, tile)
    shapes = [shape.moved(1.0, tile.shift).within(window) for shape in seen.shapes]
    curves = [curve.moved(1.0, tile.shift).within(window) for curve in seen.curves]
    top = [shape.moved(1.0, tile.shift).within(window) for shape in seen.top]
    joins = [] if alone else list(_joins(grid, tile))
    crosses = [] if alone else list(_crosses(tile))
    drawn = [*curves, *_lines_of(joins), *crosses, *(edge(one.area, CUT) for one in top)]
    placer = Placer(face, _inset(window, 0.5), drawn)
    for x, y in tile.crosses if not alone else ():
        placer.take((x - CROSS, y - CROSS, x + CROSS, y + CROSS))
    if plotted:
        at = (layout.frame[0], layout.frame[1] + foot_height(face, layout.wide) + 1.0)
        measure: list[Mark] = [*page.squares(at), *page.square_words(face, at)]
    else:
        at, measure = _squares(placer, face)
    marks: list[Mark] = [
        *page.head(face, layout, name, title, number, keep=0.0 if alone else 34.0, side=side),
        *([] if alone else _name(grid, tile, face)),
        *foot(face, layout.wide, (layout.frame[0], layout.frame[1] + 0.9)),
        *shapes,
        *joins,
        *curves,
        *top,
        *crosses,
        *measure,
        *_strip_words(grid, tile, placer),
    ]
    for label in seen.labels:
        marks += placer.place(label.moved(tile.shift))
    return Sheet(
        kind=kind,
        title=title if alone else f"{title}, {tile.name}",
        size=layout.size,
        marks=tuple(mark for mark in marks if not _empty(mark)),
        frame=layout.frame,
        squares=(at, at),
        tile=tile,
    )


def _shown(drawing: Drawing, tile: Tile) -> Drawing:
    """What of a drawing comes near a tile's window; all else need not be cut to it."""
    dx, dy = tile.shift
    x0, y0, x1, y1 = tile.window
    window = np.array([x0 - dx, y0 - dy, x1 - dx, y1 - dy])

    def near(bounds: Floats) -> list[bool]:
        low, high = bounds[:, :2] <= window[2:], bounds[:, 2:] >= window[:2]
        return [bool(one) for one in np.all(low & high, axis=1)]

    shapes, top = (
        tuple(compress(kept, near(_bounds([shape.area for shape in kept]))))
        for kept in (drawing.shapes, drawing.top)
    )
    labels = compress(drawing.labels, near(_bounds([label.near for label in drawing.labels])))
    return replace(drawing, shapes=shapes, top=top, labels=tuple(labels))


def _bounds(shapes: Sequence[shapely.Geometry]) -> Floats:
    found: Floats = np.asarray(shapely.bounds(np.array(shapes, dtype=object))).reshape(-1, 4)
    return found


def _empty(mark: Mark) -> bool:
    if isinstance(mark, Shape):
        return bool(mark.area.is_empty)
    return isinstance(mark, Curves) and len(mark.points) == 0


def _lines_of(marks: list[Mark]) -> list[Curves]:
    return [mark for mark in marks if isinstance(mark, Curves)]


def _inset(box: Box, by: float) -> Box:
    return (box[0] + by, box[1] + by, box[2] - by, box[3] - by)


def _beside(grid: Grid, tile: Tile) -> dict[str, str]:
    """Names of the neighbours that are printed, by the side they lie on."""
    rows, columns = grid.used.shape
    code = tile.name[: -len(f"{letters(tile.row)}{tile.column + 1}")]
    found = {}
    for side, row, column in (
        ("left", tile.row, tile.column - 1),
        ("right", tile.row, tile.column + 1),
        ("above", tile.row - 1, tile.column),
        ("below", tile.row + 1, tile.column),
    ):
        if 0 <= row < rows and 0 <= column < columns and grid.used[row, column]:
            found[side] = f"{code}{letters(row)}{column + 1}"
    return found


def _joins(grid: Grid, tile: Tile) -> Iterator[Mark]:
    """Cut edges towards the left and above, glue strips towards the right and below."""
    x0, y0, x1, y1 = tile.window
    beside = _beside(grid, tile)
    if "left" in beside:
        yield straight((x0, y0), (x0, y1), CUT)
    if "above" in beside:
        yield straight((x0, y1), (x1, y1), CUT)
    if "right" in beside:
        yield straight((x1 - STRIP, y0), (x1 - STRIP, y1), STRIP_LINE)
    if "below" in beside:
        yield straight((x0, y0 + STRIP), (x1, y0 + STRIP), STRIP_LINE)


def _strip_words(grid: Grid, tile: Tile, placer: Placer) -> list[Mark]:
    """In each strip, which tile is glued over it; at each cut edge, that it is cut."""
    x0, y0, x1, y1 = tile.window
    beside = _beside(grid, tile)
    strips = {
        "right": (x1 - STRIP, y0 + STRIP, x1, y1 - STRIP),
        "below": (x0 + STRIP, y0, x1 - STRIP, y0 + STRIP),
        "left": (x0, y0 + STRIP, x0 + STRIP, y1 - STRIP),
        "above": (x0 + STRIP, y1 - STRIP, x1 - STRIP, y1),
    }
    marks: list[Mark] = []
    for side, box in strips.items():
        if side not in beside:
            continue
        text = f"{beside[side]} over this" if side in {"right", "below"} else "cut"
        if side in {"right", "left"} and text != "cut":
            text = beside[side]
        near = shapely.box(*box)
        marks += placer.place(Label(lines=(text,), near=near, inside=True, lead=False))
    return marks


def _crosses(tile: Tile) -> list[Curves]:
    """Registration crosses, each in a small ring."""
    arms = []
    rounds = []
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = 2.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    for x, y in tile.crosses:
        arms += [
            np.array([(x - CROSS, y), (x + CROSS, y)]),
            np.array([(x, y - CROSS), (x, y + CROSS)]),
        ]
        rounds.append(np.add(ring, (x, y)))
    return [lines([*arms, *rounds], CROSS_INK)]


def _squares(placer: Placer, face: Face) -> tuple[Point, list[Mark]]:
    """The squares where they meet the fewest lines: whole, or their corners only."""
    x0, y0, x1, y1 = placer.window
    across, up = np.meshgrid(
        np.arange(x0 + 1, x1 - LARGE - 1, 6.0), np.arange(y0 + 1, y1 - LARGE - 1, 6.0)
    )
    left, low = across.ravel(), up.ravel()
    boxes = shapely.box(left, low, left + LARGE, low + LARGE)
    meets = placer.crossed(shapely.get_exterior_ring(boxes))
    # a cross is kept clear as well as a line, with the room that words leave it
    over = placer.covered(boxes)
    best = int(np.lexsort((placer.crossed(boxes), meets + over))[0])
    at, whole = (float(left[best]), float(low[best])), bool(meets[best] == 0)
    drawn = page.squares(at, whole=whole)
    x, y = at
    marks: list[Mark] = [*drawn]
    extra = Placer(face, placer.window, [c for c in drawn if isinstance(c, Curves)])
    placer.lines = shapely.STRtree(
        np.concatenate([placer.lines.geometries, extra.lines.geometries])
    )
    near = shapely.box(x + 0.5, y + 0.5, x + page.SMALL - 0.5, y + page.SMALL - 0.5)
    label = Label(lines=("inner square 50 mm", "outer square 2 in"), near=near, inside=True,
                  lead=False)  # fmt: skip
    marks += placer.place(label)
    if whole:
        placer.take((x, y, x + LARGE, y + LARGE))
    return at, marks


def _name(grid: Grid, tile: Tile, face: Face) -> list[Mark]:
    """The tile's name, large, and a little map of all tiles with its own filled."""
    _, _, right, top = grid.layout.frame
    rows, columns = grid.used.shape
    side = min(7.6 / rows, 14.0 / columns)
    left, high = right - side * columns, top - 0.2
    marks: list[Mark] = []
    frames = []
    for row, column in np.argwhere(grid.used).tolist():
        x, y = left + column * side, high - (row + 1) * side
        box = shapely.box(x, y, x + side, y + side)
        frames.append(np.array(box.exterior.coords))
        if (row, column) == (tile.row, tile.column):
            marks.append(Shape(area=box, fill=BLACK))
        else:
            marks.append(Shape(area=box, fill=WHITE))
    marks.append(lines(frames, Ink(width=0.25)))
    if side < LEAST_SIDE:
        marks, left = [], right + 2.5
    size = 6.2
    marks.append(
        words(face, tile.name, (left - 2.5, top - 6.2), size=size, bold=True, anchor="end")
    )
    return marks
