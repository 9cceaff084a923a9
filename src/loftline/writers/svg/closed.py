"""The closed bag, front and back, with the quilting as it will show, in page coordinates.

Parts are painted from the innermost out, so what lies under another is hidden as it is in
the bag; what is hidden but matters is drawn over it in dashes.
"""

from __future__ import annotations

import shapely

from loftline.geometry import only_polygons, pole
from loftline.units import Unit, format_length
from loftline.values import Affine, Area, ClosedFace, Panel, Shown
from loftline.writers.svg import style
from loftline.writers.svg.closed_marks import draw_hardware
from loftline.writers.svg.closed_place import NOTE, Band, Slot, closed_notes
from loftline.writers.svg.closed_shapes import edges_of, merged_lines, seen_thread
from loftline.writers.svg.labels import Taken, plate
from loftline.writers.svg.marks import (
    Element,
    area_path,
    group,
    lines_path,
    num,
    path,
    safe_text,
    shorten,
    straight,
    words,
)
from loftline.writers.svg.strands import Strands
from loftline.writers.svg.style import Scale

SIZES = {1: "drawn full size", 2: "drawn half size"}


def draw_closed(panel: Panel, strands: Strands, band: Band, scale: Scale, units: Unit) -> Element:
    """Both faces in the places that are laid out for them, under a heading."""
    drawn = group("closed")
    em, (x, y) = scale.em, band.at
    bold = {"font_weight": "bold", "fill": style.INK}
    named = "The folded strap" if panel.strap else "The closed bag"
    drawn.add(words(named, (x, y + 1.05 * em), 1.08 * em, **bold))
    line = y + 1.6 * em
    drawn.add(straight((x, line), (x + band.width, line), **style.thin(scale)))
    drawn_size = SIZES.get(band.shrunk, f"drawn at 1 : {band.shrunk}")
    told = f"As it will be sewn: the seam allowance is taken up, all lies flat; {drawn_size}."
    for i, note in enumerate([told, *closed_notes(panel, units)]):
        at = (x, y + (2.95 + NOTE * i) * em)
        drawn.add(words(shorten(note, band.width, 0.9 * em), at, 0.9 * em, fill=style.SOFT_INK))
    for face, slot in zip(panel.closed, band.slots, strict=True):
        drawn.add(_draw_face(face, panel, strands, slot, scale, units))
    return drawn


def parts_words(face: ClosedFace) -> str:
    """What is seen of the bag, innermost first.

    >>> square = shapely.box(0, 0, 9, 9)
    >>> move = Affine(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    >>> names = ("front", "flap")
    >>> shown = [Shown(part=name, area=square, move=move, covered=square) for name in names]
    >>> parts_words(ClosedFace(name="front", parts=tuple(shown)))
    'front with flap over it'
    """
    under, *over = (shown.part for shown in face.parts)
    lies = any(shown.covered.area > 0 for shown in face.parts)
    if not over:
        return under
    return f"{under} with {' and '.join(over)} over it" if lies else " and ".join((under, *over))


def _draw_face(
    face: ClosedFace, panel: Panel, strands: Strands, slot: Slot, scale: Scale, units: Unit
) -> Element:
    em = scale.em
    wide, high = (format_length(side, units) for side in face.size)
    lies = "folded" if panel.strap else "closed"
    title, size = f"{lies}, {face.name}", f"{wide} wide, {high} high"
    drawn = group(f"closed-{face.name}", class_="face")
    drawn.set_desc(title=title, desc=safe_text(f"{parts_words(face)}, {size}"))
    x, y = slot.at
    drawn.add(words(shorten(title, slot.width, em), (x, y + em), em, fill=style.INK))
    soft = {"fill": style.SOFT_INK}
    below = shorten(f"{size}: {parts_words(face)}", slot.width, 0.9 * em)
    drawn.add(words(below, (x, y + 2.2 * em), 0.9 * em, **soft))
    for part in paint_face(face, panel, strands, slot, scale):
        drawn.add(part)
    return drawn


def paint_face(
    face: ClosedFace, panel: Panel, strands: Strands, slot: Slot, scale: Scale
) -> list[Element]:
    """A face without its words: fabric, thread, edges, letters."""
    em, drawn = scale.em, []
    moves = [shown.move.then(slot.move) for shown in face.parts]
    wholes = [slot.move.area(shown.whole) for shown in face.parts]
    for shown, move, whole in zip(face.parts, moves, wholes, strict=True):
        drawn.append(_paint(shown, whole, panel, strands, move, slot, scale))
    lining = slot.move.area(face.lining)
    if not lining.is_empty:
        drawn.append(area_path(lining, class_="lining", **style.lining_look(scale)))
    on_top, hidden = edges_of(panel, moves, wholes, lining)
    for name, edges, look in (
        ("on-top", on_top, style.on_top_look(scale)),
        ("beneath", hidden, style.hidden_look(scale)),
    ):
        if not shapely.is_empty(edges):
            drawn.append(_edge(edges, name, look))
    drawn.append(draw_hardware(face, panel, slot, scale))
    x0, y0, x1, y1 = lining.bounds
    if x1 - x0 > 6 * em and y1 - y0 > 3 * em:
        drawn.append(plate("lining", pole(lining), 0.9 * em, Taken()))
    return drawn


def _paint(
    shown: Shown,
    whole: Area,
    panel: Panel,
    strands: Strands,
    move: Affine,
    slot: Slot,
    scale: Scale,
) -> Element:
    """A part: fabric, darts, thread, edge."""
    painted = group(class_="shown")
    painted.add(area_path(whole, class_="fabric", fill=style.FABRIC))
    seen = slot.move.area(shown.area)
    for dart in panel.darts:
        wedge = only_polygons(shapely.intersection(move.area(dart.wedge), whole))
        if not wedge.is_empty:
            painted.add(area_path(wedge, class_="dart", **style.thin(scale) | {"fill": style.TRIM}))
    points, starts = seen_thread(strands, move, seen)
    if len(points):
        width = max(scale.stroke / slot.shrunk, 0.03 * scale.em)
        look = {"fill": "none", "stroke": style.run_colour(0), "stroke_width": num(width)}
        painted.add(path(lines_path(points, starts), class_="thread", **look))
    painted.add(area_path(whole, class_="edge", **style.outline_look(scale)))
    return painted


def _edge(lines: shapely.Geometry, name: str, look: style.Look) -> Element:
    points, starts = merged_lines(lines)
    return path(lines_path(points, starts), class_=name, **look)
