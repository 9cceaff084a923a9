"""The keys of a meander in ``[[fills]]``, and how they fit one another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from loftline.project.faults import Slip
from loftline.project.given import Given

Handwriting = Literal["plain", "loops"]

MOST_GRADED: Final = 3.0
"""The wider spacing by the narrower: beyond, the bends of the wide end look like another hand."""

_ROUNDING_MM: Final = 1e-9


def meander_slips(given: Given) -> Iterator[Slip]:
    """Entry and exit come together, and so do a second spacing and its direction."""
    for key, other in (("entry", "exit"), ("exit", "entry")):
        if given.has(other) and not given.has(key):
            says = "is missing; a line needs entry and exit, or neither: then it is closed"
            yield Slip((key,), says)
    entry, leave = given.raw("entry"), given.raw("exit")
    if given.has("entry") and isinstance(entry, list | tuple) and list(entry) == _listed(leave):
        says = "found the place of the entry; take both out: a closed line ends where it begins"
        yield Slip(("exit",), says)
    if given.has("spacing_towards") and not given.has("spacing_to"):
        yield Slip(("spacing_to",), "is missing; spacing_towards says where that spacing lies")
    yield from _graded(given)


def _listed(value: object) -> list[object]:
    return list(value) if isinstance(value, list | tuple) else []


def _graded(given: Given) -> Iterator[Slip]:
    start, end = given.size("spacing", 12.0), given.size("spacing_to")
    if start is None or end is None:
        return
    low, high = start / MOST_GRADED, start * MOST_GRADED
    if not low - _ROUNDING_MM <= end <= high + _ROUNDING_MM:
        says = f"found {given.found('spacing_to')}; should be from a third of the spacing to three "
        says += f"times as much, {given.words(low)} to {given.words(high)}"
        yield Slip(("spacing_to",), says)
