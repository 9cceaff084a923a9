"""Commented project files to start from."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from loftline.units import show

_HEAD: Final = """\
# Project file. Bare numbers are in `units`; a text carries its own unit: "38 mm",
# "1 1/2 in", "3/8 in". x runs to the right, y up, from the panel's lower left corner;
# the outer fabric faces up. Lines that begin with # are not read: take the # away to
# use them. Everything but [panel] and one [[fills]] may be left out.
format = 1
name = "{name}"
units = "mm"                 # mm, cm or in
copies = 1                   # bags to make
seed = 1                     # for the meander: the same seed gives the same lines

"""

_PANELS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "folded pouch": """\
[panel]
shape = "folded pouch"       # rectangle, ellipse, folded pouch or polygon
width = 250
body = 150                   # front, and back; between them the lower fold
flap = 110                   # beyond the upper fold
flap_inset = 3               # how much narrower the flap is, each side
corner_radius = 45           # the flap's two free corners
""",
        "rectangle": """\
[panel]
shape = "rectangle"          # rectangle, ellipse, folded pouch or polygon
width = 330
height = 240
corner_radius = 0            # all four corners
""",
        "ellipse": """\
[panel]
shape = "ellipse"            # rectangle, ellipse, folded pouch or polygon
width = 260
height = 180
""",
        "polygon": """\
[panel]
shape = "polygon"            # rectangle, ellipse, folded pouch or polygon
points = [[0, 0], [300, 0], [300, 160], [220, 220], [80, 220], [0, 160]]
# holes = [[[140, 100], [160, 100], [160, 120], [140, 120]]]
""",
    }
)

_EDGES: Final = """\
seam_allowance = 10          # inside the outline
overhang = 25                # beyond the outline, trimmed after quilting

"""

_CLOSURE: Final = """\
[[hardware]]
name = "flap magnet"
kind = "sew-in magnet"       # magnetic snap, eyelet, rivet, D-ring ...; any other word with a size
diameter = 18                # or width and height
at = { from = "flap edge", distance = 32 }   # on the centre line; or [x, y]
mate = true                  # mark its other half where the fold brings it
# sits = "inside"            # inside, above or below; by default as usual for its kind
# fitted = "before quilting" # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

"""

_PIECE: Final = """\
# [[hardware]]
# name = "left eyelet"
# kind = "eyelet"            # magnetic snap, rivet, D-ring ...; any other word with a size
# diameter = 10              # or width and height
# at = [40, 40]              # its centre
# sits = "above"             # inside, above or below; by default as usual for its kind
# fitted = "after lining"    # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

"""

_REST: Final = """\
# [[keep_outs]]
# name = "label"
# shape = "rectangle"        # circle (diameter), rectangle (width, height), polygon (points)
# at = [125, 100]
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
order = "least cost"         # or "fewest cuts"

[thread]
needle = {{ weight = "40 wt" }}   # or tex = 25; metres and price may be added
bobbin = {{ weight = "40 wt" }}
waste = 0.15

[layers]
outer = {{ kind = "cotton canvas" }}   # thickness, keeps_holes and heat may be added
foam = {{ kind = "foam", thickness = 3.2 }}

[machine]
guided = "machine"           # or "hand"
# hoop = [130, 180]          # the field the needle can reach
stitches_per_minute = 600
longest_stitch = 7
at_cuts = "trim"             # or "stop"
formats = ["dst", "svg"]     # dst, exp, pes, jef, vp3, svg, csv, json
"""

TEMPLATE_SHAPES: Final[tuple[str, ...]] = tuple(_PANELS)
"""Shapes that :func:`template` knows."""


def template(shape: str = "folded pouch") -> str:
    """Commented text of a project file to start from; it reads back without a fault.

    Args:
        shape: one of :data:`TEMPLATE_SHAPES`.

    Raises:
        ValueError: another shape.

    >>> 'shape = "ellipse"' in template("ellipse")
    True
    """
    if shape not in _PANELS:
        known = ", ".join(show(known) for known in _PANELS)
        raise ValueError(f"found {show(shape)}; there is a file to start from for {known}")
    folded = shape == "folded pouch"
    name = "My pouch" if folded else "My panel"
    parts = "all, front, back or flap" if folded else 'a panel without folds has only "all"'
    middle = _CLOSURE if folded else _PIECE
    return _HEAD.format(name=name) + _PANELS[shape] + _EDGES + middle + _REST.format(parts=parts)
