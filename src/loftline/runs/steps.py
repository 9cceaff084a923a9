"""Steps: short straight ways from a line that touches no edge to the lines beside it.

A ring of echo quilting, a motif or a meander that ends on no way can be reached by stepping
over from its neighbour. Steps stand in rows (:mod:`loftline.runs.rows`), and these are laid
in a frame that the lines carry with them (:mod:`loftline.runs.framed`): which steps there are
depends neither on how the panel lies nor on where and in which order its lines are drawn.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.begun import drawn_from
from loftline.runs.connected import components
from loftline.runs.costs import BY_MACHINE, Costs
from loftline.runs.ends import SHARP
from loftline.runs.facing import Curves, Facing
from loftline.runs.framed import Framed
from loftline.runs.ground import Ground
from loftline.runs.rows import Rows
from loftline.runs.stops import Stops
from loftline.values import Bools, Floats, Ints, Panel, Way

_FARTHEST_MM = 100.0
"""So far a step may reach, and no farther than a thread cut would be cheaper."""

_ROWS_APART = 5.0
"""Rows of steps begin so many neighbour distances apart along a line."""

_LEAST_ROW_MM, _MOST_ROW_MM = 30.0, 60.0

_CROWDED = 0.06
"""A row ends where another passes nearer than this share of the rows' distance."""

_LEAST_PRICE = 0.1
_INSET_MM = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Steps and the nodes they need.

    Attributes:
        points: ``(k, 2)`` places of the new nodes, numbered on from the old.
        on_lines, on_rings: where the new nodes lie.
        u, v: ``(s,)`` ends of each step.
    """

    points: Floats
    on_lines: Stops
    on_rings: Stops
    u: Ints
    v: Ints


def find_steps(
    panel: Panel,
    lines: Curves,
    on_lines: Stops,
    on_rings: Stops,
    nodes: Floats,
    costs: Costs = BY_MACHINE,
    step: Step = does_nothing,
) -> Steps:
    """Steps from lines that hang together with no part of the panel's edge.

    They keep within what may be sewn, cross no line, and no fold that is closed to travel.

    Args:
        panel: for its ways, folds and what may be sewn.
        lines: all lines.
        on_lines: their nodes.
        on_rings: nodes on the ways.
        nodes: ``(n, 2)`` places.
        costs: prices of a step and of a thread cut.
        step: progress callback.

    Returns:
        The steps; their number grows with the length of the lines they start from, over the
        distance between neighbours.
    """
    none = np.empty(0, np.int64)
    nothing = Stops(curve=none, along=np.empty(0), node=none)
    empty = Steps(points=np.empty((0, 2)), on_lines=nothing, on_rings=nothing, u=none, v=none)
    ways = panel.ways
    group, loose = _groups(panel, len(lines), on_lines, on_rings)
    # one line alone, or all joined already, needs none
    if not loose.any() or len(np.unique(group[: len(lines)])) < 2:
        return empty
    rings = np.diff(ways.starts)
    curves = Curves.of(
        np.concatenate([lines.points, ways.points]),
        np.concatenate([lines.starts, ways.starts[1:] + len(lines.points)]),
        np.concatenate([lines.closed, np.ones(len(rings), bool)]),
    )
    framed = Framed.of(curves, len(lines))
    group, loose = group[framed.number], loose[framed.number]
    farthest = min(_FARTHEST_MM, costs.cut_inside / max(costs.double, _LEAST_PRICE))
    facing = Facing.find(framed.curves, group, loose, farthest, step)
    step("steps", 0, 1)
    apart = np.clip(_ROWS_APART * facing.median(len(curves)), _LEAST_ROW_MM, _MOST_ROW_MM)
    rows = Rows(
        framed=framed,
        facing=facing,
        loose=loose,
        ground=Ground.of(panel, lines, farthest),
        nodes=framed.frame.inside(nodes),
        least=_CROWDED * float(np.nanmin(apart, initial=_MOST_ROW_MM)),
        corners=_corners(framed.curves),
    )
    met = ~drawn_from(lines, on_lines)
    known = Stops(curve=on_lines.curve[met], along=on_lines.along[met], node=on_lines.node[met])
    known = _framed(known, framed)
    rows.know(known)
    rows.know(_framed(replace(on_rings, curve=on_rings.curve + len(lines)), framed))
    free = _free_ends(framed.curves, known)
    rows.go_on([(c, a, n) for c, a, n in free if loose[c]])
    rows.begin_at_narrows(len(lines))
    asking = np.flatnonzero(loose & ~np.isnan(apart))
    for k, c in enumerate(asking.tolist()):
        step("steps", k, len(asking))
        rows.begin(c, float(apart[c]))
    return _on_panel(rows, framed, len(lines), len(nodes))


def _framed(stops: Stops, framed: Framed) -> Stops:
    """Places on the panel's curves as they are in the frame, along each."""
    curve, along = framed.inside(stops.curve, stops.along)
    order = np.lexsort((along, curve))
    return Stops(curve=curve[order], along=along[order], node=stops.node[order])


def _on_panel(rows: Rows, framed: Framed, lines: int, old: int) -> Steps:
    """What was laid, on the panel; nodes that no step uses are left out."""
    ends, fresh = rows.laid()
    used = np.unique(ends)
    used = used[used >= old]
    name = np.full(old + len(rows.spots), -1)
    name[:old] = np.arange(old)
    name[used] = old + np.arange(len(used))
    kept = name[fresh.node] >= 0
    curve, along = framed.outside(fresh.curve[kept], fresh.along[kept])
    node = name[fresh.node[kept]]
    points = np.empty((len(used), 2))
    points[node - old] = framed.drawn.at(curve, along)
    on = curve < lines
    return Steps(
        points=points,
        on_lines=Stops(curve=curve[on], along=along[on], node=node[on]),
        on_rings=Stops(curve=curve[~on] - lines, along=along[~on], node=node[~on]),
        u=name[ends[:, 0]],
        v=name[ends[:, 1]],
    )


def _groups(panel: Panel, count: int, on_lines: Stops, on_rings: Stops) -> tuple[Ints, Bools]:
    """What hangs together of lines and ways, and what of it touches no edge."""
    ways = panel.ways
    rings = len(ways.starts) - 1
    owner = np.repeat(np.arange(rings), np.diff(ways.starts))
    edge = np.zeros(rings, bool)
    edge[owner[ways.kind == Way.EDGE]] = True
    curve = np.concatenate([on_lines.curve, on_rings.curve + count])
    node = np.concatenate([on_lines.node, on_rings.node])
    size = count + rings
    top = size + int(node.max(initial=-1)) + 1
    label = components(top, curve, size + node)[:size]
    loose = np.ones(size, bool)
    loose[np.isin(label, label[count:][edge])] = False
    # a way that no line touches asks for nothing
    loose[count:] &= np.isin(label[count:], label[:count])
    return label, loose


def _corners(curves: Curves) -> dict[int, list[float]]:
    found: dict[int, list[float]] = {}
    curve, along = curves.corners(SHARP)
    for c, a in zip(curve.tolist(), along.tolist(), strict=True):
        found.setdefault(c, []).append(a)
    return found


def _free_ends(lines: Curves, on_lines: Stops) -> list[tuple[int, float, int]]:
    end = (on_lines.along < _INSET_MM) | (on_lines.along > lines.total[on_lines.curve] - _INSET_MM)
    end &= ~lines.closed[on_lines.curve]
    return list(
        zip(
            on_lines.curve[end].tolist(),
            on_lines.along[end].tolist(),
            on_lines.node[end].tolist(),
            strict=True,
        )
    )
