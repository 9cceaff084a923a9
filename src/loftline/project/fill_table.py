"""The table of a quilting design, ``[[fills]]``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, ClassVar, Final, Literal, get_args

from pydantic import Field, ValidationInfo, field_validator

from loftline.patterns import PATTERNS
from loftline.project.faults import Slip, listed, nearest
from loftline.project.given import Given
from loftline.project.leaves import Leaf, choice, flag, length, number, text
from loftline.project.list_leaves import POINT, directions
from loftline.project.match_rules import match_slips, one_of
from loftline.project.meander_table import Handwriting, meander_slips
from loftline.project.motif_table import motif_for, motif_slips
from loftline.project.motif_tile import LEAST_SIZE_MM, MOST_SIZE_MM, Motif
from loftline.project.panel_tables import EdgePlace, read_place
from loftline.project.stitch_keys import LEAST_MM, MOST_MM, PER_INCH, per_inch_slips, with_length
from loftline.project.table import Rules, Table
from loftline.units import Unit, show

_ROUNDING_MM: Final = 1e-9

AtKeepOuts = Literal["cut", "bend"]
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
    {word: row.keys for word, row in PATTERNS.items()}
)
"""Keys that belong to some patterns only; those of all others are refused."""

STEEPEST_WAVE: Final = 0.7
"""Height by length. A wave's slope is at most pi times that, so lines that lie a spacing apart
along the wave's height are nowhere nearer than 1 / sqrt(1 + (0.7 pi)**2) = 0.41 of it."""

MOST_PAIRED: Final = 0.5
"""Of the spacing: wider, and the two lines are no pair any more."""


def fill_slips(given: Given) -> Iterator[Slip]:
    """Keys that belong to the pattern, and keys that fit one another."""
    yield from per_inch_slips(given)
    pattern = given.text("pattern")
    if pattern is None or pattern not in PATTERN_KEYS:
        return
    yield from _of_others(given, pattern)
    yield from match_slips(given, pattern)
    angle = given.raw("angle")
    if pattern in {"channel", "motif"} and isinstance(angle, list | tuple) and len(angle) > 1:
        what = "channels have" if pattern == "channel" else "a motif has"
        says = f"found {show(angle)}; {what} one angle, a grid has two or three"
        yield Slip(("angle",), says)
    if pattern == "channel":
        yield from _waves(given)
        yield from _apart(given)
        yield from _bent(given)
    if pattern == "meander":
        yield from meander_slips(given)
    if pattern == "motif":
        yield from motif_slips(given)
    if pattern == "grid" and given.has("setting") and given.has("angle"):
        yield Slip(("setting",), "give setting, or angles of your own, not both")


def _of_others(given: Given, pattern: str) -> Iterator[Slip]:
    own = PATTERN_KEYS[pattern]
    for key in dict.fromkeys(key for keys in PATTERN_KEYS.values() for key in keys):
        if key in own or not given.has(key):
            continue
        if key == "angle":
            has = "have" if pattern == "rays" else "has"
            yield Slip((key,), f"{one_of(pattern)} {has} no direction; take this key out")
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
    if given.raw("start_at") not in (None, "centre"):
        says = "lines that end evenly start at the centre; take out start_at or even_ends"
        yield Slip(("start_at",), says)


def _bent(given: Given) -> Iterator[Slip]:
    """Lines that bend round keep-outs are straight and even everywhere else."""
    if given.text("at_keep_outs") != "bend":
        return
    for key, what in (("wave_height", "waves"), ("paired", "pairs"), ("uneven", "uneven lines")):
        if given.has(key) and given.number(key) != 0:
            says = f"{what} do not bend round keep-outs; take out {key} or at_keep_outs"
            yield Slip((key,), says)


def _start() -> Leaf:
    """The word ``centre``, the name of an edge or fold, or a place."""
    name = text()

    def read(value: object, units: Unit) -> object:
        if not isinstance(value, str):
            return read_place(value, units)
        word = name.read(value, units)
        # no edge has a name like it; which edges there are is known once the panel is drawn
        if word != "centre" and nearest(value, ["centre"]):
            raise ValueError(f'found {show(value)}; did you mean "centre"?')
        return word

    return Leaf(read, {"anyOf": [name.schema, POINT.schema, {"type": "object"}]})


