"""What several hoopings sew, as one network, its runs and its needle points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from loftline.hooping.sharing import Share
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Bools, Habit, Hooping, Ints, Kind, Network, Runs, Sewn

_Number = TypeVar("_Number", np.bool_, np.int64, np.float64)

_EXACT: Final = 1e-6
_ON_LINE_MM: Final = 0.25
"""A needle point lies this near to its line, curves and rounding counted in."""


def join_networks(parts: Sequence[tuple[Share, Network]], whole: Network) -> Network:
    """The networks of all hoopings side by side; none is joined to another.

    Args:
        parts: in sewing order.
        whole: of the undivided panel, whose lines the edges are pieces of.
    """
    networks = [network for _, network in parts]
    nodes = np.cumsum([0, *(len(network.nodes) for network in networks)])
    points = np.cumsum([0, *(len(network.points) for network in networks)])

    def joined(arrays: Sequence[Ints]) -> Ints:
        return np.concatenate(arrays)

    owners = [
        np.where(network.line >= 0, share.owner[np.maximum(network.line, 0)], -1)
        if len(share.owner)
        else network.line
        for share, network in parts
    ]
    return Network(
        nodes=np.concatenate([network.nodes for network in networks]),
        u=joined([n.u + first for n, first in zip(networks, nodes, strict=False)]),
        v=joined([n.v + first for n, first in zip(networks, nodes, strict=False)]),
        way=joined([network.way for network in networks]),
        required=np.concatenate([network.required for network in networks]),
        line=joined(owners),
        length=np.concatenate([network.length for network in networks]),
        cost=np.concatenate([network.cost for network in networks]),
        points=np.concatenate([network.points for network in networks]),
        starts=np.concatenate(
            [
                np.zeros(1, np.int64),
                *(n.starts[1:] + first for n, first in zip(networks, points, strict=False)),
            ]
        ),
        line_points=whole.line_points,
        line_starts=whole.line_starts,
        once=_all_or_none([network.once for network in networks]),
        end_cost=_all_or_none([network.end_cost for network in networks]),
        at_edge=_all_or_none([network.at_edge for network in networks]),
        fill=_all_or_none([network.fill for network in networks]),
    )


def _all_or_none(arrays: Sequence[npt.NDArray[_Number] | None]) -> npt.NDArray[_Number] | None:
    known = [array for array in arrays if array is not None]
    return np.concatenate(known) if len(known) == len(arrays) else None


def join_runs(parts: Sequence[Runs], networks: Sequence[Network]) -> Runs:
    """The runs of all hoopings one after the other; costs and bounds add up."""
    edges = np.cumsum([0, *(len(network.u) for network in networks)])
    walked = np.cumsum([0, *(len(runs.edges) for runs in parts)])
    costs: dict[str, float] = {}
    for runs in parts:
        for word, cost in runs.parts.items():
            costs[word] = costs.get(word, 0.0) + cost
    return Runs(
        edges=np.concatenate([r.edges + first for r, first in zip(parts, edges, strict=False)]),
        forward=np.concatenate([runs.forward for runs in parts]),
        repeat=np.concatenate([runs.repeat for runs in parts]),
        starts=np.concatenate(
            [
                np.zeros(1, np.int64),
                *(r.starts[1:] + first for r, first in zip(parts, walked, strict=False)),
            ]
        ),
        cost=sum(runs.cost for runs in parts),
        least_cost=sum(runs.least_cost for runs in parts),
        optimal=all(runs.optimal for runs in parts),
        cut_cost=parts[0].cut_cost,
        turn_cost=parts[0].turn_cost,
        ends_inside=sum(runs.ends_inside for runs in parts),
        parts=costs,
        habit=_joined_habit([runs.habit for runs in parts]),
    )


def _joined_habit(parts: Sequence[Habit | None]) -> Habit | None:
    known = [habit for habit in parts if habit is not None]
    if not known:
        return None
    least = [habit.least_runs for habit in known if habit.least_runs is not None]
    return Habit(
        order=known[0].order,
        least_cost=sum(habit.least_cost for habit in known),
        optimal=all(habit.optimal for habit in known),
        free_cost=sum(habit.free_cost for habit in known),
        least_runs=sum(least) if len(least) == len(known) else None,
    )


def mark_again(share: Share, sewn: Sewn) -> Sewn:
    """Stitches past a border, where an earlier hooping has sewn, count as sewn over again."""
    if not len(share.again) or not len(sewn):
        return sewn
    drawn = shapely.union_all(shapely.linestrings(share.again))
    shapely.prepare(drawn)
    on_it: Bools = np.asarray(
        shapely.dwithin(drawn, shapely.points(sewn.x / 10, sewn.y / 10), _ON_LINE_MM)
    )
    both = np.zeros(len(sewn), bool)
    both[1:] = on_it[1:] & on_it[:-1] & (sewn.run[1:] == sewn.run[:-1])
    again = both & (sewn.kind == Kind.LINE)
    # a run's first point carries the kind of its first stitch
    first = np.flatnonzero(np.diff(sewn.run, prepend=-1))
    first = first[first + 1 < len(sewn)]
    again[first] = again[first + 1] & (sewn.kind[first] == Kind.LINE)
    return replace(sewn, kind=np.where(again, int(Kind.DOUBLE), sewn.kind))


def in_field(hooping: Hooping, sewn: Sewn) -> Sewn:
    """Needle points that rounding led out of a field by a tenth, on its rim."""
    if hooping.place is None:
        return sewn
    tenths = np.array(hooping.place) / NEEDLE_GRID_MM
    low, high = np.ceil(tenths[:2] - _EXACT), np.floor(tenths[2:] + _EXACT)
    points = np.column_stack([sewn.x, sewn.y])
    near = (points >= low - 1) & (points <= high + 1)
    points = np.where(near, np.clip(points, low, high), points).astype(np.int64)
    return replace(sewn, x=points[:, 0], y=points[:, 1])


def join_sewn(parts: Sequence[tuple[Hooping, Sewn]]) -> tuple[Sewn, tuple[Hooping, ...]]:
    """All needle points in sewing order, run numbers counting on, and what is whose.

    Returns:
        The needle points, with the origin of the first; each hooping with its own.
    """
    hoopings: list[Hooping] = []
    run: list[Ints] = []
    via_run: list[Ints] = []
    first, number = 0, 0
    for hooping, sewn in parts:
        last = first + len(sewn) - 1
        hoopings.append(replace(hooping, first=first, last=last, origin=sewn.origin))
        run.append(sewn.run + number)
        via_run.append(sewn.via_run + number)
        first, number = last + 1, number + (int(sewn.run[-1]) + 1 if len(sewn) else 0)
    whole = Sewn(
        x=np.concatenate([sewn.x for _, sewn in parts]),
        y=np.concatenate([sewn.y for _, sewn in parts]),
        run=np.concatenate(run),
        kind=np.concatenate([sewn.kind for _, sewn in parts]),
        via=np.concatenate([sewn.via for _, sewn in parts]),
        via_run=np.concatenate(via_run),
        origin=parts[0][1].origin,
    )
    return whole, tuple(hoopings)
