"""Rings within rings for the tests: drawn, or as bare networks with a programme for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest
import shapely
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix, csr_matrix, hstack, vstack
from scipy.sparse.csgraph import connected_components

from loftline.geometry import pack
from loftline.panel import make_panel
from loftline.project import Project, parse_project
from loftline.runs import make_network, plan_runs
from loftline.stitches import make_sewn
from loftline.units import CHORD_ERROR_MM, LEAST_STITCH_MM
from loftline.values import Kind, Lines, Network, Panel, Runs, Sewn

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


def caddy(
    width: float,
    height: float,
    keep_outs: list[tuple[float, float, float]],
    *,
    edge: str = "none",
    strips: Sequence[dict[str, object]] = (),
) -> Project:
    """A rounded rectangle with round keep-outs ``(x, y, radius of the zone)`` and others."""
    document = {
        "format": 1,
        "name": "Workbench caddy",
        "panel": {"shape": "rectangle", "width": width, "height": height, "corner_radius": 30},
        "keep_outs": [
            {"name": f"ring {i}", "shape": "circle", "diameter": 2 * r - 10, "at": [x, y]}
            | {"clearance": 5}
            for i, (x, y, r) in enumerate(keep_outs)
        ]
        + list(strips),
        "fills": [{"pattern": "channel", "spacing": 20}],
        "quilting": {"edge": edge},
    }
    return parse_project(document)


def levels(region: shapely.Geometry, spacing: float, rounding: float = 0.0) -> list[Floats]:
    """Closed lines at even distances from the border of a region, as shapely's buffers give.

    With a rounding no spike is left where two borders meet.
    """
    found = []
    inward = spacing / 2
    while not (area := shapely.buffer(region, -inward - rounding)).is_empty:
        area = shapely.buffer(area, rounding) if rounding else area
        for part in shapely.get_parts(area):
            rings = (part.exterior, *part.interiors)
            found += [shapely.get_coordinates(ring) for ring in rings if ring.length > 10]
        inward += spacing
    return found


def free(panel: Panel) -> shapely.Geometry:
    """The panel inside its outline without the keep-out zones."""
    zones = [zone.outline.buffer(zone.reach, quad_segs=32) for zone in panel.keep_outs]
    return panel.outline.difference(shapely.union_all(zones)) if zones else panel.outline


def circle(x: float, y: float, radius: float, count: int = 60) -> Floats:
    """A closed line round a place."""
    turn = np.linspace(0, 2 * np.pi, count + 1)
    points = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
    points[-1] = points[0]
    return points


def as_lines(
    curves: list[Floats], closed: list[bool] | None = None, family: list[int] | None = None
) -> Lines:
    """Lines by hand; closed ones of one family unless told."""
    points, starts = pack(curves)
    count = len(curves)
    return Lines(
        points=points,
        starts=starts,
        fill=np.zeros(count, np.int64),
        family=np.zeros(count, np.int64) if family is None else np.array(family, np.int64),
        angle=np.full(count, np.nan),
        closed=np.ones(count, bool) if closed is None else np.array(closed),
    )


@dataclass(frozen=True, kw_only=True)
class RingNetwork:
    """Rings and open lines joined by steps like a tree, as arrays of a network."""

    u: Ints
    v: Ints
    cost: Ints
    required: Bools
    piece: Ints
    end: Ints


@st.composite
def ring_networks(draw: st.DrawFn, *, most: int = 6, beside: bool = False) -> RingNetwork:
    """Random rings; with ``beside`` a few steps besides those of a tree."""
    count = draw(st.integers(2, most))
    sizes = [draw(st.integers(1, 5)) for _ in range(count)]
    first = np.concatenate([[0], np.cumsum(sizes)])
    edges: list[tuple[int, int, int, bool]] = []
    price = st.integers(1, 40)
    for piece, size in enumerate(sizes):
        nodes = list(range(first[piece], first[piece] + size))
        ring = draw(st.booleans())
        if size == 1:
            edges.append((nodes[0], nodes[0], draw(price), True))
            continue
        pairs = list(pairwise(nodes))
        if ring and size > 2:
            pairs.append((nodes[-1], nodes[0]))
        edges += [(a, b, draw(price), True) for a, b in pairs]
    joins = [(k, draw(st.integers(0, k - 1))) for k in range(1, count)]
    if beside:
        joins += draw(
            st.lists(
                st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(
                    lambda pair: pair[0] != pair[1]
                ),
                max_size=3,
            )
        )
    for a, b in joins:
        for _ in range(draw(st.integers(1, 4))):
            x = int(first[a] + draw(st.integers(0, sizes[a] - 1)))
            y = int(first[b] + draw(st.integers(0, sizes[b] - 1)))
            edges.append((x, y, draw(price), False))
    u, v, cost, required = (np.array(column) for column in zip(*edges, strict=True))
    n = int(first[-1])
    return RingNetwork(
        u=u,
        v=v,
        cost=cost * 1000,
        required=required.astype(bool),
        piece=np.repeat(np.arange(count), sizes),
        end=np.full(n, 1000 * draw(st.integers(5, 80))),
    )


def odd_nodes(network: RingNetwork) -> Bools:
    """Nodes with an odd number of required edges; a loop counts twice."""
    at = np.flatnonzero(network.required)
    ends = np.concatenate([network.u[at], network.v[at]])
    return np.asarray(np.bincount(ends, minlength=len(network.piece)) % 2 == 1)


def least_walk(network: RingNetwork, *, one_step: bool) -> int:
    """Least cost of runs, in thousandths, by an integer programme with lazy connectivity.

    Every edge is walked 0, 1 or 2 times besides being required, every node is even, and all
    hangs together with the hub. With ``one_step`` only one step between any two pieces is
    used, once or twice.
    """
    n, pieces = len(network.piece), int(network.piece.max()) + 1
    proper = np.flatnonzero(network.u != network.v)
    u = np.concatenate([network.u[proper], np.arange(n)])
    v = np.concatenate([network.v[proper], np.full(n, n)])
    cost = np.concatenate([network.cost[proper], network.end]).astype(float)
    m = len(u)
    where = np.concatenate([network.piece, [pieces]])
    odd = np.append(odd_nodes(network), False).astype(float)
    # columns: how often each edge is walked, half the degree of each node, whether it is used
    meets = coo_matrix(
        (np.ones(2 * m), (np.concatenate([u, v]), np.tile(np.arange(m), 2))), shape=(n + 1, m)
    )
    even = hstack([meets, -2 * csr_matrix(np.eye(n + 1)), csr_matrix((n + 1, m))])
    used = hstack([csr_matrix(np.eye(m)), csr_matrix((m, n + 1)), -2 * csr_matrix(np.eye(m))])
    rules = [LinearConstraint(even, -odd, -odd), LinearConstraint(used, -np.inf, 0)]
    a, b = where[u], where[v]
    if one_step:
        steps = np.flatnonzero((a != b) & (v < n))
        key = np.minimum(a, b)[steps] * (pieces + 1) + np.maximum(a, b)[steps]
        names, row = np.unique(key, return_inverse=True)
        few = coo_matrix(
            (np.ones(len(steps)), (row, m + n + 1 + steps)), shape=(len(names), 2 * m + n + 1)
        )
        if len(names):
            rules.append(LinearConstraint(few, -np.inf, 1))
    cuts = [np.isin(where, [p]) for p in range(pieces + 1)]
    while True:
        rows = np.array([(inside[u] != inside[v]).astype(float) for inside in cuts])
        border = vstack([hstack([csr_matrix(rows), csr_matrix((len(cuts), n + 1 + m))])])
        answer = milp(
            np.concatenate([cost, np.zeros(n + 1 + m)]),
            constraints=[*rules, LinearConstraint(border, 2, np.inf)],
            integrality=np.ones(2 * m + n + 1, np.int64),
            bounds=Bounds(0, np.concatenate([np.full(m, 2), np.full(n + 1, np.inf), np.ones(m)])),
        )
        assert answer.status == 0, answer.message
        walked = np.rint(answer.x[:m]) > 0
        graph = coo_matrix(
            (np.ones(int(walked.sum())), (a[walked], b[walked])), shape=(pieces + 1,) * 2
        )
        parts, label = connected_components(graph, directed=False)
        if parts == 1:
            return round(answer.fun)
        cuts += [label[where] == k for k in range(parts)]


@dataclass(frozen=True, kw_only=True)
class SewnByHand:
    """Lines by hand, planned and sewn on a panel."""

    panel: Panel
    lines: Lines
    network: Network
    runs: Runs
    sewn: Sewn


def sew(project: Project, lines: Lines, seed: int = 0) -> SewnByHand:
    """What the stages after the fills make of lines."""
    panel = make_panel(project)
    network = make_network(panel, lines)
    runs = plan_runs(network, seed=seed)
    return SewnByHand(
        panel=panel,
        lines=lines,
        network=network,
        runs=runs,
        sewn=make_sewn(project, panel, network, runs),
    )


def cost_of(network: Network, runs: Runs) -> float:
    """What is sewn besides the lines, and the runs' ends, less the first two at their cheapest."""
    extra = runs.repeat | ~network.required[runs.edges]
    u = np.where(runs.forward, network.u[runs.edges], network.v[runs.edges])
    v = np.where(runs.forward, network.v[runs.edges], network.u[runs.edges])
    ends = np.concatenate([u[runs.starts[:-1]], v[runs.starts[1:] - 1]])
    price = network.end_cost
    assert price is not None
    used = np.unique(np.concatenate([network.u, network.v]))
    first = 2 * float(price[used].min())
    return float(network.cost[runs.edges[extra]].sum() + price[ends].sum()) - first


