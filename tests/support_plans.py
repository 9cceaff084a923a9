"""Plans put together by hand, for tests of what is written from a plan.

The stages of loftline are not used to fill them (only its geometry helpers), so a fault of
a stage cannot hide a fault of a writer.
"""

from __future__ import annotations

import itertools
from typing import cast

import numpy as np
import shapely
from shapely import LineString, Polygon

from loftline.errors import Finding
from loftline.geometry import circle, clip_family, only_polygons, pack, rectangle, rings
from loftline.project import Project, parse_project
from loftline.values import (
    Area,
    Band,
    Floats,
    Fold,
    Hooping,
    KeepOut,
    Kind,
    Lines,
    Network,
    Panel,
    Part,
    Piece,
    Plan,
    Point,
    Report,
    Runs,
    Sewn,
    Ways,
)

RUN_OFF = 6.0


def project(name: str, *, spacing: float = 12.0, angle: float = 45.0) -> Project:
    """A project of that name; the panel is not taken from it."""
    return parse_project(
        {
            "format": 1,
            "name": name,
            "copies": 12,
            "panel": {"shape": "rectangle", "width": 100, "height": 100},
            "fills": [{"pattern": "channel", "angle": angle, "spacing": spacing}],
        }
    )


def magnet(name: str, at: Point, mate_of: str | None = None, diameter: float = 18) -> KeepOut:
    return KeepOut(
        name=name,
        outline=circle(at, diameter),
        clearance=6.35,
        reach=6.35,
        sits="inside",
        mate_of=mate_of,
    )


def pouch_panel(name: str = "Spoke pouch") -> Panel:
    """The folded pouch of the demo with four magnets, a label and a ring fitted later."""
    corner = shapely.box(48, 300, 202, 410).union(shapely.box(3, 300, 247, 365))
    flap = corner.union(circle((48, 365), 90)).union(circle((202, 365), 90))
    flap = only_polygons(flap.intersection(shapely.box(3, 300, 247, 410)))
    front, back = shapely.box(0, 0, 250, 150), shapely.box(0, 150, 250, 300)
    ring = Piece(
        name="D-ring",
        kind="ring",
        at=(228, 276),
        outline=circle((228, 276), 20),
        clearance=6.35,
        reach=6.35,
        sits="above",
        fitted="after lining",
    )
    label = KeepOut(
        name="label",
        outline=rectangle((125, 105), 60, 25),
        clearance=3,
        reach=3,
        sits="inside",
        hardware=False,
    )
    return make_panel(
        name,
        cast("Polygon", shapely.union_all([front, back, flap])),
        (
            magnet("left magnet", (75, 378)),
            magnet("left magnet, other half", (75, 78), "left magnet"),
            magnet("right magnet", (175, 378)),
            magnet("right magnet, other half", (175, 78), "right magnet"),
            label,
        ),
        parts=(
            Part(name="front", area=front),
            Part(name="back", area=back),
            Part(name="flap", area=flap),
        ),
        folds=(
            Fold(name="lower fold", start=(0, 150), end=(250, 150)),
            Fold(name="upper fold", start=(3, 300), end=(247, 300)),
        ),
        pieces=(ring,),
    )


def make_panel(
    name: str,
    outline: Polygon,
    keep_outs: tuple[KeepOut, ...] = (),
    *,
    parts: tuple[Part, ...] = (),
    folds: tuple[Fold, ...] = (),
    pieces: tuple[Piece, ...] = (),
    seam_allowance: float = 8,
    overhang: float = 25,
) -> Panel:
    ground = only_polygons(outline.buffer(RUN_OFF))
    zones = shapely.union_all([zone.outline.buffer(zone.reach) for zone in keep_outs])
    return Panel(
        name=name,
        outline=outline,
        parts=parts,
        folds=folds,
        seam_allowance=seam_allowance,
        overhang=overhang,
        edge="overhang",
        ground=ground,
        sewable=only_polygons(ground.difference(zones)),
        pieces=pieces,
        keep_outs=keep_outs,
        ways=Ways(
            points=np.empty((0, 2)),
            starts=np.zeros(1, np.int64),
            kind=np.empty(0, np.int64),
            open=np.empty(0, np.bool_),
        ),
    )


