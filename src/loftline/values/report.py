"""Figures for the maker: thread, time, what is cut from which cloth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from loftline.errors import Finding
from loftline.values.common import Material, Point
from loftline.values.sewing import Habit


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A figure with its uncertainty."""

    low: float
    expected: float
    high: float

    def times(self, factor: float) -> Band:
        """The band with all three figures multiplied."""
        return Band(low=self.low * factor, expected=self.expected * factor, high=self.high * factor)

    def plus(self, other: Band | float) -> Band:
        """The band with another, or one figure, added to all three."""
        more = other if isinstance(other, Band) else Band(low=other, expected=other, high=other)
        return Band(
            low=self.low + more.low,
            expected=self.expected + more.expected,
            high=self.high + more.high,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A seam of one bag besides the quilting.

    Attributes:
        kind: stitch type of ISO 4915.
        length: millimetres of one pass.
        stitch_length: advance of one stitch along the seam, mm.
        width: of a zigzag or an overedge stitch, mm; 0 for others.
        through: layers from the top one down.
        thread: "sewing" or "quilting", the thread it is sewn with.
        usual: whether the shape brings it along, unchanged.
        stitches: of all passes.
        pieces: that are sewn one by one in each pass.
        needle, under: thread above and below (of both loopers, where there are two), mm, tails
            counted in.
    """

    name: str
    kind: str
    length: float
    passes: int
    stitch_length: float
    width: float
    through: tuple[Material, ...]
    thread: str
    usual: bool
    stitches: int
    pieces: int
    needle: Band
    under: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadTotal:
    """What the whole bag takes of one thread, quilting and seams together.

    Attributes:
        name: "quilting thread", "bobbin thread" or "sewing thread".
        one: millimetres for one bag, waste not counted in.
        batch: millimetres for all bags, waste counted in.
        metres: on a spool or a filled bobbin, where the maker has told.
        to_buy: spools or filled bobbins that are enough by the high figure.
        price: of all that is bought, in the maker's own money.
        filled: whether it comes on filled bobbins, and not on spools.
    """

    name: str
    tex: float
    one: Band
    batch: Band
    metres: float | None = None
    to_buy: int | None = None
    price: float | None = None
    filled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """A rectangle to cut, sizes as cut.

    Attributes:
        width: mm across the cloth, unless the piece is turned.
        height: mm along the cloth, unless the piece is turned.
        count: pieces for one bag.
        in_all: pieces for all bags.
    """

    name: str
    material: Material
    width: float
    height: float
    count: int
    in_all: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlace:
    """Where a piece lies in a layout.

    Attributes:
        piece: index into :attr:`Cloth.pieces`.
        x: mm across the cloth, from its left edge.
        y: mm along the cloth, from the layout's start.
        width, height: mm across and along the cloth, as the piece lies.
        turned: whether it lies turned by 90 degrees.
    """

    piece: int
    x: float
    y: float
    width: float
    height: float
    turned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Pieces of some bags laid out on a length of cloth.

    Attributes:
        bags: how many bags it holds the pieces of.
        times: how often it is laid, one after the other.
        length: mm of cloth it takes.
    """

    bags: int
    times: int
    length: float
    places: tuple[CutPlace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """What is cut from one cloth.

    Attributes:
        kind: what the cloth is, in the maker's words; may be empty.
        width: usable width, mm.
        one_way: whether its pieces are never turned.
        pieces: those that fit on the cloth.
        too_large: those that do not.
        length: mm of cloth that the layouts take together, gaps between them included.
        to_buy: the same, rounded up to what shops cut, mm.
        least_length: no layout of these pieces is shorter, mm.
        waste: share of ``width`` times ``length`` that no piece covers.
    """

    material: Material
    kind: str
    width: float
    one_way: bool
    pieces: tuple[CutPiece, ...]
    too_large: tuple[CutPiece, ...]
    layouts: tuple[Layout, ...]
    length: float
    to_buy: float
    least_length: float
    waste: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingList:
    """What is cut for all bags, cloth by cloth.

    Attributes:
        bags: bags to make.
        gap: least distance between two pieces, mm.
    """

    bags: int
    gap: float
    cloths: tuple[Cloth, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def pieces(self) -> tuple[CutPiece, ...]:
        """All pieces, cloth by cloth, those that do not fit last of each."""
        return tuple(piece for cloth in self.cloths for piece in (*cloth.pieces, *cloth.too_large))


@dataclass(frozen=True, slots=True, kw_only=True)
class BobbinChange:
    """Where a full bobbin goes in.

    Attributes:
        bag: of the batch, from 1.
        run: from 0; the bobbin is changed before it when ``point`` is ``None``.
        point: index of the needle point of one bag at which the sewing stops.
        on_travel: whether that lies on a way, where the change does not show in a line.
        at: where that is on the panel, mm.
    """

    bag: int
    run: int
    point: int | None = None
    on_travel: bool = False
    at: Point | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bobbins:
    """Bobbins that the quilting of all bags takes, by the high figure.

    Attributes:
        metres: on a full bobbin.
        told: whether the maker has told the metres; else they are an estimate.
        changes: in sewing order; the first bobbin is in the machine already.
        left: millimetres on the last one when all is sewn.
    """

    metres: float
    told: bool
    changes: tuple[BobbinChange, ...]
    left: float


TIME_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "placings": "placings in the hoop",
        "quilting": "quilting lines sewn",
        "cuts": "thread cut, next start found",
        "ends": "thread ends inside, buried",
        "turns": "panel turned under the needle",
        "bobbins": "bobbins changed",
        "pressing": "pressing",
        "seams": "seams of the bag, clipped and sewn",
    }
)
"""What the minutes of one bag go into, the order they are told in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeTable:
    """Minutes for one bag by what they go into, guided one way.

    Attributes:
        guided: "machine" or "hand".
        parts: minutes by key of :data:`TIME_WORDS`, in that order.
    """

    guided: str
    parts: Mapping[str, float]

    @property
    def total(self) -> float:
        """Minutes for one bag."""
        return sum(self.parts.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawIn:
    """How much the panel shrinks by quilting.

    Attributes:
        along, across: percent of the width and of the height.
        source: "swatch", "told" or "spacing".
        allowed: percent by which the panel is drawn larger, so that it is right afterwards;
            0 where it is not.
        size: width and height of the outline, mm: to be trimmed to where the draw-in is
            allowed for, else what it may expect to be before trimming.
    """

    along: Band
    across: Band
    source: str
    allowed: float = 0.0
    size: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkStep:
    """A step of the order of work: what is done, and what to mind."""

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What the maker wants to know before she cuts; all for one bag unless said.

    Attributes:
        length: millimetres sewn by kind word (``line``, ``travel``, ``double``, ``tie``).
        needle_thread, bobbin_thread: millimetres, waste not counted in.
        needle_batch, bobbin_batch: millimetres for all copies, waste counted in.
        turns: places where the panel is swung round.
        advice: sentences on needle, stitch and thread.
        cautions: safety sentences, printed first where they apply.
        model: how the thread was reckoned, one sentence.
        cost_parts: the cost by what it is for, keys of :data:`COST_WORDS`; ``turns`` comes
            besides, where the maker turns the panel: it is no part of ``cost``.
        order: the sewing order's word in the project file.
        habit: what that order costs, where a maker's habit rules it.
        extra: figures that only some plans have, by name.
        cutting: what is cut from which cloth, ``None`` when it was not asked for.
        seams: of the whole bag besides the quilting.
        threads: what quilting and seams take together, thread by thread.
        bobbins: where a full bobbin goes in while all bags are quilted.
        times: minutes for one bag, the way the project is guided first, then the other.
        work: the order of work for one bag.
        class_minutes: until every student of the class has sewn her bag; ``None`` without one.
        draw_in: how much the panel shrinks by quilting.
    """

    stitches: int
    runs: int
    cuts: int
    turns: int
    length: Mapping[str, float]
    needle_thread: Band
    bobbin_thread: Band
    needle_batch: Band
    bobbin_batch: Band
    waste: float
    minutes: float
    cost: float
    least_cost: float
    optimal: bool
    copies: int
    advice: tuple[str, ...]
    cautions: tuple[str, ...]
    model: str
    versions: Mapping[str, str]
    cost_parts: Mapping[str, float] = field(default_factory=dict)
    order: str = "least cost"
    habit: Habit | None = None
    extra: Mapping[str, float] = field(default_factory=dict)
    cutting: CuttingList | None = None
    seams: tuple[Seam, ...] = ()
    threads: tuple[ThreadTotal, ...] = ()
    bobbins: Bobbins | None = None
    times: tuple[TimeTable, ...] = ()
    work: tuple[WorkStep, ...] = ()
    class_minutes: float | None = None
    draw_in: DrawIn | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPrice:
    """What one sewing order comes to.

    Attributes:
        report: of the plan in that order.
        chosen: whether it is the order of the project file.
    """

    report: Report
    chosen: bool
