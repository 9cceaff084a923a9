"""The table of a quilting design, ``[[fills]]``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, ClassVar, Final, Literal, get_args

from pydantic import Field, ValidationInfo, field_validator

from loftline.project.faults import Slip, listed
from loftline.project.given import Given
from loftline.project.leaves import Leaf, choice, flag, length, number, text
from loftline.project.list_leaves import POINT, directions
from loftline.project.not_yet import LATER_PATTERNS
from loftline.project.table import Rules, Table
from loftline.units import Unit, show

_ROUNDING_MM: Final = 1e-9

Pattern = Literal["channel", "grid", "meander", "echo", "spiral", "rays"]


Setting = Literal["square", "on point", "diamond", "hanging diamond", "triangle"]
Point = tuple[float, float]

SETTINGS: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType(
    {
        "square": (0.0, 90.0),
        "on point": (45.0, 135.0),
        "diamond": (30.0, 150.0),
        "hanging diamond": (90.0, 45.0),
        "triangle": (30.0, 90.0, 150.0),
    }
)
"""Directions of a grid's families, degrees."""

PATTERN_KEYS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "channel": (
            *("angle", "start_at", "even_ends", "uneven", "paired"),
            *("wave_height", "wave_length"),
        ),
        "grid": ("angle", "setting", "start_at"),
        "meander": (),
        "echo": ("joined",),
        "spiral": ("start_at",),
        "rays": ("start_at",),
    }
)
"""Keys that belong to some patterns only; those of all others are refused."""

STEEPEST_WAVE: Final = 0.7
"""Height by length. A wave's slope is at most pi times that, so lines that lie a spacing apart
along the wave's height are nowhere nearer than 1 / sqrt(1 + (0.7 pi)**2) = 0.41 of it."""

MOST_PAIRED: Final = 0.5
"""Of the spacing: wider, and the two lines are no pair any more."""


def fill_slips(given: Given) -> Iterator[Slip]:
    """Keys that belong to the pattern, and keys that fit one another."""
    pattern = given.text("pattern")
    if pattern is None or pattern not in PATTERN_KEYS:
        return
    yield from _of_others(given, pattern)
    angle = given.raw("angle")
    if pattern == "channel":
        if isinstance(angle, list | tuple) and len(angle) > 1:
            says = f"found {show(angle)}; channels have one angle, a grid has two or three"
            yield Slip(("angle",), says)
        yield from _waves(given)
        yield from _apart(given)
    if pattern == "grid" and given.has("setting") and given.has("angle"):
        yield Slip(("setting",), "give setting, or angles of your own, not both")


def _of_others(given: Given, pattern: str) -> Iterator[Slip]:
    own = PATTERN_KEYS[pattern]
    for key in dict.fromkeys(key for keys in PATTERN_KEYS.values() for key in keys):
        if key in own or not given.has(key):
            continue
        if key == "angle":
            yield Slip((key,), f"a {pattern} has no direction; take this key out")
            continue
        owners = [show(name) for name, keys in PATTERN_KEYS.items() if key in keys]
        says = f"does not belong to the pattern {show(pattern)}, only to {listed(owners, 'and')}"
        yield Slip((key,), says)


def _waves(given: Given) -> Iterator[Slip]:
    """Height and length together, and no steeper than lines can follow."""
    for key, other in (("wave_height", "wave_length"), ("wave_length", "wave_height")):
        if given.has(other) and not given.has(key):
            yield Slip((key,), "is missing; a wave needs wave_height and wave_length")
    height, long = given.size("wave_height"), given.size("wave_length")
    if height is not None and long is not None and height > STEEPEST_WAVE * long + _ROUNDING_MM:
        says = f"found {given.found('wave_height')}; should be at most {STEEPEST_WAVE:g} of the "
        says += f"wave_length, {given.words(STEEPEST_WAVE * long)}: steeper, the lines crowd"
        yield Slip(("wave_height",), says)


