"""Rules about a drawn panel, which hold once its drawing is read."""

from __future__ import annotations

from collections.abc import Iterator

from loftline.project import work
from loftline.project.drawn import Drawing
from loftline.project.faults import Slip, listed, nearest
from loftline.project.given import Given
from loftline.units import show


def drawn(drawing: Drawing, given: Given) -> Iterator[Slip]:
    """Parts that are in the drawing, and no more work than is planned."""
    parts = ("all", *(part.name for part in drawing.parts))
    for i, design in enumerate(given.tables("fills")):
        part = design.text("part", "all")
        if part is not None and part not in parts:
            close = nearest(part, parts)
            hint = f"did you mean {show(close)}? " if close else ""
            has = f"the parts {listed([show(word) for word in parts[:8]], 'and')}"
            has = has if len(parts) > 1 else 'no parts, only "all"; name their layer as drawn.parts'
            yield Slip(("fills", i, "part"), f"found {show(part)}; {hint}the drawing has {has}")
    for i, piece in enumerate(given.tables("hardware")):
        if piece.raw("mate") is True and not drawing.folds:
            says = "the drawing has no folds; name their layer as drawn.folds of the panel"
            yield Slip(("hardware", i, "mate"), says)
    low_x, low_y, high_x, high_y = drawing.outline.bounds
    box = {
        "shape": "rectangle",
        "width": high_x - low_x,
        "height": high_y - low_y,
        "overhang": given.table("panel").raw("overhang"),
    }
    keys = ("fills", "quilting", "keep_outs")
    yield from work.capped(Given({"panel": box} | {key: given.raw(key) for key in keys}, "mm"))
