"""Looks at a plan through the bytes of its dst file, with geometry of their own.

Nothing here uses the product's checks, readers or zones: hard edges, clearances, the foot and
the folds are drawn again from the project file, records are read by the printed table.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiLineString, Polygon

from loftline.runs.ends import MERGE_MM
from loftline.values import Plan, Point
from support_stitch_files import BITS

Floats = npt.NDArray[np.float64]
Geometries = npt.NDArray[np.object_]

ROUNDED = 0.08
"""A place rounded to whole tenths on both axes moves by no more, mm."""

LEAST_TURNING = 2.0
"""Shorter stitches, rounded to tenths, do not show which way the panel is turned, mm."""


@dataclass(frozen=True)
class Thread:
    """What a dst file sews, mm in panel coordinates.

    Attributes:
        runs: needle points of each run.
        moves: the machine's way to each run, from where it stood.
    """

    runs: tuple[Floats, ...]
    moves: tuple[Floats, ...]

    @property
    def ends(self) -> Floats:
        """Both ends of every stitch, ``(k, 2, 2)``."""
        pairs = [np.stack([run[:-1], run[1:]], axis=1) for run in self.runs]
        return np.concatenate(pairs)

    @property
    def stitches(self) -> Geometries:
        """Every stitch as a geometry."""
        return np.asarray(shapely.linestrings(self.ends), dtype=object)


def dst_thread(data: bytes, origin: tuple[int, int]) -> Thread:
    """Read a dst file by the printed table of its bits; ``origin`` in tenths of a millimetre."""
    records = np.frombuffer(data[512 : (len(data) - 512) // 3 * 3 + 512], np.uint8).reshape(-1, 3)
    held = {word: (records[:, byte] >> bit & 1).astype(int) for word, (byte, bit) in BITS.items()}
    end = np.flatnonzero((records == (0, 0, 0xF3)).all(axis=1))[0]
    step = np.zeros((len(records), 2), int)
    for word, bits in held.items():
        if word[0] in "xy" and word[1] in "+-":
            step[:, "xy".index(word[0])] += int(word[1:]) * bits
    places = np.vstack([origin, np.cumsum(step[:end], axis=0) + origin])
    jump = np.append(1, held["jump"][:end]).astype(bool)  # the first place is the machine's zero
    # a needle point after a jump begins a run; its way begins where the run before it ended
    first = np.flatnonzero(~jump & np.append(True, jump[:-1]))
    last = np.append(np.flatnonzero(jump[1:] & ~jump[:-1]), len(places) - 1)[: len(first)]
    begin = np.append(0, last[: len(first) - 1])
    runs = [places[i : j + 1] for i, j in zip(first, last, strict=True)]
    moves = [places[i : j + 1] for i, j in zip(begin, first, strict=True)]
    return Thread(
        runs=tuple(run / 10 for run in runs),
        moves=tuple(move / 10 for move in moves),
    )


def check_thread(plan: Plan, data: bytes) -> None:
    """All looks at once."""
    thread = dst_thread(data, plan.sewn.origin)
    check_clear(plan, thread)
    check_foot(plan, thread)
    check_moves(plan, thread)
    check_darts(plan, thread)
    check_folds(plan, thread)
    check_within(plan, thread)


def hard_edges(plan: Plan) -> Iterator[tuple[str, Polygon, float, bool]]:
    """Name, hard edge, what is kept from it, and whether it stands above, of each zone."""
    project, outline = plan.project, plan.panel.outline
    tolerance, percent = project.quilting.placing_tolerance, project.quilting.draw_in
    x0, y0, x1, y1 = outline.bounds
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2])

    def more(edge: Polygon) -> float:
        away = np.hypot(*(shapely.get_coordinates(edge) - centre).T).max()
        return tolerance + float(away) * percent / 100

    for piece in plan.panel.pieces:
        if piece.fitted == "before quilting":
            first = f"{piece.mate_of or piece.name} "  # one of a row: a number behind the name
            own = next(s for s in project.hardware if first.startswith(f"{s.name} "))
            kept = own.clearance + more(piece.outline)
            yield piece.name, piece.outline, kept, piece.sits == "above"
    for zone in project.keep_outs:
        edge: Polygon
        if zone.shape == "polygon":
            edge = Polygon(zone.points or ())
        else:
            assert isinstance(zone.at, tuple)
            x, y = zone.at
            wide, high = (zone.width or 0) / 2, (zone.height or 0) / 2
            box = shapely.box(x - wide, y - high, x + wide, y + high)
            disc = shapely.Point(x, y).buffer((zone.diameter or 0) / 2, quad_segs=64)
            edge = disc if zone.shape == "circle" else box
        yield zone.name, edge, zone.clearance + more(edge), False


def check_clear(plan: Plan, thread: Thread) -> None:
    """No stitch nearer to a hard edge than is kept from it; where that is nothing, none in it."""
    stitches = thread.stitches
    for name, edge, kept, _ in hard_edges(plan):
        if kept > 0:
            shapely.prepare(edge)
            assert not shapely.dwithin(edge, stitches, kept - 1e-6).any(), name
        else:
            assert not enters(edge, stitches).any(), name


def enters(area: Polygon, stitches: Geometries) -> npt.NDArray[np.bool_]:
    """Which stitches come more than a ten-thousandth of a millimetre inside an area."""
    inner = area.buffer(-1e-4)
    shapely.prepare(inner)
    return np.asarray(shapely.intersects(inner, stitches))


def check_foot(plan: Plan, thread: Thread) -> None:
    """At both ends of every stitch the foot's rectangle stands clear of what stands above."""
    foot, by_hand = plan.project.machine.foot, plan.project.machine.guided == "hand"
    above = [edge for _, edge, _, stands in hard_edges(plan) if stands]
    if foot is None or not above:
        return
    left, right, front, back = foot.left, foot.right, foot.front, foot.back
    if not by_hand:  # which way up the panel lies in the machine is not known
        left = right = max(left, right)
        front = back = max(front, back)
    ends = thread.ends
    step = ends[:, 1] - ends[:, 0]
    length = np.hypot(*step.T)
    ends, step, length = (values[length >= LEAST_TURNING] for values in (ends, step, length))
    ahead = step / length[:, None] if by_hand else np.tile([0.0, 1.0], (len(ends), 1))
    aside = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    corners = ((front, left), (front, -right), (-back, -right), (-back, left))
    hard = shapely.union_all(above).buffer(-1e-3)
    shapely.prepare(hard)
    for at in (ends[:, 0], ends[:, 1]):
        feet = np.stack([at + f * ahead + s * aside for f, s in corners], axis=1)
        assert not shapely.intersects(hard, shapely.polygons(feet)).any()


