"""Directions of lines in a given sequence: exact, by dynamic programming over two ways each.

What has been sewn matters to what follows only through the place where it ended. So for
each line and each way to sew it, the cheapest beginning is enough (Held & Karp's principle
on a fixed sequence); the work is that of four links a line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np

from loftline.errors import Step, does_nothing
from loftline.runs.laying import Walk, ends_of, turned_round
from loftline.runs.orders.links import Links
from loftline.values import Network

_STRIDE = 1000
"""Stretches between two progress steps."""


class Joints(Protocol):
    """What links and runs' ends cost, in thousandths."""

    def end(self, node: int) -> int:
        """What a run's end costs there."""

    def cost(self, a: int, b: int) -> int:
        """What the cheapest link costs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Pieces that are sewn one after the other, all of them this way or all of them back.

    Attributes:
        ends: nodes where each piece begins and ends.
        inner: what is sewn within and between the pieces besides lines, in thousandths.
    """

    pieces: tuple[Walk, ...]
    ends: tuple[tuple[int, int], ...]
    inner: int

    @classmethod
    def of(cls, network: Network, pieces: Sequence[Walk], links: Links, within: int = 0) -> Stretch:
        """Reckon the links between the pieces; ``within`` is what they hold themselves."""
        ends = tuple(ends_of(network, piece) for piece in pieces)
        between = sum(links.cost(a[1], b[0]) for a, b in pairwise(ends))
        return cls(pieces=tuple(pieces), ends=ends, inner=within + between)

    def gate(self, *, back: bool) -> tuple[int, int]:
        """Where it begins and ends."""
        first, last = self.ends[0][0], self.ends[-1][1]
        return (last, first) if back else (first, last)

    def sewn(self, *, back: bool) -> list[Walk]:
        """Its pieces in sewing order."""
        return [turned_round(piece) for piece in self.pieces[::-1]] if back else list(self.pieces)


Choice = tuple[Stretch, bool, bool]
"""A stretch, whether it may be sewn this way, whether back."""

Block = list[list[list[Choice]]]
"""Sequences, one of which is sewn: one after the other, one of several stretches each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The cheapest choice.

    Attributes:
        cost: in thousandths.
        sewn: stretches in order, each with whether it is sewn back.
    """

    cost: int
    sewn: list[tuple[Stretch, bool]]


@dataclass(frozen=True, slots=True)
class _State:
    """The cheapest beginning that ends at a place; linked to what came before."""

    cost: int
    at: int
    before: _State | None
    stretch: Stretch | None
    back: bool


def best_directions(blocks: Sequence[Block], links: Joints, *, step: Step = does_nothing) -> Chosen:
    """The cheapest choice of sequences and directions, the two ends of the whole counted.

    Args:
        blocks: one sequence of each is sewn, in order.
        links: between line ends.
        step: progress callback.
    """
    count = sum(len(sequence) for block in blocks for sequence in block)
    done = 0
    states = [_State(0, -1, None, None, False)]
    for block in blocks:
        after: dict[int, _State] = {}
        for sequence in block:
            here = states
            for choices in sequence:
                if done % _STRIDE == 0:
                    step("orders", done, count)
                done += 1
                here = _extended(here, choices, links)
            for state in here:
                if state.at not in after or state.cost < after[state.at].cost:
                    after[state.at] = state
        states = list(after.values()) if after else states
    last = min(states, key=lambda state: state.cost + links.end(state.at))
    return Chosen(cost=last.cost + links.end(last.at), sewn=_read_back(last))


def _read_back(last: _State) -> list[tuple[Stretch, bool]]:
    chosen: list[tuple[Stretch, bool]] = []
    state: _State | None = last
    while state is not None and state.stretch is not None:
        chosen.append((state.stretch, state.back))
        state = state.before
    return chosen[::-1]


def _extended(states: list[_State], choices: list[Choice], links: Joints) -> list[_State]:
    found = []
    for stretch, this_way, way_back in choices:
        for back, may in ((False, this_way), (True, way_back)):
            if not may:
                continue
            entry, leave = stretch.gate(back=back)

            def cost(state: _State, entry: int = entry) -> int:
                if state.stretch is None:
                    return links.end(entry)
                return state.cost + links.cost(state.at, entry)

            before = min(states, key=cost)
            found.append(_State(cost(before) + stretch.inner, leave, before, stretch, back))
    return found


def lay(network: Network, chosen: Sequence[tuple[Stretch, bool]], links: Links) -> list[Walk]:
    """The runs: pieces joined by travel where that costs no more than a thread cut."""
    pieces = [piece for stretch, back in chosen for piece in stretch.sewn(back=back)]
    ends = [ends_of(network, piece) for piece in pieces]
    joints = [(a[1], b[0]) for a, b in pairwise(ends)]
    joined = [links.travel(a, b) is not None for a, b in joints]
    asked = [joint for joint, on in zip(joints, joined, strict=True) if on and joint[0] != joint[1]]
    paths = iter(links.paths(asked))
    runs: list[list[Walk]] = [[turned_round(links.leaving(ends[0][0])), pieces[0]]]
    for piece, (leave, entry), on in zip(pieces[1:], joints, joined, strict=True):
        if not on:
            runs[-1].append(links.leaving(leave))
            runs.append([turned_round(links.leaving(entry))])
        elif leave != entry:
            runs[-1].append(next(paths))
        runs[-1].append(piece)
    runs[-1].append(links.leaving(ends[-1][1]))
    return [
        (np.concatenate([edges for edges, _ in run]), np.concatenate([way for _, way in run]))
        for run in runs
    ]
