"""The table of the full-size sheets, ``[sheets]``."""

from __future__ import annotations

from typing import Annotated, ClassVar, Final, Literal

from pydantic import Field

from loftline.project.leaves import choice, choices
from loftline.project.table import Table

Paper = Literal["a4", "letter", "one sheet"]
PAPERS: Final[tuple[Paper, ...]] = ("a4", "letter", "one sheet")

SHEETS: Final = (
    *("overview", "panel", "hardware", "quilting", "guide lines"),
    *("order", "hoopings", "cutting", "materials"),
)


class SheetsSpec(Table):
    """The full-size sheets: which of them, and the paper."""

    table: ClassVar[str] = "sheets"

    paper: Annotated[Paper, choice(*PAPERS)] = Field(
        "a4",
        description='what the sheets are printed on; "one sheet" puts what is at full size on one '
        "large sheet each, for a plotter or a copy shop",
    )
    include: Annotated[tuple[str, ...] | None, choices(*SHEETS)] = Field(
        None,
        description="the sheets to print: overview, panel, hardware, quilting, guide lines (only "
        "the lines that must be marked, where a guide bar follows the others), order (of work and "
        "sewing), hoopings, cutting, materials; without this key all of them, the guide lines "
        "only where the panel is guided by hand; those with nothing to show are left out",
    )
