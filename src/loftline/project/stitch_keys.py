"""A stitch length, or stitches per inch: two keys for one thing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from loftline.project.faults import Slip
from loftline.project.given import Given
from loftline.project.leaves import Millimetres
from loftline.units import MM_PER_INCH, show, stitch_length_from_per_inch

PER_INCH: Final = "stitches_per_inch"
LEAST_MM: Final = 0.8
MOST_MM: Final = 12.0


def per_inch_slips(given: Given) -> Iterator[Slip]:
    """Stitch length one way or the other, and stitches per inch that can be sewn."""
    if not given.has(PER_INCH):
        return
    found = show(given.raw(PER_INCH))
    if given.has("stitch_length"):
        yield Slip((PER_INCH,), "give stitch_length or stitches_per_inch, not both")
    per_inch = given.number(PER_INCH)
    if per_inch is None:
        yield Slip((PER_INCH,), f"found {found}; should be a number such as 8")
    elif not MM_PER_INCH / MOST_MM <= per_inch <= MM_PER_INCH / LEAST_MM:
        says = f"found {found}; should be from 2.12 to 31.75 (12 to 0.8 mm)"
        yield Slip((PER_INCH,), says)


def with_length(given: dict[str, object]) -> None:
    """Turn stitches per inch into the stitch length, in place."""
    per_inch = Given(given, "mm").number(PER_INCH)
    given.pop(PER_INCH, None)
    if per_inch is not None and per_inch > 0 and "stitch_length" not in given:
        mm = stitch_length_from_per_inch(per_inch)
        # out of range is told of the key that was written
        given["stitch_length"] = Millimetres(min(max(mm, LEAST_MM), MOST_MM))


def stitch_length_of(table: Given, usual: float | None = 3.0) -> float | None:
    """Stitch length in mm of a raw table.

    Args:
        table: as it was read.
        usual: where it says nothing, mm.

    Returns:
        ``None`` when it cannot be read.
    """
    if table.has("stitch_length"):
        return table.length("stitch_length")
    if not table.has(PER_INCH):
        return usual
    per_inch = table.number(PER_INCH)
    return MM_PER_INCH / per_inch if per_inch is not None and per_inch > 0 else None
