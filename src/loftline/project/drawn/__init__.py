"""Drawn outlines: from the bytes of an SVG or DXF drawing to what a panel needs of it.

The libraries that read drawings are heavy and are loaded only when there is one to read.
"""

from __future__ import annotations

from loftline.project.drawn.drawing import Drawing, DrawnFold, DrawnZone, Refusal, Wanted
from loftline.project.drawn.limits import MOST_DRAWING_BYTES

__all__ = [
    "MOST_DRAWING_BYTES",
    "Drawing",
    "DrawnFold",
    "DrawnZone",
    "Refusal",
    "Wanted",
    "read_drawing",
]


def read_drawing(name: str, data: bytes, wanted: Wanted) -> Drawing:
    """Read a drawing; pure.

    Args:
        name: the file's name; its ending says which kind it is.
        data: the file's bytes, at most :data:`MOST_DRAWING_BYTES`.
        wanted: which layers hold what, and the unit where the file names none.

    Returns:
        What was found, in mm, y up, from the lower left corner of the outline's box.

    Raises:
        Refusal: with one sentence and the key it is about.
    """
    ending = name.casefold().rpartition(".")[2]
    if ending not in {"svg", "dxf"}:
        raise Refusal("file", "should be a drawing that ends in .svg or .dxf")
    if len(data) > MOST_DRAWING_BYTES:
        raise Refusal("file", f"the drawing is longer than {MOST_DRAWING_BYTES // 10**6} MB")
    if ending == "svg":
        from loftline.project.drawn.svg import read_svg  # noqa: PLC0415 - loaded when needed

        sheet = read_svg(data, wanted.unit)
    else:
        from loftline.project.drawn.dxf import read_dxf  # noqa: PLC0415 - loaded when needed

        sheet = read_dxf(data, wanted.unit)
    from loftline.project.drawn.choosing import choose  # noqa: PLC0415 - loaded when needed

    return choose(name, data, sheet, wanted)
