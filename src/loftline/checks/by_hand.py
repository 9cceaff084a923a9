"""Where the maker guides the panel: the room beside the needle, and what a walking foot can do."""

from __future__ import annotations

import numpy as np

from loftline.errors import Finding
from loftline.geometry import distance_along, place, reach_leftward
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Floats, Ints, Lines, Network, Runs

from .segments import count_of

_BESIDE_MM = 2.0
"""A curve is looked at over so much of it on both sides of a place."""

_MOST_NAMED = 5
_CORNER = np.radians(30.0)
"""A sharper bend is a corner: there the panel is turned under the needle."""


def check_throat(
    network: Network,
    runs: Runs,
    corners: Floats,
    throat: float,
    better: str = "",
    *,
    outer_down: bool = False,
) -> tuple[Finding, ...]:
    """A finding where the panel reaches farther under the machine's arm than there is room.

    The pillar stands at the right of the needle as the maker sits. She sews towards herself
    over the panel, so there lies what is to the left of the direction of sewing; where the
    outer fabric lies down, what is to the right of it as the panel is told.

    Args:
        network: the edges.
        runs: in which direction each is sewn.
        corners: ``(k, 2)`` of the panel as it is quilted, overhang included.
        throat: room between needle and pillar, mm.
        better: what keeps the wide side outside more often, as the remedy names it; empty
            where nothing is known to.
        outer_down: whether the panel is sewn from the back.

    Returns:
        One finding at most, on all lines together; O(n k) for n points of the lines.
    """
    edges = np.flatnonzero(network.required[runs.edges])
    if not len(edges):
        return ()
    sewn = runs.edges[edges]
    stretch, owner = _stretches(network.starts, sewn)
    way = np.where(runs.forward[edges], 1.0, -1.0)[owner]
    a, b = network.points[stretch], network.points[stretch + 1]
    far = np.hypot(*(b - a).T)
    long = far > SAME_PLACE_MM
    towards = (b - a)[long] / far[long][:, None] * way[long][:, None]
    pillar = -towards if outer_down else towards
    over = reach_leftward(corners, ((a + b) / 2)[long], pillar) - throat
    line = network.line[sewn][owner][long]
    beyond = over > SAME_PLACE_MM
    if not beyond.any():
        return ()
    worst = _worst_of_each(line[beyond], over[beyond])
    at = ((a + b) / 2)[long][beyond][worst]
    count = len(worst)
    return (
        Finding(
            code="throat-too-small",
            severity="warning",
            where=f"machine.throat, {_named(at)}",
            message=f"along {count_of(count, 'line', 'lines')} the panel needs up to "
            f"{format_length(throat + float(over.max()))} of room at the right of the needle, "
            f"and there are {format_length(throat)}",
            remedy="roll up what lies there" + (f", or write {better}" if better else ""),
        ),
    )


def _stretches(starts: Ints, edges: Ints) -> tuple[Ints, Ints]:
    """First points of all stretches of some edges, and which of the edges each is of."""
    count = np.diff(starts)[edges] - 1
    owner = np.repeat(np.arange(len(edges)), count)
    offset = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    return starts[edges][owner] + offset, owner


def check_tight(lines: Lines, radius: float) -> tuple[Finding, ...]:
    """A finding for each design with curves tighter than a walking foot follows.

    Args:
        lines: what is sewn.
        radius: of the tightest curve that it follows, mm.

    Returns:
        Findings in the order of the designs. The radius at a place is the length of the
        curve beside it over its change of direction; corners do not count.
    """
    bend, stretch, along, line, point = _bends(lines)
    if not len(bend):
        return ()
    # one long measure through all lines, set apart by more than is looked at
    total = along + line * (float(along.max()) + 4 * _BESIDE_MM)
    turned = np.concatenate([[0.0], np.cumsum(bend)])
    passed = np.concatenate([[0.0], np.cumsum(stretch)])
    low = np.searchsorted(total, total - _BESIDE_MM)
    high = np.searchsorted(total, total + _BESIDE_MM, side="right")
    change = np.abs(turned[high] - turned[low])
    found = (passed[high] - passed[low]) / np.maximum(change, 1e-9)
    findings = []
    for fill in np.unique(lines.fill[line]).tolist():
        mine = np.flatnonzero((lines.fill[line] == fill) & (found < radius - SAME_PLACE_MM))
        if not len(mine):
            continue
        worst = mine[_worst_of_each(line[mine], -found[mine])]
        count = len(worst)
        findings.append(
            Finding(
                code="too-tight-for-foot",
                severity="warning",
                where=f"fills[{fill}], {_named(lines.points[point[worst]])}",
                message=f"{count_of(count, 'line bends', 'lines bend')} tighter than the "
                f"{format_length(radius)} that the walking foot follows, down to "
                f"{format_length(float(found[worst[0]]))}",
                remedy="sew them with a free-motion foot, or take a wider spacing or another "
                "design",
            )
        )
    return tuple(findings)


def _worst_of_each(line: Ints, much: Floats) -> Ints:
    """Of each line the place where it is worst, the worst line first."""
    order = np.lexsort((np.arange(len(much)), -much))
    _, first = np.unique(line[order], return_index=True)
    return order[np.sort(first)]


def _named(at: Floats) -> str:
    """Lines by a place on each of them."""
    told = [place(spot) for spot in at[:_MOST_NAMED]]
    more = len(at) - len(told)
    if more:
        return f"lines at {', '.join(told)} and {more} more"
    return f"{'line' if len(told) == 1 else 'lines'} at {', '.join(told)}"


def _bends(lines: Lines) -> tuple[Floats, Floats, Floats, Ints, Ints]:
    """Inner points of curves.

    Returns:
        Change of direction there (radians), the length of curve it stands for, how far along
        it lies, which line it is of, and which point.
    """
    points, starts = lines.points, lines.starts
    if len(points) < 3:
        none = np.empty(0, np.int64)
        return np.empty(0), np.empty(0), np.empty(0), none, none
    owner = np.repeat(np.arange(len(lines)), np.diff(starts))
    step = np.diff(points, axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    bend = np.arctan2(cross, (step[:-1] * step[1:]).sum(axis=1))
    inner = (owner[2:] == owner[:-2]) & np.isnan(lines.angle)[owner[1:-1]]
    at = np.flatnonzero(inner) + 1
    far = np.hypot(*step.T)
    stretch = ((far[:-1] + far[1:]) / 2)[inner]
    bend = np.where(np.abs(bend) > _CORNER, 0.0, bend)[inner]
    return bend, stretch, distance_along(points, starts)[at], owner[at], at
