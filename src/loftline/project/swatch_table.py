"""The table of what was measured on a sewn test piece, ``[swatch]``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, ClassVar, Final

from pydantic import Field

from loftline.project.faults import Refused, Slip
from loftline.project.given import Given
from loftline.project.leaves import LENGTH_TEXT, Leaf, length, read_list
from loftline.project.list_leaves import pair
from loftline.project.table import Rules, Table
from loftline.units import Unit, show

MOST_READINGS: Final = 50
SWATCH_MM: Final = 100.0
"""Side of the test piece, and the length of line that is unpicked."""

_MOST_GROWN: Final = 1.05
_LEAST_LEFT: Final = 0.8
_ROUNDING_MM: Final = 1e-9


def _readings() -> Leaf:
    """Lengths of thread that were measured."""
    one = length(over=0)

    def read(value: object, units: Unit) -> tuple[object, ...]:
        found: list[object] = []
        slips: list[Slip] = []
        for i, item in enumerate(read_list(value, 1, MOST_READINGS, "measured lengths")):
            try:
                found.append(one.read(item, units))
            except ValueError as error:
                slips.append(Slip((i,), str(error)))
        if slips:
            raise Refused(slips)
        return tuple(found)

    item = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, LENGTH_TEXT]}
    schema = {"type": "array", "items": item, "minItems": 1, "maxItems": MOST_READINGS}
    return Leaf(read, schema)


def swatch(given: Given) -> Iterator[Slip]:
    """Readings of both threads, and sizes, in pairs and possible."""
    yield from _pairs(given, ("needle", "bobbin"), "both threads of each line are measured")
    yield from _pairs(given, ("before", "after"), "the size is measured before and after quilting")
    needle, bobbin = (_list(given, key) for key in ("needle", "bobbin"))
    if needle and bobbin and len(needle) != len(bobbin):
        says = f"found {len(bobbin)} readings, of the needle thread {len(needle)}; both threads "
        yield Slip(("bobbin",), says + "of each line are measured")
    yield from _too_short(given)
    yield from _grown(given)


def _pairs(given: Given, keys: tuple[str, str], why: str) -> Iterator[Slip]:
    for key, other in (keys, keys[::-1]):
        if given.has(other) and not given.has(key):
            yield Slip((key,), f"is missing; {why}")


def _too_short(given: Given) -> Iterator[Slip]:
    sewn = given.size("sewn", SWATCH_MM)
    for key in ("needle", "bobbin") if sewn is not None else ():
        for i, raw in enumerate(_list(given, key)):
            mm = Given({"mm": raw}, given.units).length("mm")
            if mm is not None and 0 < mm < (sewn or 0.0) - _ROUNDING_MM:
                says = f"found {show(raw)}; a thread is no shorter than the line it was sewn in, "
                yield Slip((key, i), says + given.words(sewn or 0.0))


def _grown(given: Given) -> Iterator[Slip]:
    pairs = zip(_list(given, "before"), _list(given, "after"), strict=False)
    for i, (old, new) in enumerate(pairs):
        was, now = (Given({"mm": raw}, given.units).length("mm") for raw in (old, new))
        if was is not None and now is not None and now > _MOST_GROWN * was > 0:
            says = f"found {show(new)}, before quilting {show(old)}; quilting draws a piece in"
            yield Slip(("after", i), says)
        elif was is not None and now is not None and 0 < now < _LEAST_LEFT * was:
            says = f"found {show(new)}, before quilting {show(old)}; no quilting draws a piece in "
            yield Slip(("after", i), f"{says}by more than 20 %")


def told_twice(given: Given) -> Iterator[Slip]:
    """What the swatch tells and another key too."""
    measured = given.table("swatch")
    for key, table, other in (
        ("needle", "layers", "sewn_thickness"),
        ("needle", "thread", "needle_share"),
        ("after", "quilting", "draw_in"),
    ):
        if measured.has(key) and given.table(table).has(other):
            says = f"the swatch tells this already (swatch.{key}); take this key out"
            yield Slip((table, other), says)


def _list(given: Given, key: str) -> Sequence[object]:
    value = given.raw(key)
    return value if isinstance(value, list | tuple) and len(value) <= MOST_READINGS else ()


class SwatchSpec(Table):
    """What a sewn test piece tells; loftline swatch writes one to sew."""

    table: ClassVar[str] = "swatch"
    rules: ClassVar[Rules | None] = swatch

    sewn: Annotated[float, length(over=0)] = Field(
        SWATCH_MM, description="length of line that was unpicked each time, along the line"
    )
    stitch_length: Annotated[float | None, length(least=0.8, most=12)] = Field(
        None, description="stitch length it was sewn with; by default that of the first design"
    )
    needle: Annotated[tuple[float, ...] | None, _readings()] = Field(
        None, description="needle thread of each line that was unpicked, laid straight"
    )
    bobbin: Annotated[tuple[float, ...] | None, _readings()] = Field(
        None, description="bobbin thread of the same lines, in the same order"
    )
    before: Annotated[
        tuple[float, float] | None, pair(length(least=20, most=2000), "[width, height]")
    ] = Field(None, description="size of the marked square before quilting, [width, height]")
    after: Annotated[
        tuple[float, float] | None, pair(length(least=10, most=2000), "[width, height]")
    ] = Field(None, description="size of the same square after quilting, [width, height]")

    @property
    def draw_in(self) -> float:
        """By how many percent the square shrank the way it shrank most; 0 where unmeasured.

        >>> round(SwatchSpec(before=(100.0, 100.0), after=(98.0, 99.0)).draw_in, 6)
        2.0
        """
        if self.before is None or self.after is None:
            return 0.0
        pairs = zip(self.before, self.after, strict=True)
        return max(0.0, *(100 * (was - now) / was for was, now in pairs))
