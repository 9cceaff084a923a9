"""Lines of a DXF drawing: what lies in its model space, blocks drawn out, hidden layers not."""

from __future__ import annotations

from loftline.project.drawn.drawing import DrawnUnit, Sheet
from loftline.project.drawn.dxf.guards import guard

__all__ = ["read_dxf"]


def read_dxf(data: bytes, unit: DrawnUnit | None) -> Sheet:
    """Read the lines of a DXF drawing.

    Raises:
        Refusal: with one sentence.
    """
    guard(data)
    from loftline.project.drawn.dxf.document import (  # noqa: PLC0415 - loaded when needed
        document_of,
        unit_of,
    )
    from loftline.project.drawn.dxf.walk import Reader  # noqa: PLC0415 - loaded when needed

    document = document_of(data)
    scale, says = unit_of(document, unit)
    return Reader(document).sheet(scale, says)
