"""What a project file to start from says of each shape: its panel, its pieces, its parts.

Sizes are sensible ones of small bags. A line that begins with ``# key =`` or ``# [`` may be
taken as it stands: the tests take all those signs away at once and read the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """The lines of one shape.

    Attributes:
        name: of the bag, where the file's own name gives none.
        panel: the table ``[panel]`` without what all shapes share.
        more: tables of the panel that follow it, such as darts and folds.
        pieces: hardware.
        label: a free place for a label, [x, y].
        parts: the comment behind ``part`` of the quilting design.
    """

    name: str
    panel: str
    more: str = ""
    pieces: str
    label: str
    parts: str = 'this panel has no parts, only "all"'


_POUCH: Final = Start(
    name="My pouch",
    panel="""\
# A pouch that folds twice: front, back and flap in one piece.
# Parts: front, back, flap. Folds: lower fold, upper fold.
# Edges to measure from: flap edge, front edge, left, right.
[panel]
shape = "folded pouch"
width = 250
body = 150                   # front, and back; between them the lower fold
flap = 110                   # beyond the upper fold
flap_inset = 3               # how much narrower the flap is, each side
corner_radius = 45           # the flap's two free corners
# fold_room = "move the other half"   # where panel and contents are too thick for the fold
""",
    more="""\
# [[panel.darts]]            # a boxed corner at the end of the fold; write one for each side
# fold = "lower fold"
# side = "left"
# depth = 40                 # how deep it makes the finished bag

""",
    pieces="""\
[[hardware]]
name = "flap magnet"
kind = "sew-in magnet"       # magnetic snap, eyelet, rivet, D-ring ...; any other word with a size
diameter = 18                # or width and height
at = { from = "flap edge", distance = 32 }   # on the centre line; or [x, y]
mate = true                  # mark its other half where the fold brings it
# sits = "inside"            # inside, above or below; by default as usual for its kind
# fitted = "before quilting" # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    parts="all, front, back or flap",
    label="[125, 115]",
)

_SLEEVE: Final = Start(
    name="My sleeve",
    panel="""\
# Front and back in one piece, one fold at the bottom.
# Parts: front, back. Fold: lower fold.
# Edges to measure from: front edge, back edge, left, right.
[panel]
shape = "flat sleeve"
width = 220
body = 160                   # front, and back; between them the lower fold
""",
    more="""\
# [[panel.darts]]            # a boxed corner at the end of the fold; write one for each side
# fold = "lower fold"
# side = "left"
# depth = 40                 # how deep it makes the finished bag

""",
    pieces="""\
[[hardware]]
name = "mouth magnet"
kind = "sew-in magnet"       # magnetic snap, eyelet, rivet, D-ring ...; any other word with a size
diameter = 18                # or width and height
at = { from = "front edge", distance = 32 }   # on the centre line; or [x, y]
mate = true                  # mark its other half where the fold brings it
# sits = "inside"            # inside, above or below; by default as usual for its kind
# fitted = "before quilting" # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    parts="all, front or back",
    label="[110, 90]",
)

_TOTE: Final = Start(
    name="My tote side",
    panel="""\
# One of the two sides of a tote; a square is cut out of both bottom corners.
# Parts: side, base. Fold: base fold.
# Edges to measure from: top, bottom, left, right.
[panel]
shape = "boxed tote side"
width = 360
height = 340
depth = 100                  # of the standing bag; half of it is cut out of each corner
""",
    pieces="""\
[[hardware]]
name = "snap"
kind = "magnetic snap"       # sew-in magnet, eyelet, rivet, D-ring ...; any other word with a size
diameter = 18                # or width and height
at = { from = "top", distance = 45 }   # on the centre line; or [x, y]
fitted = "after quilting"    # before quilting (a keep-out), after quilting, after lining
# sits = "above"             # inside, above or below; by default as usual for its kind
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    parts="all, side or base",
    label="[180, 150]",
)

_BASE: Final = Start(
    name="My base",
    panel="""\
# The bottom of a bag, with two half circles as ends; round where width and height are one.
# Edges to measure from: top, bottom, left, right.
[panel]
shape = "base"
width = 260
height = 110
""",
    pieces="""\
[[hardware]]
name = "bag foot"
kind = "bag foot"            # magnetic snap, eyelet, rivet, D-ring ...; any other word with a size
diameter = 12                # or width and height
at = [55, 55]                # its centre; the second foot stands across from it
fitted = "after quilting"    # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

[[hardware]]
name = "second bag foot"
kind = "bag foot"
diameter = 12
at = [205, 55]

""",
    label="[130, 55]",
)

