"""The panel and what lies on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from shapely import Polygon

from loftline.errors import Finding
from loftline.values.closed import Affine, ClosedFace
from loftline.values.common import (
    Area,
    Bends,
    Bools,
    ClosedTo,
    EdgeWay,
    Fitted,
    Floats,
    Ints,
    Point,
    Side,
    Sits,
)


def as_it_lies(sits: Sits, *, outer_down: bool) -> Sits:
    """Where hardware sits under the needle: with the outer fabric down, above becomes below.

    >>> as_it_lies("above", outer_down=True), as_it_lies("inside", outer_down=True)
    ('below', 'inside')
    """
    if not outer_down or sits == "inside":
        return sits
    return "below" if sits == "above" else "above"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """A fold line of the flat panel, from ``start`` to ``end``.

    Attributes:
        closed_to: what may not cross it: quilting lines, travel, both, or nothing.
        gap: width of the strip along it that has no foam, mm.
        crease: whether a line is sewn along it, so that it folds there.
        bends: flat, or square as an edge of a box does.
        over: of the fold that stands for two square ones, the parts it brings face to face over
            the strip between them; empty for a fold that joins what touches it.
        across: the places it passes over the whole ground, through the overhang too.
        strip: where it is closed to quilting, the strip of the ground that lines keep out of.
    """

    name: str
    start: Point
    end: Point
    closed_to: ClosedTo = "nothing"
    gap: float = 0.0
    crease: bool = False
    bends: Bends = "flat"
    over: tuple[tuple[str, str], ...] = ()
    across: tuple[Point, ...] = ()
    strip: Area | None = None


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
        outer_down: whether the panel is quilted with its outer fabric down.
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
    outer_down: bool = False

    @property
    def lies(self) -> Sits:
        """Where it sits as the panel lies under the needle."""
        return as_it_lies(self.sits, outer_down=self.outer_down)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepOut:
    """A zone no needle may enter: ``outline`` (the hard edge) grown by ``reach``.

    Attributes:
        clearance: from hard edge to needle, as the maker gave it.
        reach: what is really kept, with the foot and the two allowances, mm.
        tolerance, draw_in: the allowances in it for placing and for shrinking, mm.
        zone: where the foot's turned outline needs more than ``reach`` in some directions,
            the whole zone; holds ``outline`` grown by ``reach``.
        outer_down: whether the panel is quilted with its outer fabric down.
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
    outer_down: bool = False

    @property
    def lies(self) -> Sits:
        """Where it sits as the panel lies under the needle."""
        return as_it_lies(self.sits, outer_down=self.outer_down)


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A drawn piece of the panel that may have a quilting design of its own.

    Attributes:
        sewn_border: whether a line is sewn along its outline.
    """

    name: str
    outline: Polygon
    sewn_border: bool


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
        boxed: of a boxed corner the depth it gives the bag, mm. Its tip lies on the fold, and
            each leg is folded upon itself and sewn to the other at the side seam.
    """

    name: str
    wedge: Polygon
    zone: Polygon
    tip: Point
    legs: tuple[Floats, Floats]
    boxed: float | None = None

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

    @property
    def seam(self) -> float:
        """Millimetres of the seam that closes it: across a boxed corner as long as it is deep."""
        return max(self.leg_lengths) if self.boxed is None else self.boxed


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """Closed rings around what may be sewn (packed; each ring repeats its first point).

    Rings round the strips along folds that are closed to quilting come last.

    Attributes:
        kind: ``(n,)`` :class:`Way` of the piece that begins at each point, ``EDGE`` along
            the panel's edge or ``RING`` round a keep-out or beside a closed fold.
        open: ``(n,)`` whether the needle may travel along that piece.
        joints: ``(k, 2)`` where one ring leaves another: travel changes over there.
    """

    points: Floats
    starts: Ints
    kind: Ints
    open: Bools
    joints: Floats = field(default_factory=lambda: np.empty((0, 2)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedEdge:
    """The edge that is closed before the quilting, or a fold; some sew away from it.

    Attributes:
        at: its middle.
        inward: unit vector into the panel, square to it.
        both_sides: whether there is something to sew on both sides of it, as at a fold.
    """

    name: str
    at: Point
    inward: Point
    both_sides: bool = False


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
        closed_size: width and height of the closed bag lying flat, at its cut edges, mm;
            ``None`` without folds.
        closed: front and back of the closed bag as sewn, the seam allowance taken up; none
            without folds.
        run_off: how far lines run off past the trimming line, mm; 0 without overhang.
        closed_edge: where the order "from an edge" begins; ``None`` where none is named.
        gussets: parts that stand square between two others in the closed bag, and how wide
            each is, mm: so deep is the bag.
        standing: width, height and depth of the bag as it stands on its boxed corners, sewn,
            mm; ``None`` where none are boxed.
        strap: whether it is a strip that closes to a strap, not to a bag.
        edge_lengths: millimetres of each edge by its name, and of the whole "outline".
        moves: of each part that folds join to others its move into the closed bag, seen from
            behind; a part that is turned over shows its outer fabric at the front.
        regions: drawn by the maker; where two overlap the later one is on top.
        starts: of each fill the place that it starts at, ``None`` for the centre of its part.
        seen_from: the side that all places are told from; only what is printed of a panel that
            is sewn from the back is told from there (:mod:`loftline.mirror`).
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
    closed: tuple[ClosedFace, ...] = ()
    run_off: float = 0.0
    closed_edge: ClosedEdge | None = None
    gussets: tuple[tuple[str, float], ...] = ()
    standing: tuple[float, float, float] | None = None
    strap: bool = False
    edge_lengths: Mapping[str, float] = field(default_factory=dict)
    moves: Mapping[str, Affine] = field(default_factory=dict)
    regions: tuple[Region, ...] = ()
    starts: tuple[Point | None, ...] = ()
    seen_from: Side = "outer"
