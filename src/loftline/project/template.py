"""Commented project files to start from."""

from __future__ import annotations

import json
from typing import Final

from loftline.project.template_panels import STARTS
from loftline.units import show

_HEAD: Final = """\
# Project file. Bare numbers are in `units`; a text carries its own unit: "38 mm",
# "1 1/2 in", "3/8 in". x runs to the right, y up, from the panel's lower left corner;
# the outer fabric faces up. Lines that begin with # are not read: take the # away to
# use them. Everything but [panel] and one [[fills]] may be left out.
format = 1
name = {name}
units = "mm"                 # mm, cm or in
copies = 1                   # bags to make
seed = 1                     # for the meander: the same seed gives the same lines

"""

_EDGES: Final = """\
seam_allowance = 10          # inside the outline
overhang = 25                # beyond the outline, trimmed after quilting

"""

_LAYERS_OF_A_DRAWING: Final = """\
[panel.drawn]                # names of layers, groups or ids in the drawing
# outline = "cut"            # without it the largest closed line
# folds = "folds"            # each one straight line
# keep_outs = "labels"       # each a closed line; no needle enters it
"""

_UNIT_OF_A_DRAWING: Final = '# unit = "mm"                # for a DXF file that names none\n\n'

_REST: Final = """\
# [[keep_outs]]
# name = "label"
# shape = "rectangle"        # circle (diameter), rectangle (width, height), polygon (points)
# at = {label}
# width = 50
# height = 20
# clearance = 3

[[fills]]
part = "all"                 # {parts}
pattern = "channel"          # channel, grid or meander
angle = 45                   # degrees from x; a grid also takes a list: [30, 150]
spacing = 12

[quilting]
stitch_length = 3            # or stitches_per_inch = 8
edge = "overhang"            # travel in the overhang, in the "seam allowance", or "none"
order = "least cost"         # or "fewest cuts", or a habit such as "alternate"

[costs]                      # what the sewing order saves; a line sewn once is 1
edge = 0.5                   # travel along the edge
keep_out = 1.5               # travel round a keep-out, where it shows
double = 2                   # a line sewn over again
# cut = "120 mm"             # a thread cut is as dear as sewing this; less by hand
# cut_inside = "124 mm"      # one inside the panel; far more by hand
# turn = "0 mm"              # a turn of the panel; by hand 20 mm

[thread]
needle = {{ weight = "40 wt" }}   # or tex = 25; metres and price may be added
bobbin = {{ weight = "40 wt" }}
waste = 0.15

[layers]
outer = {{ kind = "cotton canvas" }}   # thickness, keeps_holes and heat may be added
foam = {{ kind = "foam", thickness = 3.2 }}

[machine]
guided = "machine"           # or "hand"; then foot_kind and throat may be added
# hoop = [130, 180]          # the field the needle can reach
stitches_per_minute = 600
longest_stitch = 7
at_cuts = "trim"             # or "stop"
formats = ["dst", "svg"]     # dst, exp, pes, jef, vp3, u01, xxx, gcode, svg, pdf, csv, json
"""

TEMPLATE_SHAPES: Final[tuple[str, ...]] = tuple(STARTS)
"""Shapes that :func:`template` knows: all there are."""


def template(shape: str = "folded pouch", *, name: str | None = None, drawing: str = "") -> str:
    """Commented text of a project file to start from; it reads back without a fault.

    Args:
        shape: one of :data:`TEMPLATE_SHAPES`.
        name: of the bag, printable; by default one that goes with the shape.
        drawing: file name of the drawing, for the shape "file"; by default "panel.svg".

    Raises:
        ValueError: another shape.

    >>> 'shape = "ellipse"' in template("ellipse")
    True
    """
    if shape not in STARTS:
        known = ", ".join(show(known) for known in STARTS)
        raise ValueError(f"found {show(shape)}; there is a file to start from for {known}")
    start = STARTS[shape]
    panel = start.panel.replace("{drawing}", _quoted(drawing or "panel.svg"))
    head = _HEAD.format(name=_quoted(name or start.name))
    rest = _REST.format(parts=start.parts, label=start.label)
    return head + panel + _EDGES + start.more + start.pieces + rest


def template_of(drawing: str, *, name: str, unit: str | None = None) -> str:
    """Commented text of a project file whose panel is a drawing that is there already.

    Args:
        drawing: its file name.
        name: of the bag, printable.
        unit: what one unit of the drawing is, where the drawing does not say.

    >>> 'file = "seat-bag.dxf"' in template_of("seat-bag.dxf", name="Seat bag")
    True
    """
    said = f"unit = {_quoted(unit)}\n\n" if unit else _UNIT_OF_A_DRAWING
    panel = f'[panel]\nshape = "file"\nfile = {_quoted(drawing)}\n'
    rest = _REST.format(parts=STARTS["file"].parts, label="[50, 50]")
    return _HEAD.format(name=_quoted(name)) + panel + _EDGES + _LAYERS_OF_A_DRAWING + said + rest


def _quoted(text: str) -> str:
    """A printable text as TOML writes it, which is how JSON does."""
    return json.dumps(text, ensure_ascii=False)
