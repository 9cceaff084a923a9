"""Where the two faces of the closed bag stand on the page, and how much they are shrunk."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.units import Unit, format_length
from loftline.values import Affine, ClosedFace, Panel, Point

SHRUNK = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)
"""How many times smaller the closed bag may be drawn: the first that fits."""

# ems
TITLE = 3.2
LEAST_SLOT = 28.0
BETWEEN = 3.0
HEAD, NOTE = 4.0, 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """Room for one face.

    Attributes:
        at: upper left corner of its title.
        width: for the title.
        move: from the face's coordinates (mm, y up) to the page.
        shrunk: how many times smaller it is drawn.
    """

    at: Point
    width: float
    move: Affine
    shrunk: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The room of both faces with a heading, mm from the page's upper left corner.

    Attributes:
        at: upper left corner of the heading.
        bottom: where it ends.
    """

    at: Point
    width: float
    bottom: float
    shrunk: int
    slots: tuple[Slot, ...]


def place_faces(panel: Panel, at: Point, width: float, *, tallest: float, em: float) -> Band | None:
    """Faces side by side or one above the other, as large as there is room; none without faces.

    Args:
        panel: whose closed bag it is.
        at: upper left corner.
        width: of the band, mm.
        tallest: how high the faces with their titles may be, mm.
        em: mm.
    """
    faces = panel.closed
    if not faces:
        return None
    head = HEAD + NOTE * len(closed_notes(panel))
    sizes = [face.size for face in faces]
    corners = [face.bounds[:2] for face in faces]
    for shrunk in SHRUNK:
        wide = [max(w / shrunk, LEAST_SLOT * em) for w, _ in sizes]
        high = [h / shrunk + TITLE * em for _, h in sizes]
        gap = BETWEEN * em
        last = shrunk == SHRUNK[-1]
        beside = sum(wide) + gap * (len(faces) - 1) <= width
        if beside and (max(high) <= tallest or last):
            lefts = [at[0] + sum(wide[:i]) + gap * i for i in range(len(faces))]
            tops = [at[1] + head * em] * len(faces)
            break
        if last or (max(wide) <= width and sum(high) + gap * (len(faces) - 1) <= tallest):
            lefts = [at[0]] * len(faces)
            tops = [at[1] + head * em + sum(high[:i]) + gap * i for i in range(len(faces))]
            break
    slots = tuple(
        Slot(
            at=(left, top),
            width=slot_width,
            move=_to_page((left, top + tall), corner, shrunk),
            shrunk=shrunk,
        )
        for left, top, slot_width, tall, corner in zip(
            lefts, tops, wide, high, corners, strict=True
        )
    )
    bottom = max(top + tall for top, tall in zip(tops, high, strict=True))
    return Band(at=at, width=width, bottom=bottom, shrunk=shrunk, slots=slots)


def only_face(face: ClosedFace, margin: float) -> Slot:
    """The room of a face that stands alone, full size."""
    wide, high = face.size
    move = _to_page((margin, margin + high), face.bounds[:2], 1)
    return Slot(at=(margin, margin), width=wide, move=move, shrunk=1)


def _to_page(at: Point, corner: tuple[float, ...], shrunk: int) -> Affine:
    """The move that brings a face's lower left corner to a place on the page."""
    x, y = (value / shrunk for value in corner)
    return Affine(1 / shrunk, 0.0, 0.0, -1 / shrunk, at[0] - x, at[1] + y)


def closed_notes(panel: Panel, units: Unit = "mm") -> list[str]:
    """What the picture of the closed bag leaves out, for some panels."""
    notes = []
    shown = {shown.part for face in panel.closed for shown in face.parts}
    for name, width in panel.gussets:
        notes.append(
            f"The {name} stands square in the bag, {format_length(width, units)} deep, and is not "
            "shown."
        )
    if len(panel.closed) == 1:
        others = " and ".join(part.name for part in panel.parts if part.name not in shown)
        notes.append(f"The {others} stands square to it in the bag and is not shown.")
    lining = not all(face.lining.is_empty for face in panel.closed)
    if lining and len(panel.folds) > 1 and not panel.gussets:
        notes.append(
            "A strip that stands square in the bag, as a gusset does, is folded flat here: its "
            "folds do not say that they bend square."
        )
    if any(dart.boxed is None for dart in panel.darts):
        notes.append("Darts are drawn open: sewn out they draw the edge in, which is not shown.")
    if any(dart.boxed is not None for dart in panel.darts):
        notes.append(
            "Boxed corners are drawn flat, before they are sewn across: then the bag is deeper, "
            "lower and narrower."
        )
    if panel.standing is not None:
        wide, high, deep = (format_length(side, units) for side in panel.standing)
        notes.append(f"The standing bag, as sewn: {wide} wide, {high} high, {deep} deep.")
    return notes