def check_promises(made: SewnByHand) -> None:
    """The promises of a plan on lines by hand, each looked at from outside."""
    network, runs, sewn = made.network, made.runs, made.sewn
    # the keep-outs
    xy = np.column_stack([sewn.x, sewn.y]) / 10
    same = sewn.run[1:] == sewn.run[:-1]
    ends = np.stack([xy[:-1], xy[1:]], axis=1)[same]
    kind = sewn.kind[1:][same]
    drawn = shapely.linestrings(ends)
    for zone in made.panel.keep_outs:
        assert shapely.distance(zone.outline, drawn).min() >= zone.reach - 1e-9
    # every line once, the walk without a gap
    once = np.bincount(runs.edges[~runs.repeat], minlength=len(network.u))
    assert (once[network.required] == 1).all()
    u = np.where(runs.forward, network.u[runs.edges], network.v[runs.edges])
    v = np.where(runs.forward, network.v[runs.edges], network.u[runs.edges])
    inner = np.ones(len(u) - 1, bool)
    inner[runs.starts[1:-1] - 1] = False
    assert (u[1:] == v[:-1])[inner].all()
    # each kind on what it says
    pieces = [network.points[a:b] for a, b in pairwise(network.starts.tolist())]
    for which, edges in (
        (Kind.LINE, network.required),
        (Kind.DOUBLE, network.required),
        (Kind.TRAVEL, ~network.required),
    ):
        mine = ends[kind == which]
        if len(mine):
            ground = shapely.MultiLineString([p for p, on in zip(pieces, edges, strict=True) if on])
            shapely.prepare(ground)
            for points in (mine[:, 0], mine[:, 1], mine.mean(axis=1)):
                assert shapely.dwithin(ground, shapely.points(points), CHORD_ERROR_MM + 1e-6).all()
    # stitches of a length that can be sewn
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    assert length.max() <= 3.15
    assert length[kind != Kind.TIE].min() >= LEAST_STITCH_MM - 1e-9
    # the cost
    assert runs.cost == pytest.approx(cost_of(network, runs), abs=0.01)
    assert runs.least_cost <= runs.cost + 1e-6
    assert not runs.optimal or runs.least_cost == pytest.approx(runs.cost, abs=1e-6)
