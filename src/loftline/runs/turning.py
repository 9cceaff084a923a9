"""Sharp turns at the ends of lines, priced apart; and turns counted as the report does.

A line that meets the edge at 45 degrees can be left along the edge by a turn of 45 or of
135 degrees, and which of the two it is often costs little: it depends on which neighbour it
is linked with. The sharper side is given a surcharge while links are chosen. The surcharge
is no part of what a plan costs, nor of its bound: both are those of the sewing alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from loftline.geometry import ranges
from loftline.runs.laying import Priced, Walk, end_costs, headings, price
from loftline.swings import count_swings
from loftline.values import Bools, Floats, Ints, Network

ALIKE = 1e-6
"""Costs as near as this are the same."""

_LEAST_END = 1.0
_EASY = math.radians(45.0)
_SHARP = math.radians(135.0)


def sharp_surcharge(u: Ints, v: Ints, required: Bools, heading: Floats, price: float) -> Floats:
    """Surcharge on each edge for the sharp turns it asks for at the ends of lines.

    At a line's end the gentlest edge is free and the others pay for what they are sharper,
    in proportion from 45 degrees (nothing) to 135 degrees (the whole price). Sewing back
    over the line itself is a turn of 180 degrees. An edge that passes a line's end pays too,
    which is not right but keeps the surcharge on edges.

    Args:
        u: ``(m,)`` one end of each edge.
        v: ``(m,)`` the other end.
        required: ``(m,)`` pieces of lines.
        heading: ``(2 m,)`` direction in radians in which each edge leaves u and v.
        price: of a turn of 135 degrees where 45 degrees were to be had, in mm of sewing.

    Returns:
        ``(m,)`` at least 0.
    """
    n = int(max(u.max(initial=-1), v.max(initial=-1))) + 1
    node = np.column_stack([u, v]).ravel()
    line = np.repeat(required, 2)
    lines_at = np.bincount(node[line], minlength=n)
    out = np.full(n, np.nan)
    out[node[line]] = heading[line]
    half = np.flatnonzero(lines_at[node] == 1)
    apart = np.abs(heading[half] - out[node[half]]) % (2 * math.pi)
    turn = math.pi - np.minimum(apart, 2 * math.pi - apart)
    sharp = np.maximum(turn - _EASY, 0.0) / (_SHARP - _EASY)
    gentlest = np.full(n, np.inf)
    way = ~line[half]
    np.minimum.at(gentlest, node[half[way]], sharp[way])
    more = np.where(np.isfinite(gentlest[node[half]]), sharp - gentlest[node[half]], 0.0)
    surcharge = np.zeros(len(u))
    np.add.at(surcharge, half // 2, price * np.maximum(more, 0.0))
    return surcharge


def count_turns(network: Network, walks: Sequence[Walk]) -> int:
    """Turns of the panel along some runs as they are drawn."""
    edges = np.concatenate([edges for edges, _ in walks])
    forward = np.concatenate([way for _, way in walks])
    run = np.repeat(np.arange(len(walks)), [len(edges) for edges, _ in walks])
    count = np.diff(network.starts)[edges] - 1
    each = np.repeat(np.arange(len(edges)), count)
    offset = ranges(np.zeros(len(edges), np.int64), count)
    first = network.starts[:-1][edges][each]
    at = np.where(forward[each], first + offset, first + count[each] - 1 - offset)
    step = network.points[at + 1] - network.points[at]
    return count_swings(np.where(forward[each], 1.0, -1.0)[:, None] * step, run[each])


def weigh_turns(
    network: Network,
    cheapest: Priced,
    turn_cost: float,
    plan: Callable[[Floats, Floats], Sequence[Walk]],
) -> Priced:
    """The least of cost and turns together among a few plans.

    They are the cheapest, one that leaves lines along the gentler side, and one that cuts
    the thread rather than turn twice.

    Args:
        network: the edges.
        cheapest: the plan of least cost.
        turn_cost: price of a turn of the panel, mm of sewing; 0 leaves all as it is.
        plan: makes other plans, given other costs ``(m,)`` of the edges and ``(n,)`` of runs'
            ends.
    """
    if turn_cost <= 0:
        return cheapest
    ends = end_costs(network)
    surcharge = sharp_surcharge(
        network.u, network.v, network.required, headings(network), turn_cost
    )
    best, total = cheapest, _with_turns(network, cheapest, turn_cost)
    for cost, at in (
        (network.cost + surcharge, ends),
        (network.cost, np.maximum(ends - turn_cost, _LEAST_END)),
    ):
        other = price(network, plan(cost, at))
        least = _with_turns(network, other, turn_cost)
        if least < total - ALIKE:
            best, total = other, least
    return best


def _with_turns(network: Network, plan: Priced, turn_cost: float) -> float:
    return plan.cost + turn_cost * count_turns(network, plan.walks)
