"""From fields and lines to needle points: what the sewing stages hand on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from shapely import Polygon

from loftline.errors import Finding
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
        miss: how far lines miss each other, at worst, where one part lies over another in the
            closed bag, mm; ``None`` where none are meant to meet.
    """

    points: Floats
    starts: Ints
    fill: Ints
    family: Ints
    angle: Floats
    closed: Bools
    findings: tuple[Finding, ...] = ()
    miss: float | None = None

    def __len__(self) -> int:
        return len(self.fill)

    def line(self, i: int) -> Floats:
        """Points of line ``i``, shape ``(k, 2)``."""
        return self.points[self.starts[i] : self.starts[i + 1]]


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
class Hooping:
    """One placing of the panel in the hoop.

    Attributes:
        field: width and height the needle can reach, ``None`` without a hoop.
    """

    field: tuple[float, float] | None


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
