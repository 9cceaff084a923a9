"""Lines of an SVG drawing: guards first, then every shape on its own."""

from __future__ import annotations

from loftline.project.drawn.drawing import DrawnUnit, Refusal, Sheet
from loftline.project.drawn.limits import FLAT_MM
from loftline.project.drawn.svg.attributes import tag_of
from loftline.project.drawn.svg.tree import tree

__all__ = ["read_svg"]


def read_svg(data: bytes, unit: DrawnUnit | None, flat: float = FLAT_MM) -> Sheet:
    """Read the lines of an SVG drawing.

    Args:
        data: the file's bytes.
        unit: what one unit is, ``None`` to believe the file.
        flat: how far the straight pieces that stand for a curve may lie from it, mm.

    Raises:
        Refusal: with one sentence.
    """
    root = tree(data)
    if tag_of(root) != "svg":
        raise Refusal("file", "the file is XML but no SVG drawing")
    from loftline.project.drawn.svg.walk import Reader  # noqa: PLC0415 - loaded when needed

    return Reader(root, flat).sheet(unit)
