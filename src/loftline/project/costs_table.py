"""The table of costs: what the sewing order saves, in millimetres of sewing."""

from __future__ import annotations

from typing import Annotated, ClassVar, Final

from pydantic import Field

from loftline.project.leaves import length, number
from loftline.project.table import Table

_MOST_A_MM: Final = 1000.0
_MOST_EACH_MM: Final = 100_000.0
_LEAST_CUT_MM: Final = 1.0
"""A cut for nothing would end a run at every crossing."""


class CostsSpec(Table):
    """What travel, sewing over again, thread cuts and turns cost, in mm of sewing.

    ``None`` stands for what is usual with the machine's way of guiding the panel.
    """

    table: ClassVar[str] = "costs"

    edge: Annotated[float, number(least=0, most=_MOST_A_MM)] = Field(
        0.5, description="travel along the edge: how many times as dear as sewing a line"
    )
    keep_out: Annotated[float, number(least=0, most=_MOST_A_MM)] = Field(
        1.5,
        description="travel round a keep-out, which shows where it lies: how many times as dear "
        "as sewing a line",
    )
    double: Annotated[float, number(least=0, most=_MOST_A_MM)] = Field(
        2.0, description="a line sewn over again: how many times as dear as sewing it once"
    )
    cut: Annotated[float | None, length(least=_LEAST_CUT_MM, most=_MOST_EACH_MM)] = Field(
        None,
        description="a thread cut at the edge: as dear as sewing this length; by default 120 mm "
        "for a machine, 100 mm by hand, where the ends are caught in the seam",
    )
    cut_inside: Annotated[float | None, length(least=_LEAST_CUT_MM, most=_MOST_EACH_MM)] = Field(
        None,
        description="a thread cut inside the panel: as dear as sewing this length; by default "
        "124 mm for a machine, 400 mm by hand, where the ends are knotted and buried",
    )
    turn: Annotated[float | None, length(least=0, most=_MOST_EACH_MM)] = Field(
        None,
        description="a turn of the panel: as dear as sewing this length; by default 0 for a "
        "machine, which turns nothing, 20 mm by hand",
    )