def check_moves(plan: Plan, thread: Thread) -> None:
    """The machine never moves across what stands above."""
    hard = [edge.buffer(-1e-3) for _, edge, _, stands in hard_edges(plan) if stands]
    for move in thread.moves if hard else ():
        assert not shapely.intersects(hard, LineString(move)).any(), move


def check_darts(plan: Plan, thread: Thread) -> None:
    """No stitch in a dart, nor on the panel nearer to its legs than the seam allowance."""
    outline, stitches = plan.panel.outline, thread.stitches
    allowance = plan.project.panel.seam_allowance
    for dart in plan.panel.darts:
        assert not enters(dart.wedge, stitches).any(), dart.name
        if outline.area < outline.convex_hull.area - 1e-6:
            continue  # the edge may turn back, and what lies beyond it is not beside a leg
        legs = MultiLineString([leg for leg in dart.legs if len(leg) > 1])
        near = stitches[shapely.dwithin(stitches, legs, allowance)]
        inside = np.asarray(shapely.intersection(near, outline), dtype=object)
        apart = shapely.distance(inside[~shapely.is_empty(inside)], legs)
        assert apart.min(initial=math.inf) >= allowance - 1e-2, dart.name


def check_folds(plan: Plan, thread: Thread) -> None:
    """No quilting crosses a fold closed to it, no travel one closed to that."""
    stitches = thread.stitches
    inner = np.flatnonzero(plan.sewn.run[1:] == plan.sewn.run[:-1])
    kind = plan.sewn.kind[inner + 1]
    folds = [
        (fold, LineString([fold.start, fold.end]).intersection(plan.panel.outline))
        for fold in plan.panel.folds
    ]
    # a crease runs off past both ends of its fold, there along the outline itself; where another
    # line ends beside it on a ring, its end moves there by less than a stitch
    creases = shapely.union_all(
        [
            longer(fold.start, fold.end, plan.panel.run_off + 1).buffer(MERGE_MM)
            for fold, _ in folds
            if fold.crease
        ]
    )
    for fold, line in folds:
        crossing = shapely.intersects(stitches, line)
        if fold.closed_to in ("travel", "both"):
            travels = (kind == plan_kind("travel")) | (kind == plan_kind("double"))
            assert not (crossing & travels).any(), fold.name
        if fold.closed_to in ("quilting", "both"):
            quilts = kind == plan_kind("line")
            met = shapely.intersection(stitches[crossing & quilts], plan.panel.outline)
            assert shapely.covers(creases, met).all(), fold.name


def longer(start: Point, end: Point, by: float) -> LineString:
    """The stretch from start to end, drawn out at both ends."""
    ends = np.array([start, end])
    step = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])) * by
    return LineString([ends[0] - step, ends[1] + step])


def check_within(plan: Plan, thread: Thread) -> None:
    """No needle point beyond the cloth, none beyond the cut edge where there is no overhang."""
    whole = Polygon(plan.panel.outline.exterior)
    beyond = plan.project.panel.overhang if plan.panel.edge != "seam allowance" else 0.0
    cloth = whole.buffer(beyond + ROUNDED)
    assert shapely.covers(cloth, thread.stitches).all()


def plan_kind(word: str) -> int:
    """The number of a kind of stitch by its word in the JSON document."""
    return ("line", "travel", "double", "tie").index(word)
