"""What the stages hand on: frozen values, numpy arrays inside.

Unless a name says otherwise: millimetres, panel coordinates (x to the right, y up,
origin at the lower left of the outline's bounding box, outer fabric up).
Packed polylines are one ``(n, 2)`` array of points and an ``(m + 1,)`` array of offsets:
line ``i`` is ``points[starts[i]:starts[i + 1]]``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import TYPE_CHECKING, Literal

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon

from loftline.errors import Finding

if TYPE_CHECKING:
    from loftline.project import Project

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Point = tuple[float, float]
Area = Polygon | MultiPolygon

Sits = Literal["inside", "above", "below"]
Fitted = Literal["before quilting", "after quilting", "after lining"]
Material = Literal["outer", "foam", "lining"]
EdgeWay = Literal["overhang", "seam allowance", "none"]


class Kind(IntEnum):
    """What a stitch is for; :data:`KIND_WORDS` holds the words of the JSON document."""

    LINE = 0
    TRAVEL = 1
    DOUBLE = 2
    TIE = 3
    REGISTRATION = 4
    BASTING = 5


KIND_WORDS: tuple[str, ...] = ("line", "travel", "double", "tie", "registration", "basting")


class Way(IntEnum):
    """What an edge of the network runs along."""

    LINE = 0
    EDGE = 1
    RING = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """A fold line of the flat panel, from ``start`` to ``end``."""

    name: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A named piece of the panel between folds; ``area`` lies inside the outline."""

    name: str
    area: Area


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of hardware in its place, or the other half of one.

    Attributes:
        outline: the hard edge.
        reach: how far the needle stays from the hard edge: the clearance, and for what
            sits above the foot's farthest corner besides.
        mate_of: name of the piece whose other half this is, else ``None``.
        magnetic: whether it pulls at the machine.
        face_up: of a magnet in a pair, which face lies towards the outer fabric, in words;
            so laid, the two attract in the closed bag.
        from_cut: least distance of its centre from the cut edge, mm.
        from_finished: the same less the seam allowance, from the finished edge, mm.
    """

    name: str
    kind: str
    at: Point
    outline: Polygon
    clearance: float
    reach: float
    sits: Sits
    fitted: Fitted
    mate_of: str | None = None
    magnetic: bool = False
    face_up: str = ""
    from_cut: float | None = None
    from_finished: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOut:
    """A zone no needle may enter: ``outline`` (the hard edge) grown by ``reach``.

    Attributes:
        clearance: from hard edge to needle, as the maker gave it.
        reach: what is really kept, with the foot and the two allowances, mm.
        tolerance, draw_in: the allowances in it for placing and for shrinking, mm.
        zone: where the foot's turned outline needs more than ``reach`` in some directions,
            the whole zone; holds ``outline`` grown by ``reach``.
    """

    name: str
    outline: Polygon
    clearance: float
    reach: float
    sits: Sits
    mate_of: str | None = None
    hardware: bool = True
    tolerance: float = 0.0
    draw_in: float = 0.0
    zone: Polygon | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dart:
    """A wedge at the panel's edge that is cut or sewn out to give depth.

    Attributes:
        wedge: what goes, within the outline.
        zone: the wedge with the seam allowance along its legs, within the outline; no needle
            enters it while quilting.
        tip: where the two legs meet.
        legs: the two sides that are sewn together, ``(k, 2)`` each, from the panel's edge to
            the tip.
    """

    name: str
    wedge: Polygon
    zone: Polygon
    tip: Point
    legs: tuple[Floats, Floats]

    @property
    def ends(self) -> tuple[Point, Point]:
        """Where the two legs start on the panel's edge."""
        one, two = ((float(leg[0, 0]), float(leg[0, 1])) for leg in self.legs)
        return one, two

    @property
    def leg_lengths(self) -> tuple[float, float]:
        """Millimetres of the two legs."""
        one, two = (float(np.hypot(*np.diff(leg, axis=0).T).sum()) for leg in self.legs)
        return one, two


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """Closed rings around what may be sewn (packed; each ring repeats its first point).

    Attributes:
        kind: ``(n,)`` :class:`Way` of the piece that begins at each point, ``EDGE`` along
            the panel's edge or ``RING`` round a keep-out.
        open: ``(n,)`` whether the needle may travel along that piece.
    """

    points: Floats
    starts: Ints
    kind: Ints
    open: Bools


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """The panel as it is quilted.

    Attributes:
        outline: the cut edge, with holes.
        ground: where quilting may lie before keep-outs are taken out: the outline grown
            into the overhang or drawn back into the seam allowance.
        sewable: ``ground`` less the keep-out zones and darts with the planning margin.
        edge: the way along the edge that is really used (after any fall-back).
        pieces: all hardware with other halves, whenever it is fitted.
        keep_outs: what the needle must stay away from while quilting.
        darts: wedges that are cut or sewn out; no needle enters their zones either.
        closed_size: width and height of the closed bag lying flat, mm; ``None`` without folds.
    """

    name: str
    outline: Polygon
    parts: tuple[Part, ...]
    folds: tuple[Fold, ...]
    seam_allowance: float
    overhang: float
    edge: EdgeWay
    ground: Area
    sewable: Area
    pieces: tuple[Piece, ...]
    keep_outs: tuple[KeepOut, ...]
    ways: Ways
    findings: tuple[Finding, ...] = ()
    darts: tuple[Dart, ...] = ()
    closed_size: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """The free region that one ``[[fills]]`` entry covers.

    Attributes:
        index: which ``[[fills]]`` entry.
        region: where its lines may lie (run-off included, keep-out zones taken out).
        outline: the part's own area; a line wholly outside it is waste and left out.
        centre: centre of the part's bounding box; straight families pass through it.
    """

    index: int
    part: str
    region: Area
    outline: Area
    centre: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Quilting lines that must be sewn, packed.

    Attributes:
        fill: ``(m,)`` index of the ``[[fills]]`` entry of each line.
        family: ``(m,)`` number of the family; lines of one family never cross.
        angle: ``(m,)`` degrees of a straight line's family, NaN for a curve.
        closed: ``(m,)`` whether the line is a loop (its last point repeats its first).
    """

    points: Floats
    starts: Ints
    fill: Ints
    family: Ints
    angle: Floats
    closed: Bools
    findings: tuple[Finding, ...] = ()

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
        line_points: packed points of the lines with their ends on the nodes: an end moves
            along its ring by less than a stitch where another end lies beside it.
        line_starts: their offsets.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Hooping:
    """One placing of the panel in the hoop.

    Attributes:
        field: width and height the needle can reach, ``None`` without a hoop.
    """

    field: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """What is sewn without cutting the thread, in order.

    Attributes:
        edges: edge indices of all walks in sewing order.
        forward: ``True`` where the edge is sewn from ``u`` to ``v``.
        repeat: ``True`` where a required edge is sewn over again.
        starts: offsets of the runs in ``edges``.
        cost, least_cost: travel, double stitching and cuts after the first run, in mm of
            sewing; ``least_cost`` is a proved lower bound.
        optimal: true only where the two are proved equal.
    """

    edges: Ints
    forward: Bools
    repeat: Bools
    starts: Ints
    cost: float
    least_cost: float
    optimal: bool
    cut_cost: float


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
    extra: Mapping[str, float] = field(default_factory=dict)
    cutting: CuttingList | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything computed for one project file."""

    project: Project
    panel: Panel
    lines: Lines
    network: Network
    hoopings: tuple[Hooping, ...]
    runs: Runs
    sewn: Sewn
    report: Report
    findings: tuple[Finding, ...]

    @property
    def clean(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity != "error" for finding in self.findings)