class FillSpec(Table):
    """A quilting design over one part of the panel."""

    table: ClassVar[str] = "fills"
    more_keys: ClassVar[tuple[str, ...]] = (PER_INCH,)
    rules: ClassVar[Rules | None] = fill_slips

    part: Annotated[str, text()] = Field(
        "all", description="part it covers: all, or a part by its name, such as front, back or flap"
    )
    pattern: Annotated[str, choice(*PATTERNS)] = Field(description="the quilting design")
    size: Annotated[float | None, length(least=LEAST_SIZE_MM, most=MOST_SIZE_MM)] = Field(
        None,
        description="motif: how high its tile is, the width goes with it; by default as it is "
        "drawn",
    )
    motif: Annotated[Motif | None, text()] = Field(
        None,
        description="motif: which one, by its name; or a drawing of your own, an SVG file beside "
        "the project file or in a folder beside it",
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
        "one (its second family stands square to it) or a list of two or three; a motif's rows "
        "lie at 0 unless it is given",
    )
    spacing: Annotated[float, length(least=1, most=1000)] = Field(
        12.0,
        validate_default=True,
        description="distance between neighbouring lines; a motif has its own",
    )

    spacing_to: Annotated[float | None, length(least=1, most=1000)] = Field(
        None,
        description="meander: the spacing grows or shrinks evenly across the part, to this at its "
        "far end; from a third of the spacing to three times as much",
    )
    spacing_towards: Annotated[float, number(least=-360, most=360)] = Field(
        0.0,
        description="meander: the direction in which the far end lies, degrees from x, "
        "counter-clockwise",
    )
    handwriting: Annotated[Handwriting, choice(*get_args(Handwriting))] = Field(
        "plain",
        description="meander: plain never crosses itself; loops makes a small loop every now and "
        "then, and lies a third wider to leave them room",
    )
    entry: Annotated[Point | None, POINT] = Field(
        None,
        description="meander: one line from here to the exit, instead of a closed one; the "
        "nearest place of the edge is taken",
    )
    exit: Annotated[Point | None, POINT] = Field(
        None, description="meander: where the line from the entry ends, on the edge"
    )

    stitch_length: Annotated[float | None, length(least=LEAST_MM, most=MOST_MM)] = Field(
        None,
        description="stitch length of this design, or give stitches_per_inch; by default that of "
        "the quilting",
    )

    start_at: Annotated[Point | EdgePlace | str, _start()] = Field(
        "centre",
        description="channel, grid: a line passes there, or the middle of a pair; spiral, rays: "
        "their centre; motif: the middle of a tile. The word centre, of the part; or a place, "
        '[x, y] or { from = "flap edge", distance = 20 }; or an edge or fold by its name, whose '
        "middle is meant: lines along it then lie whole spacings from it",
    )
    joined: Annotated[bool, flag()] = Field(
        default=True,
        description="echo: one line through all distances; false: a ring for each. Rays: each "
        "branches off a neighbour, which saves thread cuts; false: it begins by itself",
    )
    match: Annotated[Literal["closed", "spacing"] | None, choice("closed", "spacing")] = Field(
        None,
        description="closed: drawn on the bag as its front is seen when it is closed, angle and "
        "all, so that lines run on from the flap to the front, over folds as bent lines, and "
        "round the side seams; spacing, channel and grid: the spacing is changed by at most 5 % "
        "so that lines drawn over the flat panel run on from the flap to the front",
    )
    at_side_seam: Annotated[Literal["chevron", "straight"], choice("chevron", "straight")] = Field(
        "chevron",
        description='match = "closed": how lines go on from front to back: chevron, mirrored; '
        "straight, channel: on round the bag, and straight over its folds; for that the spacing "
        "is changed by at most 5 % and the angle by at most 2 degrees",
    )
    echo_of: Annotated[str | None, text()] = Field(
        None,
        description="echo: round a piece of hardware, a keep-out or a region, by its name, "
        "instead of inside the outline",
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

    at_keep_outs: Annotated[AtKeepOuts, choice(*get_args(AtKeepOuts))] = Field(
        "cut",
        description="channel: what lines do where they meet a keep-out: cut ends them there and "
        "goes on behind it, bend leads them round it",
    )

    @classmethod
    def prepare(cls, given: dict[str, object]) -> None:
        """A motif stands upright unless it is turned; stitches per inch are a stitch length."""
        with_length(given)
        if given.get("pattern") == "motif":
            given.setdefault("angle", 0)

    @field_validator("motif")
    @classmethod
    def _drawn(cls, value: object, info: ValidationInfo) -> Motif | None:
        """The drawing, in the size wanted; the key itself was read as words."""
        if not isinstance(value, str) or info.data.get("pattern") != "motif":
            return None
        return motif_for(value, info.data.get("size"), info)

    @field_validator("spacing")
    @classmethod
    def _as_drawn(cls, value: float, info: ValidationInfo) -> float:
        """Of a motif the mean distance between its lines."""
        motif: Motif | None = info.data.get("motif")
        return value if motif is None else motif.apart

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
    def start(self) -> Point | None:
        """The place it starts at, ``None`` for the centre of its part.

        Raises:
            TypeError: where an edge or fold is named: the panel knows where that lies.
        """
        if self.start_at == "centre":
            return None
        if isinstance(self.start_at, tuple):
            return self.start_at
        raise TypeError(f"{self.start_at} is to be found on the panel first")

    @property
    def straight(self) -> bool:
        """Whether all its lines are straight, in its angles."""
        return self.pattern in {"channel", "grid"} and self.wave_height is None
