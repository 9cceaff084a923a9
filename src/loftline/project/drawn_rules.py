"""Rules about a drawn panel, which hold once its drawing is read."""

from __future__ import annotations

from collections.abc import Iterator

from loftline.project import work
from loftline.project.drawn import Drawing
from loftline.project.faults import Slip, listed, nearest
from loftline.project.fold_tables import part_names, region_names
from loftline.project.given import Given
from loftline.units import show


def drawn(drawing: Drawing, given: Given) -> Iterator[Slip]:
    """Parts that are in the drawing, and no more work than is planned."""
    yield from _folds_and_parts(drawing, given.table("panel"))
    drawn_parts, regions = [part.name for part in drawing.parts], region_names(given)
    parts = ("all", *drawn_parts, *part_names(given.table("panel")))
    for i, design in enumerate(given.tables("fills")):
        part = design.text("part", "all")
        if part is not None and part not in parts + regions:
            close = nearest(part, parts)
            hint = f"did you mean {show(close)}? " if close else ""
            has = f"the parts {listed([show(word) for word in parts[:8]], 'and')}"
            has = has if len(parts) > 1 else 'no parts, only "all"; name their layer as drawn.parts'
            has += "" if len(parts) > 1 else ", or name those between folds in [[panel.parts]]"
            yield Slip(("fills", i, "part"), f"found {show(part)}; {hint}the drawing has {has}")
    for i, piece in enumerate(given.tables("hardware")):
        if piece.raw("mate") is True and not _folds(drawing, given.table("panel")):
            says = "the drawing has no folds; name their layer as drawn.folds of the panel, or "
            says += "give [[panel.folds]]"
            yield Slip(("hardware", i, "mate"), says)
    low_x, low_y, high_x, high_y = drawing.outline.bounds
    box = {
        "shape": "rectangle",
        "width": high_x - low_x,
        "height": high_y - low_y,
        "overhang": given.table("panel").raw("overhang"),
    }
    keys = ("fills", "quilting", "keep_outs", "regions")
    yield from work.capped(Given({"panel": box} | {key: given.raw(key) for key in keys}, "mm"))


def _folds(drawing: Drawing, panel: Given) -> bool:
    return bool(drawing.folds) or any(_placed(entry) for entry in panel.tables("folds"))


def _placed(fold: Given) -> bool:
    return fold.has("from") or fold.has("from_")  # as written, or as a built table calls it


def _folds_and_parts(drawing: Drawing, panel: Given) -> Iterator[Slip]:
    """Folds and parts of the file beside those of the drawing."""
    drawn = [fold.name for fold in drawing.folds]
    for i, entry in enumerate(panel.tables("folds")):
        name = entry.text("name")
        if name in drawn and _placed(entry):
            says = f"{show(name)} is the name of a drawn fold too; choose another, or take from "
            yield Slip(("panel", "folds", i, "name"), says + "and to out to speak of the drawn one")
    if not panel.tables("parts"):
        return
    if drawing.parts:
        words = listed([show(part.name) for part in drawing.parts[:8]], "and")
        says = f"the drawing has parts of its own, {words}; take these out, or take parts out of "
        yield Slip(("panel", "parts"), says + "[panel.drawn]")
    elif not _folds(drawing, panel):
        says = "found parts and no folds; parts lie between folds, so give [[panel.folds]] or name "
        yield Slip(("panel", "parts"), says + "their layer as drawn.folds")