_ZIP_POUCH: Final = Start(
    name="My zip pouch side",
    panel="""\
# One side of a zip pouch; the zip runs along the top.
# Edges to measure from: zip edge, bottom, left, right.
[panel]
shape = "zip pouch side"
width = 230
height = 150
corner_radius = 30           # the two bottom corners
""",
    more="""\
# [[panel.darts]]            # gives depth to a bottom corner; write one for each
# corner = "lower left"
# unit = 20                  # from the square corner to where the legs start, on both edges

""",
    pieces="""\
# [[hardware]]
# name = "left eyelet"
# kind = "eyelet"            # magnetic snap, rivet, D-ring ...; any other word with a size
# diameter = 10              # or width and height
# at = { from = ["zip edge", "left"], distance = [25, 25] }   # from two edges; or [x, y]
# sits = "above"             # inside, above or below; by default as usual for its kind
# fitted = "after lining"    # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    label="[115, 70]",
)

_STRAP: Final = Start(
    name="My strap",
    panel="""\
# A strip folded along its middle, so the strap is half as wide.
# Parts: front, back. Fold: centre fold.
# Edges to measure from: top, bottom, left, right.
[panel]
shape = "strap"
length = 600                 # as it is cut
width = 90                   # across, as it is cut
""",
    pieces="""\
[[hardware]]
name = "rivet"
kind = "rivet"               # magnetic snap, eyelet, D-ring ...; any other word with a size
diameter = 9                 # or width and height
at = { from = ["left", "bottom"], distance = [30, 27] }   # from two edges; or [x, y]
fitted = "after lining"      # before quilting (a keep-out), after quilting, after lining
# sits = "above"             # inside, above or below; by default as usual for its kind
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    parts="all, front or back",
    label="[300, 22]",
)

_FLAT_PIECES: Final = """\
# [[hardware]]
# name = "left eyelet"
# kind = "eyelet"            # magnetic snap, rivet, D-ring ...; any other word with a size
# diameter = 10              # or width and height
# at = [60, 90]              # its centre, from the left and from below
# sits = "above"             # inside, above or below; by default as usual for its kind
# fitted = "after lining"    # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

"""

_RECTANGLE: Final = Start(
    name="My panel",
    panel="""\
# Edges to measure from: top, bottom, left, right.
[panel]
shape = "rectangle"
width = 330
height = 240
corner_radius = 0            # all four corners
""",
    more="""\
# [[panel.folds]]            # where it is folded, if it is
# name = "middle fold"
# from = [0, 120]            # on the edge, or past it
# to = [330, 120]

""",
    pieces="""\
# [[hardware]]
# name = "eyelet"            # "eyelet 1", "eyelet 2" and so on
# kind = "eyelet"            # magnetic snap, rivet, D-ring ...; any other word with a size
# diameter = 10              # or width and height
# at = { along = "top", distance = 25, every = 50 }   # a row; or one place, [x, y]
# sits = "above"             # inside, above or below; by default as usual for its kind
# fitted = "after lining"    # before quilting (a keep-out), after quilting, after lining
# clearance = "1/4 in"       # from its hard edge to the needle

""",
    label="[165, 80]",
)

_ELLIPSE: Final = Start(
    name="My panel",
    panel="""\
# Edges to measure from: top, bottom, left, right.
[panel]
shape = "ellipse"
width = 260
height = 180
""",
    pieces=_FLAT_PIECES,
    label="[130, 90]",
)

_POLYGON: Final = Start(
    name="My panel",
    panel="""\
[panel]
shape = "polygon"
# the corners in order along the edge, each once; begin at [0, 0]
points = [[0, 0], [300, 0], [300, 160], [220, 220], [80, 220], [0, 160]]
# holes = [[[140, 100], [160, 100], [160, 120], [140, 120]]]
""",
    more="""\
# [[panel.folds]]            # where it is folded, if it is
# name = "flap fold"
# from = [0, 160]            # on the edge, or past it
# to = [300, 160]

# [[panel.parts]]            # names for the pieces between the folds
# name = "flap"
# at = [150, 200]            # any place inside it

""",
    pieces=_FLAT_PIECES,
    label="[150, 100]",
)

_DRAWN: Final = Start(
    name="My drawn panel",
    panel="""\
# The panel is drawn in an SVG or DXF file beside this one, at full size, in a drawing program.
# The words behind outline, folds and keep_outs are names of layers, groups or ids there.
[panel]
shape = "file"
file = {drawing}
""",
    more="""\
[panel.drawn]
outline = "cut"              # one closed line; closed lines inside it are holes
folds = "folds"              # each one straight line
keep_outs = "labels"         # each a closed line; no needle enters it
clearance = 3                # from a drawn label to the needle
# unit = "mm"                # for a DXF file that names none

""",
    pieces=_FLAT_PIECES,
    label="[140, 150]",
)

DRAWING: Final = """\
<?xml version="1.0" encoding="UTF-8"?>
<!-- A panel to draw over: full size, one unit is one millimetre, y runs down. -->
<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="220mm" viewBox="0 0 300 220">
  <g id="cut" fill="none" stroke="black">
    <path d="M 10 210 V 70 Q 10 10 70 10 H 230 Q 290 10 290 70 V 210 Z"/>
  </g>
  <g id="folds" fill="none" stroke="black" stroke-dasharray="6 3">
    <line id="middle-fold" x1="10" y1="110" x2="290" y2="110"/>
  </g>
  <g id="labels" fill="none" stroke="black">
    <rect id="badge" x="125" y="150" width="50" height="20"/>
  </g>
</svg>
"""
"""A drawing for the shape ``file`` to start from."""

STARTS: Final[Mapping[str, Start]] = MappingProxyType(
    {
        "folded pouch": _POUCH,
        "flat sleeve": _SLEEVE,
        "boxed tote side": _TOTE,
        "base": _BASE,
        "zip pouch side": _ZIP_POUCH,
        "strap": _STRAP,
        "rectangle": _RECTANGLE,
        "ellipse": _ELLIPSE,
        "polygon": _POLYGON,
        "file": _DRAWN,
    }
)