def make_plan(
    panel: Panel, *, spacing: float = 12, angle: float = 45, lines_per_run: int = 10**9
) -> Plan:
    """Channel lines over a panel, joined along the edges like a snake."""
    pieces, _, _ = clip_family(
        panel.sewable, angle, spacing, (panel.outline.centroid.x, panel.outline.centroid.y)
    )
    walks = _join(panel.sewable, pieces, lines_per_run)
    points, starts = pack(list(pieces))
    count = len(pieces)
    sewn = sew(walks)
    step = np.hypot(np.diff(sewn.x), np.diff(sewn.y)) / 10
    within = np.diff(sewn.run) == 0
    length = {
        kind.name.lower(): float(step[within & (sewn.kind[1:] == kind)].sum())
        for kind in (Kind.LINE, Kind.TRAVEL, Kind.DOUBLE, Kind.TIE)
    }
    return Plan(
        project=project(panel.name, spacing=spacing, angle=angle),
        panel=panel,
        lines=Lines(
            points=points,
            starts=starts,
            fill=np.zeros(count, np.int64),
            family=np.zeros(count, np.int64),
            angle=np.full(count, float(angle)),
            closed=np.zeros(count, np.bool_),
        ),
        network=_no_network(),
        hoopings=(Hooping(field=None),),
        runs=_no_runs(),
        sewn=sewn,
        report=make_report(sewn, length),
        findings=(
            Finding(
                code="spacing-beside-foam",
                severity="note",
                where="fills[0].spacing",
                message='nobody has published how far apart lines on foam may lie; "12 mm" is kept',
            ),
        ),
    )


Walk = list[tuple[Kind, Floats]]


def sew(walks: list[Walk], stitch_length: float = 3.0) -> Sewn:
    """Needle points every stitch length along each piece, with small ties at a run's ends."""
    xy: list[Floats] = []
    kinds: list[int] = []
    runs: list[int] = []
    for number, walk in enumerate(walks):
        run = [(kind, _steps(curve, stitch_length)) for kind, curve in walk]
        start, end = run[0][1], run[-1][1]
        tied = [
            (Kind.TIE, _tie(start[0], start[1])),
            *run,
            (Kind.TIE, _tie(end[-1], end[-2])[::-1]),
        ]
        for kind, points in tied:
            fresh = points if kind == Kind.TIE else points[1:]
            xy.append(fresh)
            kinds.extend([int(kind)] * len(fresh))
            runs.extend([number] * len(fresh))
    tenths = np.rint(np.concatenate(xy) * 10).astype(np.int64) if xy else np.empty((0, 2), np.int64)
    return Sewn(
        x=tenths[:, 0],
        y=tenths[:, 1],
        run=np.array(runs, np.int64),
        kind=np.array(kinds, np.int64),
        via=np.empty((0, 2), np.int64),
        via_run=np.empty(0, np.int64),
    )


def _steps(curve: Floats, stitch_length: float) -> Floats:
    out = [curve[:1]]
    for a, b in itertools.pairwise(curve):
        count = max(1, round(float(np.hypot(*(b - a))) / stitch_length))
        out.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(out)


def _tie(at: Floats, towards: Floats) -> Floats:
    unit = (towards - at) / np.hypot(*(towards - at))
    tie: Floats = at + unit * np.array([[0.0], [0.5], [1.0], [0.5], [0.0]])
    return tie


