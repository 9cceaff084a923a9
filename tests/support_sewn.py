"""Panels and needle points put together by hand, for tests of checks and estimates."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from loftline.geometry import circle
from loftline.project import Project, parse_project
from loftline.values import (
    KeepOut,
    Kind,
    Lines,
    Panel,
    Piece,
    Point,
    Runs,
    Sewn,
    Sits,
    Ways,
)

Places = Sequence[tuple[float, float]]

NO_PLACES: Places = ()


def keep_out(
    name: str,
    outline: Polygon,
    reach: float = 6.35,
    *,
    sits: Sits = "inside",
    hardware: bool = True,
) -> KeepOut:
    return KeepOut(
        name=name, outline=outline, clearance=reach, reach=reach, sits=sits, hardware=hardware
    )


def snap(at: Point, diameter: float = 18, reach: float = 6.35, *, sits: Sits = "inside") -> KeepOut:
    return keep_out("snap", circle(at, diameter), reach, sits=sits)


def panel(*keep_outs: KeepOut, pieces: tuple[Piece, ...] = ()) -> Panel:
    outline = shapely.box(0, 0, 200, 200)
    return Panel(
        name="Test panel",
        outline=outline,
        parts=(),
        folds=(),
        seam_allowance=8,
        overhang=25,
        edge="overhang",
        ground=outline,
        sewable=outline,
        pieces=pieces,
        keep_outs=keep_outs,
        ways=Ways(
            points=np.empty((0, 2)),
            starts=np.zeros(1, np.int64),
            kind=np.empty(0, np.int64),
            open=np.empty(0, np.bool_),
        ),
        edge_lengths={"outline": 800.0} | dict.fromkeys(("top", "bottom", "left", "right"), 200.0),
    )


def sewn(
    *runs: Places,
    kind: Kind | Sequence[Kind] = Kind.LINE,
    via: Places = NO_PLACES,
    via_run: Sequence[int] = (),
    origin: tuple[float, float] = (0, 0),
) -> Sewn:
    """Needle points from runs in millimetres; ``kind`` one for all or one for each point."""
    points = np.array([place for run in runs for place in run], np.float64).reshape(-1, 2)
    tenths = np.rint(points * 10).astype(np.int64)
    kinds = [kind] * len(points) if isinstance(kind, Kind) else list(kind)
    return Sewn(
        x=tenths[:, 0],
        y=tenths[:, 1],
        run=np.repeat(np.arange(len(runs)), [len(run) for run in runs]),
        kind=np.array(kinds, np.int64).reshape(-1),
        via=np.rint(np.array(via, np.float64).reshape(-1, 2) * 10).astype(np.int64),
        via_run=np.array(via_run, np.int64),
        origin=(round(origin[0] * 10), round(origin[1] * 10)),
    )


def row(length: float, step: float = 3, y: float = 0) -> Places:
    """Needle points along y from x = 0."""
    return [(step * i, y) for i in range(round(length / step) + 1)]


def lines(fills: int = 1) -> Lines:
    """One straight line for each fill."""
    return Lines(
        points=np.tile([[0.0, 0.0], [100.0, 0.0]], (fills, 1)),
        starts=np.arange(fills + 1) * 2,
        fill=np.arange(fills),
        family=np.arange(fills),
        angle=np.zeros(fills),
        closed=np.zeros(fills, np.bool_),
    )


def runs(cost: float = 100, least_cost: float = 90, *, optimal: bool = False) -> Runs:
    none = np.empty(0, np.int64)
    return Runs(
        edges=none,
        forward=none.astype(np.bool_),
        repeat=none.astype(np.bool_),
        starts=np.zeros(1, np.int64),
        cost=cost,
        least_cost=least_cost,
        optimal=optimal,
        cut_cost=50.0,
    )


def project(**tables: object) -> Project:
    """A plain project; tables replace or join the keys of the file."""
    return parse_project(
        {
            "format": 1,
            "name": "Test bag",
            "panel": {"shape": "rectangle", "width": 200, "height": 200},
            "fills": [{"pattern": "channel", "spacing": 12}],
            **tables,
        }
    )
