"""The board of all quilting designs on one bag, drawn for the guide."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import shapely

from loftline.fills import make_fields, make_lines
from loftline.panel import make_panel
from loftline.project import motif_names, parse_project
from loftline.values import Lines, Panel
from loftline.writers.svg.style import FABRIC, HARD, INK, PAPER, RUN_COLOURS, SOFT_INK

Table = dict[str, Any]

BAG: Final[Table] = {
    "format": 1,
    "name": "Spoke pouch, half as large",
    "seed": 4,
    "panel": {
        "shape": "folded pouch",
        "width": 125,
        "body": 75,
        "flap": 55,
        "flap_inset": 2,
        "corner_radius": 22,
        "seam_allowance": 5,
    },
    "hardware": [
        {"name": "magnet", "kind": "sew-in magnet", "diameter": 12, "at": [62, 189], "mate": True},
    ],
    "keep_outs": [
        {
            "name": "label",
            "shape": "rectangle",
            "at": [85, 108],
            "width": 30,
            "height": 13,
            "clearance": 3,
        },
        {"name": "badge", "shape": "circle", "at": [32, 96], "diameter": 14, "clearance": 2},
    ],
}
"""A bag with a magnet, its other half, a label across two lines, and a badge."""

_CHANNEL: Final[Table] = {"pattern": "channel", "angle": 45, "spacing": 8}
_WHEEL: Final[Table] = {"name": "wheel", "shape": "circle", "at": [62, 108], "diameter": 64}
_MEANDER: Final[Table] = {"pattern": "meander", "spacing": 8}
_ECHO: Final[Table] = {"pattern": "echo", "spacing": 7}

DESIGNS: Final[Mapping[str, Table]] = {
    "channel": _CHANNEL,
    "waves": {**_CHANNEL, "angle": 0, "wave_height": 6, "wave_length": 32},
    "uneven": {**_CHANNEL, "angle": 90, "spacing": 6, "uneven": 0.9},
    "pairs": {**_CHANNEL, "angle": 90, "spacing": 14, "paired": 3.5, "even_ends": True},
    "bent round keep-outs": {**_CHANNEL, "angle": 0, "at_keep_outs": "bend"},
    "matched, chevron": {**_CHANNEL, "match": "closed"},
    "matched, straight": {**_CHANNEL, "match": "closed", "at_side_seam": "straight"},
    "grid, square": {"pattern": "grid", "setting": "square", "spacing": 10},
    "grid, on point": {"pattern": "grid", "setting": "on point", "spacing": 10},
    "grid, diamond": {"pattern": "grid", "setting": "diamond", "spacing": 10},
    "grid, hanging diamond": {"pattern": "grid", "setting": "hanging diamond", "spacing": 10},
    "grid, triangle": {"pattern": "grid", "setting": "triangle", "spacing": 13},
    "meander": _MEANDER,
    "meander with loops": {**_MEANDER, "handwriting": "loops"},
    "meander, 6 to 14 mm": {**_MEANDER, "spacing": 6, "spacing_to": 14, "spacing_towards": 90},
    "meander, edge to edge": {**_MEANDER, "entry": [0, 0], "exit": [125, 150]},
    "echo": _ECHO,
    "echo in rings": {**_ECHO, "joined": False},
    "echo of the badge": {**_ECHO, "echo_of": "badge", "joined": False},
    "spiral": {"pattern": "spiral", "spacing": 7},
    "rays": {"pattern": "rays", "spacing": 8},
    "rays, each by itself": {"pattern": "rays", "spacing": 8, "joined": False},
    "region, border sewn": {
        "fills": [_CHANNEL, {**_ECHO, "part": "wheel", "spacing": 5}],
        "regions": [{**_WHEEL, "border": "sewn"}],
    },
    "region, border open": {
        "fills": [{**_CHANNEL, "angle": 0}, {**_CHANNEL, "angle": 90, "part": "wheel"}],
        "regions": [{**_WHEEL, "border": "open"}],
    },
}
"""What each is called on the board, and its entry in ``[[fills]]``, or its tables."""

ABREAST: Final = 8
_STEP: Final = (134, 228)
_LEFT: Final = 8
_FONT_MM: Final = 9
_FINE_MM: Final = 0.06


def bag_tables(name: str) -> Table:
    """The project of one design, or of one motif."""
    if name not in DESIGNS:
        return {**BAG, "fills": [{"pattern": "motif", "motif": name}]}
    tables = DESIGNS[name]
    return {**BAG, **(tables if "fills" in tables else {"fills": [tables]})}


def design_names() -> tuple[str, ...]:
    """All designs, then all motifs, as they stand on the board."""
    return (*DESIGNS, *motif_names())


def drawn(name: str) -> tuple[Panel, Lines]:
    """Panel and lines of one bag of the board."""
    project = parse_project(bag_tables(name))
    panel = make_panel(project)
    return panel, make_lines(project, panel, make_fields(project, panel))


def design_board() -> str:
    """One bag in every design and every motif, side by side, as SVG in mm."""
    names = design_names()
    width = ABREAST * _STEP[0] + _LEFT
    height = -(-len(names) // ABREAST) * _STEP[1] + _LEFT
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    style = f'font-family="sans-serif" font-size="{_FONT_MM}" text-anchor="middle" fill="{INK}"'
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" {size}>',
            f'<rect width="{width}" height="{height}" fill="{PAPER}"/>',
            f"<g {style}>",
            *(_bag(name, place) for place, name in enumerate(names)),
            "</g>",
            "</svg>",
            "",
        ]
    )


def _bag(name: str, place: int) -> str:
    panel, lines = drawn(name)
    sewn = shapely.MultiLineString(np.split(lines.points, lines.starts[1:-1].tolist()))
    shown = shapely.intersection(sewn.simplify(_FINE_MM), panel.outline)
    folds = shapely.MultiLineString([(fold.start, fold.end) for fold in panel.folds])
    row, column = divmod(place, ABREAST)
    x0, _, x1, y1 = panel.outline.bounds
    x, y = _LEFT + column * _STEP[0], _LEFT + row * _STEP[1] + y1
    thin = f'fill="none" stroke="{SOFT_INK}" stroke-width="4"'
    thread = f'fill="none" stroke="{RUN_COLOURS[0]}" stroke-width="6" stroke-linejoin="round"'
    return "".join(
        [
            f'<g transform="translate({x:g} {y:g}) scale(0.1 -0.1)">',
            (
                f'<path d="{path_of(panel.outline)}" fill="{FABRIC}" stroke="{SOFT_INK}" '
                'stroke-width="5"/>'
            ),
            f'<path d="{path_of(folds)}" {thin} stroke-dasharray="30 20"/>',
            *(f'<path d="{path_of(zone.outline)}" fill="{HARD}"/>' for zone in panel.keep_outs),
            f'<path d="{path_of(shown)}" {thread}/>',
            "</g>",
            f'<text x="{x + (x1 - x0) / 2:g}" y="{y + 11:g}">{name}</text>',
        ]
    )


def path_of(shape: shapely.Geometry) -> str:
    """Every line of a shape in tenths of a millimetre, as steps from point to point."""
    lines = shapely.get_parts(shapely.boundary(shape) if shapely.area(shape) else shape)
    out = []
    for line in lines:
        points = (shapely.get_coordinates(line) * 10).round().astype(int)
        steps = " ".join(f"{x} {y}" for x, y in np.diff(points, axis=0).tolist())
        out.append(f"M{points[0, 0]} {points[0, 1]}l{steps}".replace(" -", "-"))
    return "".join(out)