def _join(area: Area, pieces: Floats, lines_per_run: int) -> list[Walk]:
    """Sew the nearest line not yet sewn that starts on the same ring; else begin a new run.

    The first time there is none, the line just sewn is sewn over again instead.
    """
    borders = [LineString(ring) for ring in rings(area)]
    ends = pieces.reshape(-1, 2)
    ring = np.argmin([shapely.distance(shapely.points(ends), b) for b in borders], axis=0)
    along = shapely.line_locate_point(np.array(borders)[ring], shapely.points(ends))
    waiting = np.ones(len(pieces), bool)
    walks: list[Walk] = []
    at = -1
    doubled = False
    while waiting.any():
        free = np.repeat(waiting, 2)
        if at >= 0 and len(walks[-1]) // 2 >= lines_per_run:
            at = -1
        if at >= 0:
            border = borders[ring[at]]
            gap = np.abs(along - along[at])
            gap = np.minimum(gap, border.length - gap)
            gap[~free | (ring != ring[at])] = np.inf
            best = int(np.argmin(gap))
            if not np.isfinite(gap[best]):
                if not doubled:
                    doubled = True
                    at ^= 1
                    walks[-1].append((Kind.DOUBLE, ends[[at ^ 1, at]]))
                else:
                    at = -1
                continue
            walks[-1].append((Kind.TRAVEL, _along(border, along[at], along[best])))
        else:
            best = int(np.argmax(free))
            walks.append([])
        walks[-1].append((Kind.LINE, ends[[best, best ^ 1]]))
        waiting[best // 2] = False
        at = best ^ 1
    return walks


def _along(border: LineString, start: float, end: float) -> Floats:
    """The shorter way along a closed ring."""
    total = border.length
    forward = (end - start) % total
    share = np.linspace(0, 1, max(2, int(min(forward, total - forward) / 2)))
    move = forward if forward <= total / 2 else forward - total
    return shapely.get_coordinates(border.interpolate((start + share * move) % total))


def make_report(sewn: Sewn, length: dict[str, float]) -> Report:
    total = sum(length.values())
    needle, bobbin = Band(low=1.4, expected=1.5, high=1.7), Band(low=1.2, expected=1.3, high=1.5)
    runs = int(sewn.run[-1]) + 1 if len(sewn) else 0
    return Report(
        stitches=len(sewn) - runs,
        runs=runs,
        cuts=max(0, runs - 1),
        turns=40,
        length=length,
        needle_thread=needle.times(total),
        bobbin_thread=bobbin.times(total),
        needle_batch=needle.times(total * 12 * 1.15),
        bobbin_batch=bobbin.times(total * 12 * 1.15),
        waste=0.15,
        minutes=14.2857,
        cost=1234.5678,
        least_cost=1200.0,
        optimal=False,
        copies=12,
        advice=("Needle 90/14, topstitch or microtex.",),
        cautions=("Magnets: keep 15 cm from pacemakers.",),
        model="both threads, 2 + 2·T/s a millimetre of seam",
        versions={"loftline": "0.1.0"},
        extra={"area": 100.0},
    )


def _no_network() -> Network:
    none = np.empty(0, np.int64)
    return Network(
        nodes=np.empty((0, 2)),
        u=none,
        v=none,
        way=none,
        required=none.astype(np.bool_),
        line=none,
        length=np.empty(0),
        cost=np.empty(0),
        points=np.empty((0, 2)),
        starts=np.zeros(1, np.int64),
        line_points=np.empty((0, 2)),
        line_starts=np.zeros(1, np.int64),
    )


def _no_runs() -> Runs:
    none = np.empty(0, np.int64)
    return Runs(
        edges=none,
        forward=none.astype(np.bool_),
        repeat=none.astype(np.bool_),
        starts=np.zeros(1, np.int64),
        cost=1234.5678,
        least_cost=1200.0,
        optimal=False,
        cut_cost=50.0,
    )


def pouch_plan() -> Plan:
    return make_plan(pouch_panel())


def tiny_plan() -> Plan:
    panel = make_panel(
        "Key fob",
        shapely.box(0, 0, 60, 40),
        (magnet("snap", (15, 20), diameter=10),),
        seam_allowance=6,
        overhang=12,
    )
    return make_plan(panel, spacing=8, angle=60)


def big_plan(spacing: float = 12) -> Plan:
    """A panel 2.4 m square with 20 keep-outs."""
    rng = np.random.default_rng(3)
    places = [(300 + 450 * i, 250 + 450 * j) for i in range(5) for j in range(4)]
    shift = rng.uniform(-80, 80, (len(places), 2))
    outs = tuple(
        magnet(f"snap {n + 1}", (x + dx, y + dy), diameter=60)
        for n, ((x, y), (dx, dy)) in enumerate(zip(places, shift.tolist(), strict=True))
    )
    return make_plan(make_panel("Big caddy", shapely.box(0, 0, 2400, 2400), outs), spacing=spacing)
