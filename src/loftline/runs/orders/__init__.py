"""Orders by a maker's habit: which channel after which, and which way each.

Channels are sewn family by family, in the order of the designs. The habit says which after
which (:mod:`.rules`); directions that it leaves free are chosen exactly (:mod:`.directions`);
from one line to the next the needle travels along ways, or the thread is cut, whichever
costs less (:mod:`.links`). What is no channel is sewn by least cost when its design's turn
comes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.laying import (
    Walk,
    end_costs,
    ends_of,
    first_run,
    headings,
    in_sewing_order,
)
from loftline.runs.orders.channels import Family, straight_families
from loftline.runs.orders.directions import Block, Stretch, best_directions, lay
from loftline.runs.orders.links import Links, total
from loftline.runs.orders.practice import Practice
from loftline.runs.orders.rules import RULES, Rule, sequences
from loftline.runs.parity import MICRO
from loftline.runs.planning import plan_network
from loftline.values import Ints, Lines, Network

__all__ = ["RULES", "Habitual", "Practice", "plan_by_habit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habitual:
    """Runs in a habit's order.

    Attributes:
        least_cost: proved for this habit, counted as :class:`~loftline.values.Runs` does.
        optimal: whether the runs are proved to cost no more than they must in this habit,
            whatever the machine's throat.
    """

    walks: list[Walk]
    least_cost: float
    optimal: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Free:
    """Lines of a design that are no channels, planned by least cost.

    Attributes:
        least: no plan of them costs less within, its two outer ends not counted, mm.
    """

    walks: list[Walk]
    least: float


def plan_by_habit(
    network: Network,
    lines: Lines,
    order: str,
    practice: Practice,
    *,
    seed: int = 0,
    step: Step = does_nothing,
) -> Habitual:
    """Plan the runs of a habit.

    Args:
        network: something to sew in it.
        lines: what it was made from.
        order: a key of :data:`RULES`.
        practice: what the habit needs to know.
        seed: for ties among what is no channel.
        step: progress callback.
    """
    families = straight_families(network, lines)
    designs = _in_turn(network, lines, families, seed, step)
    nodes = [
        ends_of(network, piece)
        for design in designs
        for piece in (design.walks if isinstance(design, _Free) else _pieces(design))
    ]
    links = Links(network, np.array(nodes, np.int64), step)
    step("orders", 0, 1)
    blocks = _blocks(network, designs, RULES[order], practice, links)
    chosen = best_directions(blocks, links, step=step)
    least = chosen.cost
    if practice.throat is not None:
        # the throat is no part of the habit: without it a plan may cost less
        anywhere = replace(practice, throat=None)
        least = best_directions(
            _blocks(network, designs, RULES[order], anywhere, links), links
        ).cost
    free = any(isinstance(design, _Free) for design in designs)
    if free:
        bound = _bound(network, designs, RULES[order], replace(practice, throat=None), links)
    else:
        bound = least / MICRO - first_run(network)
    return Habitual(
        walks=lay(network, chosen.sewn, links),
        least_cost=bound,
        optimal=not free and least == chosen.cost,
    )


def _blocks(
    network: Network,
    designs: Sequence[Family | _Free],
    rule: Rule,
    practice: Practice,
    links: Links,
) -> list[Block]:
    return [
        _free_block(network, design, links)
        if isinstance(design, _Free)
        else _block(network, design, rule, practice, links)
        for design in designs
    ]


def _bound(
    network: Network,
    designs: Sequence[Family | _Free],
    rule: Rule,
    practice: Practice,
    links: Links,
) -> float:
    """Where some designs are no channels: each group of families between them by itself.

    Links to and from what is no channel are not counted, since where that is entered and
    left is not looked for.
    """
    least = 0.0
    for is_free, group in groupby(designs, lambda design: isinstance(design, _Free)):
        if is_free:
            least += sum(design.least for design in group if isinstance(design, _Free))
        else:
            blocks = _blocks(network, list(group), rule, practice, links)
            least += best_directions(blocks, links, ends_count=False).cost / MICRO
    return least


def _in_turn(
    network: Network, lines: Lines, families: dict[int, Family], seed: int, step: Step
) -> list[Family | _Free]:
    """Families and what is none, in the order of the designs."""
    _, first = np.unique(lines.family, return_index=True)
    numbers = lines.family[np.sort(first)].tolist()
    designs: list[Family | _Free] = []
    for is_straight, group in groupby(numbers, lambda number: number in families):
        if is_straight:
            designs += [families[number] for number in group]
        else:
            owners = np.flatnonzero(np.isin(lines.family, list(group)))
            designs.append(_freely(network, owners, seed, step))
    return designs


def _pieces(family: Family) -> list[Walk]:
    return [piece for channel in family.channels for piece in channel.pieces]


def _block(network: Network, family: Family, rule: Rule, practice: Practice, links: Links) -> Block:
    stretches = [Stretch.of(network, channel.pieces, links) for channel in family.channels]
    return [
        [
            (stretches[k], this_way, way_back)
            for k, (this_way, way_back) in zip(
                sequence.channels.tolist(), sequence.may.tolist(), strict=True
            )
        ]
        for sequence in sequences(rule, family, practice)
    ]


def _free_block(network: Network, free: _Free, links: Links) -> Block:
    return [
        [
            (
                Stretch.of(network, [walk], links, round(total(network, walk[0]) * MICRO)),
                True,
                True,
            )
            for walk in free.walks
        ]
    ]


def _freely(network: Network, owners: Ints, seed: int, step: Step) -> _Free:
    """Some of the lines by least cost, along ways and themselves."""
    mine = np.isin(network.line, owners)
    use = np.flatnonzero(mine | ~network.required)
    ends = end_costs(network)
    size = int(max(network.u[use].max(), network.v[use].max())) + 1
    walks = plan_network(
        network.u[use],
        network.v[use],
        network.cost[use],
        mine[use],
        first_run(network),
        end_cost=ends[:size],
        once=None if network.once is None else network.once[use],
        heading=headings(network).reshape(-1, 2)[use].ravel(),
        seed=seed,
        step=step,
    )
    needed = float(network.cost[mine].sum())
    least = max(0.0, walks.least_cost - needed - 2.0 * float(ends.max()))
    sewn = [
        (use[np.array(walk, np.int64)], np.array(way, bool))
        for walk, way in zip(walks.walks, walks.directions, strict=True)
    ]
    return _Free(walks=in_sewing_order(network, sewn), least=least)
