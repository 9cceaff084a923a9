"""Figures for the maker: thread, time, what is cut from which cloth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from loftline.errors import Finding
from loftline.values.common import Material
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


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPrice:
    """What one sewing order comes to.

    Attributes:
        report: of the plan in that order.
        chosen: whether it is the order of the project file.
    """

    report: Report
    chosen: bool
