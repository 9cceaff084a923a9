"""From fields and lines to needle points: what the sewing stages hand on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import ClassVar, Literal

import numpy as np
from shapely import Polygon

from loftline.errors import Finding
from loftline.units import Unit
from loftline.values.closed import Affine
from loftline.values.common import Area, Bools, Floats, Ints, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A piece of a field in its place on the closed bag, as one sees its front.

    Attributes:
        region: where lines may lie, on the flat panel.
        outline: the piece's own area there.
        finished: the same less what ends in seams.
        move: from the flat panel to the closed bag.
    """

    region: Area
    outline: Area
    finished: Area
    move: Affine


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """The free region that one ``[[fills]]`` entry covers.

    Attributes:
        index: which ``[[fills]]`` entry.
        region: where its lines may lie (run-off included, keep-out zones taken out).
        outline: the part's own area; a line wholly outside it is waste and left out.
        centre: centre of the part's bounding box; straight families pass through it.
        creases: ``(k, 2, 2)`` stretches sewn along folds; no line runs close beside one.
        keep_outs: the keep-out zones in it, where lines may bend round them.
        laid: of a design that is matched on the closed bag the piece on each part; else none.
        finished: the part's own area less what ends in seams; ``None`` where that is the same.
        around: what an echo goes round instead of following the outline.
        units: the maker's, for what is said of it.
    """

    index: int
    part: str
    region: Area
    outline: Area
    centre: Point
    creases: Floats = field(default_factory=lambda: np.empty((0, 2, 2)))
    keep_outs: Area = field(default_factory=Polygon)
    laid: tuple[Laid, ...] = ()
    finished: Area | None = None
    around: Area | None = None
    units: Unit = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRings:
    """Where the ends of lines lie on the rings of the ways, as the designs know it.

    Attributes:
        ring: ``(m, 2)`` the ring at the first and at the last point of each line,
            :data:`NONE` for an end that lies on none, :data:`UNKNOWN` where that is not known.
        along: ``(m, 2)`` mm along that ring, NaN where there is none.
    """

    NONE: ClassVar[int] = -1
    UNKNOWN: ClassVar[int] = -2

    ring: Ints
    along: Floats

    @classmethod
    def joined(cls, several: Sequence[OnRings]) -> OnRings:
        """Those of several designs, one after the other."""
        return cls(
            ring=np.concatenate([ends.ring for ends in several]),
            along=np.concatenate([ends.along for ends in several]),
        )

    def of(self, lines: Sequence[int]) -> OnRings:
        """Those of some lines."""
        return OnRings(ring=self.ring[lines], along=self.along[lines])


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Quilting lines that must be sewn, packed.

    Attributes:
        fill: ``(m,)`` index of the ``[[fills]]`` entry of each line, ``-1`` for a crease or the
            border of a region.
        family: ``(m,)`` number of the family; lines of one family never cross. Each crease
            is a family of its own.
        angle: ``(m,)`` degrees of a straight line's family, NaN for a curve.
        closed: ``(m,)`` whether the line is a loop (its last point repeats its first).
        rows: ``(m, 2)`` of curves that lie side by side as channels do, such as waves: the
            degrees along which their family runs, and how far to the left of that each lies,
            mm from the panel's origin; NaN for all others. ``None`` where there are none.
        miss: how far lines miss each other, at worst, where one part lies over another in the
            closed bag, mm; ``None`` where none are meant to meet.
        ends: where their ends lie on the ways; ``None`` where nobody knows.
    """

    points: Floats
    starts: Ints
    fill: Ints
    family: Ints
    angle: Floats
    closed: Bools
    findings: tuple[Finding, ...] = ()
    miss: float | None = None
    rows: Floats | None = None
    ends: OnRings | None = None

    def __len__(self) -> int:
        return len(self.fill)

    def line(self, i: int) -> Floats:
        """Points of line ``i``, shape ``(k, 2)``."""
        return self.points[self.starts[i] : self.starts[i + 1]]

    @property
    def heading(self) -> Floats:
        """``(m,)`` degrees along which lines that lie side by side run, NaN for all others."""
        if self.rows is None:
            return self.angle
        return np.where(np.isnan(self.angle), self.rows[:, 0], self.angle)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Lines and ways noded: a multigraph in arrays.

    Attributes:
        nodes: ``(n, 2)`` places.
        u, v: ``(m,)`` edge ends. An edge's packed points run from ``u`` to ``v``.
        way: ``(m,)`` :class:`Way` of each edge.
        required: ``(m,)`` whether the edge must be sewn (a piece of a line).
        line: ``(m,)`` index of the line it is a piece of, ``-1`` for a way.
        length: ``(m,)`` millimetres.
        cost: ``(m,)`` cost of sewing it as travel or over again, in mm of sewing.
        once: ``(m,)`` whether it may not be sewn over again, since it meets a fold closed to
            travel or a gap in the foam; ``None`` where there is neither.
        end_cost: ``(n,)`` what a run's end costs at each node, half a thread cut, in mm of
            sewing; ``None`` where all places cost what is usual.
        at_edge: ``(n,)`` nodes that lie on the edge; ``None`` where that is not known.
        line_points: packed points of the lines with their ends on the nodes: an end moves
            along its ring by less than a stitch where another end lies beside it.
        line_starts: their offsets.
        fill: ``(m,)`` the design that each edge's line belongs to, its place in the file, ``-1``
            for creases, borders and ways; ``None`` where that is not known.
    """

    nodes: Floats
    u: Ints
    v: Ints
    way: Ints
    required: Bools
    line: Ints
    length: Floats
    cost: Floats
    points: Floats
    starts: Ints
    line_points: Floats
    line_starts: Ints
    once: Bools | None = None
    end_cost: Floats | None = None
    at_edge: Bools | None = None
    fill: Ints | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place by which a hooping is laid on what is there already.

    Attributes:
        at: on the panel, mm.
        kind: "cross" (sewn in the extra to trim off), "line end" (where a line sewn in an
            earlier hooping ends) or "sheet" (pricked or drawn from the full-size sheet).
        sewn: whether it is a true point: stitches that are there before this hooping.
    """

    at: Point
    kind: Literal["cross", "line end", "sheet"]
    sewn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Hooping:
    """One placing of the panel in the hoop.

    Attributes:
        field: width and height the needle can reach, along the hoop's own sides, mm; ``None``
            without a hoop.
        hoop: the hoop it is sewn in, as written, mm.
        off: how far the field's middle lies from the hoop's, along the hoop's own sides, mm.
        turn: how the hoop lies on the panel, degrees counter-clockwise, outer fabric up: 0,
            90, 180 or 270. A stitch file is in the hoop's own directions. Of a hoop that lies
            on the back both are told as if seen through the panel.
        cell: x0, y0, x1, y1 of what is sewn here, on the panel, mm; ``None`` for all.
        place: x0, y0, x1, y1 of the field as it lies on the panel, mm.
        row, column: its place, from the lower left.
        first, last: its needle points in ``Plan.sewn`` (inclusive); no ``last``: to the end.
        origin: where the zero of its file lies, tenths of a millimetre on the panel; ``None``:
            where that of all needle points lies.
        marks: by which it is laid; those that are sewn already come first.
        misplacing: how far off anything in it can lie where one sewn mark was met 0.5 mm off,
            mm; ``None`` where fewer than two marks are sewn before.
    """

    field: tuple[float, float] | None
    hoop: tuple[float, float] | None = None
    off: tuple[float, float] = (0.0, 0.0)
    turn: int = 0
    cell: tuple[float, float, float, float] | None = None
    place: tuple[float, float, float, float] | None = None
    row: int = 0
    column: int = 0
    first: int = 0
    last: int | None = None
    origin: tuple[int, int] | None = None
    marks: tuple[Mark, ...] = ()
    misplacing: float | None = None

    @property
    def true_points(self) -> int:
        """How many of its marks are stitches that are there already."""
        return sum(mark.sewn for mark in self.marks)

    @property
    def seen_off(self) -> tuple[float, float]:
        """How far the field's middle lies from the hoop's, along the panel's own sides."""
        x, y = self.off
        return ((x, y), (-y, x), (-x, -y), (y, -x))[self.turn // 90 % 4]

    @property
    def seen(self) -> tuple[float, float] | None:
        """Width and height of the field along the panel's own sides."""
        if self.field is None or self.turn % 180 == 0:
            return self.field
        return (self.field[1], self.field[0])


COST_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "edge": "travel along the edge",
        "keep_out": "travel round keep-outs",
        "step": "steps between closed lines",
        "double": "lines sewn over again",
        "cuts": "thread cuts",
        "inside": "run ends inside the panel",
        "turns": "turns of the panel",
    }
)
"""Parts of a plan's cost in words. Turns are a part of none: they are counted beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """What an order by a maker's habit costs.

    Attributes:
        order: its word in the project file.
        least_cost: proved lower bound for that order, as ``Runs.cost`` is counted.
        optimal: true only where the cost is proved equal to it.
        free_cost: cost of the plan that is free to sew in any order.
        least_runs: no sewing order needs fewer runs; ``None`` where the order does not ask.
    """

    order: str
    least_cost: float
    optimal: bool
    free_cost: float
    least_runs: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """What is sewn without cutting the thread, in order.

    Attributes:
        edges: edge indices of all walks in sewing order.
        forward: ``True`` where the edge is sewn from ``u`` to ``v``.
        repeat: ``True`` where a required edge is sewn over again.
        starts: offsets of the runs in ``edges``.
        cost, least_cost: travel, double stitching and cuts, in mm of sewing; the two ends of
            the first run, where they are cheapest, are not counted. ``least_cost`` is a proved
            lower bound for any sewing order.
        optimal: true only where the two are proved equal.
        cut_cost: price of a thread cut at the edge.
        turn_cost: price of a turn of the panel, which is no part of the cost.
        ends_inside: how many runs' ends do not lie at the edge.
        parts: the cost by what it is for, see :data:`COST_WORDS`.
        habit: what is known besides where a maker's habit rules the order.
    """

    edges: Ints
    forward: Bools
    repeat: Bools
    starts: Ints
    cost: float
    least_cost: float
    optimal: bool
    cut_cost: float
    turn_cost: float = 0.0
    ends_inside: int = 0
    parts: Mapping[str, float] = field(default_factory=dict)
    habit: Habit | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sewn:
    """Needle points in sewing order, whole tenths of a millimetre, panel coordinates.

    Attributes:
        x, y: ``(n,)`` tenths of a millimetre.
        run: ``(n,)`` number of the run, from 0, never falling.
        kind: ``(n,)`` :class:`Kind` of the stitch that ends at the point (a run's first
            point carries the kind of its first stitch).
        via: ``(k, 2)`` places the machine passes between runs, tenths of a millimetre.
        via_run: ``(k,)`` the run each of them leads to, never falling.
        origin: where the zero of a stitch file lies, tenths of a millimetre.
    """

    x: Ints
    y: Ints
    run: Ints
    kind: Ints
    via: Ints
    via_run: Ints
    origin: tuple[int, int] = (0, 0)

    def __len__(self) -> int:
        return len(self.x)

    def part(self, hooping: Hooping) -> Sewn:
        """What one hooping sews, with the origin of its own file; runs keep their numbers."""
        last = len(self) - 1 if hooping.last is None else hooping.last
        if (hooping.first, last) == (0, len(self) - 1) and hooping.origin is None:
            return self
        mine = slice(hooping.first, last + 1)
        run = self.run[mine]
        ends = (run[0], run[-1]) if len(run) else (0, -1)
        via = (self.via_run >= ends[0]) & (self.via_run <= ends[1])
        return Sewn(
            x=self.x[mine],
            y=self.y[mine],
            run=run,
            kind=self.kind[mine],
            via=self.via[via],
            via_run=self.via_run[via],
            origin=self.origin if hooping.origin is None else hooping.origin,
        )

    def turned(self, degrees: int) -> Sewn:
        """Turned counter-clockwise about its origin, by whole quarters."""
        cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[degrees // 90 % 4]
        if cosine == 1:
            return self
        x0, y0 = self.origin
        x, y = self.x - x0, self.y - y0
        via = self.via - np.array([x0, y0], np.int64)
        turn = np.array([[cosine, sine], [-sine, cosine]], np.int64)
        return replace(
            self,
            x=x * cosine - y * sine + x0,
            y=x * sine + y * cosine + y0,
            via=via @ turn + np.array([x0, y0], np.int64),
        )

    def in_hoop(self, hooping: Hooping) -> Sewn:
        """What one hooping sews, in the hoop's own directions, as its stitch file holds it."""
        return self.part(hooping).turned(-hooping.turn)
