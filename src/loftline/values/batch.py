"""A bag in several sizes: a plan for each, and what all of them take together."""

from __future__ import annotations

from dataclasses import dataclass

from loftline.errors import Finding
from loftline.units import Unit
from loftline.values.plan import Plan
from loftline.values.report import Band, CutPiece, CuttingList


@dataclass(frozen=True, slots=True, kw_only=True)
class HardwareCount:
    """Pieces of hardware of one kind and size.

    Attributes:
        width, height: of the hard edge, mm; both the diameter of a round piece.
        paired: whether each of them comes with its other half, not counted by itself.
    """

    kind: str
    width: float
    height: float
    round: bool
    paired: bool
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """What one bag of one size is made of: what a student is handed.

    Attributes:
        pieces: rectangles to cut, sizes as cut.
        threads: names, and millimetres that are enough by the high figure, waste counted in.
        needle: the needle's sizes, as they are sold.
    """

    pieces: tuple[CutPiece, ...]
    hardware: tuple[HardwareCount, ...]
    threads: tuple[tuple[str, float], ...]
    needle: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizePlan:
    """One size: its plan, for its own number of bags, and what one bag of it is made of.

    Attributes:
        folder: its own folder's name.
    """

    name: str
    folder: str
    plan: Plan
    kit: Kit

    @property
    def bags(self) -> int:
        """Bags to make of this size."""
        return self.plan.report.copies


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchThread:
    """What all bags of all sizes take of one thread.

    Attributes:
        length: millimetres, waste counted in.
        metres: on a spool or a filled bobbin, where the maker has told.
        to_buy: spools or filled bobbins that are enough by the high figure.
        price: of all that is bought, in the maker's own money.
        filled: whether it comes on filled bobbins, and not on spools.
    """

    name: str
    tex: float
    length: Band
    metres: float | None = None
    to_buy: int | None = None
    price: float | None = None
    filled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """All sizes of a bag.

    Attributes:
        slug: stem of the files about all sizes.
        hardware: of all bags.
        cutting: for all bags, ``None`` when it was not asked for.
        waste: share of thread added.
        class_minutes: until every student of the class has sewn her bag, were all of the size
            that takes longest; ``None`` without a class.
    """

    name: str
    slug: str
    units: Unit
    sizes: tuple[SizePlan, ...]
    threads: tuple[BatchThread, ...]
    hardware: tuple[HardwareCount, ...]
    cutting: CuttingList | None
    waste: float
    class_minutes: float | None = None

    @property
    def bags(self) -> int:
        """Bags to make of all sizes."""
        return sum(size.bags for size in self.sizes)

    @property
    def minutes(self) -> float:
        """Quilting all bags at one machine."""
        return sum(size.bags * size.plan.report.minutes for size in self.sizes)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Those of the cutting list for all sizes; each plan has its own."""
        return () if self.cutting is None else self.cutting.findings

    @property
    def clean(self) -> bool:
        """Whether no finding of any size is an error."""
        return all(size.plan.clean for size in self.sizes)
