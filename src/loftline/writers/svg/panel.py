"""The panel in the picture: what is trimmed, outline, seam allowance, folds, keep-outs.

Everything here is drawn in panel coordinates, y up; the page turns it over.
"""

from __future__ import annotations

import shapely
from svgwrite.pattern import Pattern

from loftline.geometry import ARC_SEGMENTS, inside_seams, only_polygons
from loftline.values import Dart, KeepOut, Panel, Piece, Point
from loftline.writers.svg import style
from loftline.writers.svg.folds import draw_folds
from loftline.writers.svg.marks import (
    Element,
    area_path,
    disc,
    group,
    num,
    open_path,
    path,
    straight,
)
from loftline.writers.svg.style import Scale

DOTS = "trim-dots"


def later_pieces(panel: Panel) -> list[Piece]:
    """Hardware that is only marked: it is fitted when the quilting is done."""
    return [piece for piece in panel.pieces if piece.fitted != "before quilting"]


def dots(scale: Scale) -> Element:
    """A quiet pattern of dots for what is trimmed off."""
    side = 0.62 * scale.em
    size = (num(side), num(side))
    pattern = Pattern(insert=(0, 0), size=size, id=DOTS, patternUnits="userSpaceOnUse", debug=False)
    for share in (0.25, 0.75):
        at = (share * side, share * side)
        pattern.add(disc(at, 0.055 * scale.em, fill=style.TRIM_DOT))
    return pattern


def draw_ground(panel: Panel, scale: Scale) -> list[Element]:
    """What lies under the lines."""
    fabric = group("fabric")
    fabric.add(area_path(panel.outline, fill=style.FABRIC))
    seam = group("seam-allowance")
    inner = inside_seams(panel.outline, panel.seam_allowance)
    if panel.seam_allowance > 0 and not inner.is_empty:
        seam.add(area_path(inner, **style.seam_look(scale)))
    darts = group("darts")
    for dart in panel.darts:
        darts.add(_dart(dart, scale))
    return [
        _overhang(panel, scale),
        fabric,
        seam,
        *draw_folds(panel, scale),
        *([darts] if panel.darts else []),
        draw_keep_outs(panel, scale),
    ]


def draw_keep_outs(panel: Panel, scale: Scale) -> Element:
    """What the needle stays away from."""
    zones = group("keep-outs")
    for zone in panel.keep_outs:
        zones.add(_keep_out(zone, scale))
    return zones


def _overhang(panel: Panel, scale: Scale) -> Element:
    overhang = group("overhang")
    if panel.overhang > 0:
        grown = panel.outline.buffer(panel.overhang, quad_segs=ARC_SEGMENTS)
        trimmed = only_polygons(grown.difference(panel.outline))
        overhang.add(area_path(trimmed, fill=style.TRIM))
        dotted = style.thin(scale, ems=0.04) | {"fill": f"url(#{DOTS})"}
        overhang.add(area_path(trimmed, **dotted))
    return overhang


def _dart(dart: Dart, scale: Scale) -> Element:
    """The wedge as what is cut off, its seam allowance, its legs, a dot where they meet."""
    mark = group(class_="dart")
    allowance = only_polygons(dart.zone.difference(dart.wedge))
    mark.add(area_path(allowance, fill=style.FABRIC))
    mark.add(area_path(dart.zone, **style.seam_look(scale)))
    mark.add(area_path(dart.wedge, class_="wedge", fill=style.TRIM))
    for leg in dart.legs:
        mark.add(path(open_path(*leg.tolist()), class_="leg", **style.outline_look(scale)))
    if dart.boxed is None:
        mark.add(disc(dart.tip, 0.22 * scale.em, fill=style.INK))
    return mark


def _keep_out(zone: KeepOut, scale: Scale) -> Element:
    """The hard edge filled, within the ring that the needle stays out of."""
    ring = zone.zone or only_polygons(zone.outline.buffer(zone.reach, quad_segs=ARC_SEGMENTS // 2))
    look = style.thin(scale, style.SOFT_INK) | {"fill": style.ZONE}
    mark = group(class_="keep-out")
    mark.add(area_path(ring, class_="clearance", **look))
    mark.add(area_path(zone.outline, class_="hard-edge", fill=style.HARD))
    return mark


def draw_later(panel: Panel, scale: Scale) -> Element:
    """Dashed outlines with a cross for what is fitted after the quilting."""
    marks = group("fitted-later")
    for piece in later_pieces(panel):
        mark = group(class_="piece")
        look = style.later_look(scale) | {"fill": style.PAPER, "fill_opacity": "0.7"}
        mark.add(area_path(piece.outline, **look))
        x0, y0, x1, y1 = shapely.bounds(piece.outline).tolist()
        mark.add(cross(piece.at, (x1 - x0) / 2, (y1 - y0) / 2, scale))
        marks.add(mark)
    return marks


def cross(at: Point, half_width: float, half_height: float, scale: Scale) -> Element:
    """A dashed cross that reaches a little beyond a piece."""
    x, y = at
    wide, tall = half_width + 0.35 * scale.em, half_height + 0.35 * scale.em
    lines = group(**style.later_look(scale))
    lines.add(straight((x - wide, y), (x + wide, y)))
    lines.add(straight((x, y - tall), (x, y + tall)))
    return lines


def draw_outline(panel: Panel, scale: Scale) -> Element:
    """The cut edge, over the lines that run off past it."""
    outline = group("outline")
    look = style.outline_look(scale)
    outline.add(area_path(panel.outline, stroke_linejoin="round", **look))
    return outline
