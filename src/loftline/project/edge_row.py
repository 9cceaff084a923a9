"""Several pieces of one kind in a row along an edge: the inner table ``at`` of hardware."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Final

from pydantic import Field

from loftline.project.faults import Slip
from loftline.project.given import Given
from loftline.project.leaves import length, text, whole
from loftline.project.table import Rules, Table

MOST_IN_A_ROW: Final = 200
"""Pieces of one row."""


def _row(given: Given) -> Iterator[Slip]:
    if not given.has("every") and not given.has("count"):
        says = "say how far apart the pieces are (every), how many there are (count), or both"
        yield Slip(("every",), says)


class EdgeRow(Table):
    """Pieces at even distances along an edge, with as much left over at both its ends."""

    table: ClassVar[str] = "at along an edge"
    rules: ClassVar[Rules | None] = _row

    along: Annotated[str, text()] = Field(description='the edge they follow, such as "top"')
    distance: Annotated[float, length(least=0)] = Field(
        description="how far in from that edge their centres lie"
    )
    every: Annotated[float | None, length(least=2)] = Field(
        None,
        description="from centre to centre; without count as many as keep every/2 from both ends",
    )
    count: Annotated[int | None, whole(1, MOST_IN_A_ROW)] = Field(
        None,
        description="how many, 1 to 200; without every they share the length evenly, half a "
        "share before the first and after the last",
    )
