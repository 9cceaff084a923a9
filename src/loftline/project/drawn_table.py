"""The table ``[panel.drawn]``, and the drawing it speaks of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import Field, ValidationInfo

from loftline.project.drawn import Drawing, Refusal, Wanted, read_drawing
from loftline.project.drawn.drawing import DrawnUnit
from loftline.project.faults import Slip, as_validation_error
from loftline.project.leaves import choice, length, text
from loftline.project.table import Table
from loftline.units import DEFAULT_CLEARANCE_MM, show

Files = Mapping[str, bytes | Refusal]
"""Drawings by name, or why one could not be read."""

_Layer = Annotated[str | None, text()]


class DrawnSpec(Table):
    """Which layer, group or id of a drawing holds what."""

    table: ClassVar[str] = "drawn"

    outline: _Layer = Field(
        None, description="layer or id of the outline; without it the largest closed line is taken"
    )
    holes: _Layer = Field(
        None,
        description="layer or id of holes, windows and slots whose edges are bound and take no "
        "seam allowance; without it the closed lines inside the outline, on its own layer where "
        "that is named",
    )
    folds: _Layer = Field(
        None,
        description="layer or id of fold lines, each one straight line from edge to edge; they and "
        "those of [[panel.folds]] cut the panel into parts where no parts are drawn",
    )
    keep_outs: _Layer = Field(
        None,
        description="layer or id of zones that no needle may enter; each is called by its own id, "
        "or by the layer and a number",
    )
    parts: _Layer = Field(
        None,
        description="layer or id of parts; each is called by its own id, for `part` of fills. "
        "Without it [[panel.parts]] names those between the folds",
    )
    clearance: Annotated[float, length(least=0, most=500)] = Field(
        DEFAULT_CLEARANCE_MM, description="from the edge of each drawn keep-out to the needle"
    )
    unit: Annotated[DrawnUnit | None, choice("mm", "cm", "in")] = Field(
        None,
        description="what one unit of the drawing is; needed for a DXF file that names none, "
        "otherwise the file is believed unless this is set",
    )


def drawing_for(file: str, drawn: DrawnSpec | None, info: ValidationInfo) -> Drawing:
    """The drawing of a panel, from the files that came along.

    Raises:
        ValidationError: with the one thing that is wrong with it.
    """
    files: Files = (info.context or {}).get("files", {})
    spec = drawn or DrawnSpec()
    wanted = Wanted(
        outline=spec.outline,
        holes=spec.holes,
        folds=spec.folds,
        keep_outs=spec.keep_outs,
        parts=spec.parts,
        unit=spec.unit,
    )
    try:
        return read_drawing(file, _bytes(file, files), wanted)
    except Refusal as refusal:
        where = ("file",) if refusal.key == "file" else ("drawn", refusal.key)
        raise as_validation_error([Slip(where, refusal.says)]) from None


def _bytes(file: str, files: Files) -> bytes:
    data = files.get(file)
    if isinstance(data, Refusal):
        raise data
    if data is None:
        says = f"the drawing {show(file)} did not come along: read the project from its file with "
        says += "read_project, or give parse_project its bytes as files = {name: bytes}"
        raise Refusal("file", says)
    return data