def _apart(given: Given) -> Iterator[Slip]:
    """One say on where the lines lie."""
    paired, spacing = given.size("paired"), given.size("spacing", 12.0)
    if paired is not None and spacing is not None:
        most = MOST_PAIRED * spacing
        if paired > most + _ROUNDING_MM:
            says = f"found {given.found('paired')}; should be at most half of the spacing, "
            yield Slip(("paired",), says + given.words(most))
    if given.raw("even_ends") is not True:
        return
    if (given.number("uneven") or 0.0) > 0:
        yield Slip(("uneven",), "uneven lines do not end evenly; take out uneven or even_ends")
    if isinstance(given.raw("start_at"), list | tuple):
        says = "lines that end evenly start at the centre; take out start_at or even_ends"
        yield Slip(("start_at",), says)


def _start() -> Leaf:
    """The word ``centre`` or a place."""

    def read(value: object, units: Unit) -> object:
        if isinstance(value, str):
            if value == "centre":
                return value
            raise ValueError(f'found {show(value)}; should be "centre" or a place [x, y]')
        return POINT.read(value, units)

    return Leaf(read, {"anyOf": [{"enum": ["centre"]}, POINT.schema]})


class FillSpec(Table):
    """A quilting design over one part of the panel."""

    table: ClassVar[str] = "fills"
    rules: ClassVar[Rules | None] = fill_slips

    part: Annotated[str, text()] = Field(
        "all", description="part it covers: all, or a part by its name, such as front, back or flap"
    )
    pattern: Annotated[Pattern, choice(*get_args(Pattern), later=LATER_PATTERNS)] = Field(
        description="the quilting design"
    )
    setting: Annotated[Setting | None, choice(*get_args(Setting))] = Field(
        None,
        description="grid: how it is set, instead of an angle: square 0 and 90 degrees, on point "
        "45 and 135, diamond 30 and 150, hanging diamond 90 and 45, triangle 30, 90 and 150 with "
        "three lines in each crossing",
    )
    angles: Annotated[tuple[float, ...], directions()] = Field(
        (45.0,),
        alias="angle",
        validate_default=True,
        description="direction of the lines in degrees from x, counter-clockwise; a grid takes "
        "one (its second family stands square to it) or a list of two or three",
    )
    spacing: Annotated[float, length(least=1, most=1000)] = Field(
        12.0, description="distance between neighbouring lines"
    )

    start_at: Annotated[Point | Literal["centre"], _start()] = Field(
        "centre",
        description="channel, grid: a line passes there, or the middle of a pair; spiral, rays: "
        "their centre. The word centre, of the part, or a place [x, y]",
    )
    joined: Annotated[bool, flag()] = Field(
        default=True,
        description="echo: one line through all distances; false: a ring for each",
    )
    even_ends: Annotated[bool, flag()] = Field(
        default=False,
        description="channel: change the spacing by at most 5 % so that a whole or half spacing "
        "is left at both sides of the part",
    )
    uneven: Annotated[float, number(least=0, most=1)] = Field(
        0.0,
        description="channel: how unevenly the lines are spaced, 0 to 1; at 1 from 0.4 to 1.6 of "
        "the spacing. Another seed spaces them otherwise",
    )
    paired: Annotated[float | None, length(least=1, most=500)] = Field(
        None,
        description="channel: two lines in place of each, so far apart; at most half the spacing",
    )
    wave_height: Annotated[float | None, length(over=0, most=500)] = Field(
        None, description="channel: waves instead of straight lines, so high from trough to crest"
    )
    wave_length: Annotated[float | None, length(least=5)] = Field(
        None, description="channel: from one crest of a wave to the next"
    )

    @field_validator("angles")
    @classmethod
    def _families(cls, value: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
        """One direction for each family of lines; none where a pattern has no direction."""
        pattern = info.data.get("pattern")
        if "angle" not in PATTERN_KEYS.get(str(pattern), ("angle",)):
            return ()
        setting = info.data.get("setting")
        if pattern == "grid" and setting is not None:
            return SETTINGS[setting]
        if pattern == "grid" and len(value) == 1:
            return (value[0], (value[0] + 90.0) % 180.0)
        return value

    @property
    def straight(self) -> bool:
        """Whether all its lines are straight, in its angles."""
        return self.pattern in {"channel", "grid"} and self.wave_height is None
