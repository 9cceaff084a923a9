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
from loftline.runs.laying import Walk, ends_of, first_run
from loftline.runs.orders.channels import Family, channel_families
from loftline.runs.orders.directions import Block, Stretch, best_directions, lay
from loftline.runs.orders.freely import AnyPlan, Free
from loftline.runs.orders.links import Links
from loftline.runs.orders.practice import Practice
from loftline.runs.orders.rules import RULES, Rule, sequences
from loftline.runs.parity import MICRO
from loftline.values import Lines, Network

__all__ = ["RULES", "Habitual", "Practice", "plan_by_habit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habitual:
    """Runs in a habit's order.

    Attributes:
        least_cost: proved for this habit, whatever the machine's throat; counted as
            :class:`~loftline.values.Runs` does.
    """

    walks: list[Walk]
    least_cost: float


def plan_by_habit(
    network: Network,
    lines: Lines,
    order: str,
    practice: Practice,
    *,
    effort: float = 1.0,
    seed: int = 0,
    step: Step = does_nothing,
) -> Habitual:
    """Plan the runs of a habit.

    Args:
        network: something to sew in it.
        lines: what it was made from.
        order: a key of :data:`RULES`.
        practice: what the habit needs to know.
        effort: for what is no channel, as of :func:`~loftline.runs.plan_network`.
        seed: for ties among what is no channel.
        step: progress callback.
    """
    families = channel_families(network, lines)
    designs = _in_turn(network, lines, families, effort, seed, step)
    nodes = [
        ends_of(network, piece)
        for design in designs
        for piece in (design.ways_round() if isinstance(design, Free) else _pieces(design))
    ]
    links = Links(network, np.array(nodes, np.int64), step)
    step("orders", 0, 1)
    rule = RULES[order]
    blocks = [
        design.block(network, links)
        if isinstance(design, Free)
        else _block(network, design, rule, practice, links)
        for design in designs
    ]
    chosen = best_directions(blocks, links, step=step)
    least = chosen.cost
    if practice.throat is not None or any(isinstance(design, Free) for design in designs):
        least = min(least, _bound(network, designs, rule, practice, links))
    return Habitual(
        walks=lay(network, chosen.sewn, links), least_cost=least / MICRO - first_run(network)
    )


def _bound(
    network: Network,
    designs: Sequence[Family | Free],
    rule: Rule,
    practice: Practice,
    links: Links,
) -> int:
    """What no plan of the habit costs less than, in thousandths.

    The throat is no part of the habit: without it a plan may cost less. What is no channel
    may be planned in any way.
    """
    anywhere = replace(practice, throat=None)
    free = [design for design in designs if isinstance(design, Free)]
    joints = AnyPlan(links, free)
    numbers = iter(range(len(free)))
    blocks = [
        joints.block(next(numbers))
        if isinstance(design, Free)
        else _block(network, design, rule, anywhere, links)
        for design in designs
    ]
    return best_directions(blocks, joints).cost


def _in_turn(
    network: Network,
    lines: Lines,
    families: dict[int, Family],
    effort: float,
    seed: int,
    step: Step,
) -> list[Family | Free]:
    """Families and what is none, in the order of the designs."""
    _, first = np.unique(lines.family, return_index=True)
    numbers = lines.family[np.sort(first)].tolist()
    designs: list[Family | Free] = []
    for beside, group in groupby(numbers, lambda number: number in families):
        if beside:
            designs += [families[number] for number in group]
        else:
            owners = np.flatnonzero(np.isin(lines.family, list(group)))
            designs.append(Free.of(network, owners, effort, seed, step))
    return designs


def _pieces(family: Family) -> list[Walk]:
    return [piece for channel in family.channels for piece in channel.pieces]


def _block(network: Network, family: Family, rule: Rule, practice: Practice, links: Links) -> Block:
    stretches = [Stretch.of(network, channel.pieces, links) for channel in family.channels]
    return [
        [
            [(stretches[k], this_way, way_back)]
            for k, (this_way, way_back) in zip(
                sequence.channels.tolist(), sequence.may.tolist(), strict=True
            )
        ]
        for sequence in sequences(rule, family, practice)
    ]
