"""The habits: in which sequence the channels of a family are sewn, and which way each may be.

One function a habit. Each answers with the few sequences that the habit leaves open, from
which the cheapest is taken; within each, the directions are free where the habit says
nothing of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from loftline.geometry import axes
from loftline.runs.orders.channels import Family
from loftline.runs.orders.practice import Practice
from loftline.values import Bools, Ints

_ALIKE_MM = 0.1
"""Channels as near as this to the middle are both the centre line."""

_ALONG = np.cos(np.radians(45.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """Channels in sewing order.

    Attributes:
        channels: ``(n,)`` indices into the family.
        may: ``(n, 2)`` whether each may be sewn along the family's angle, and against it.
    """

    channels: Ints
    may: Bools


Rule = Callable[[Family, Practice], list[Sequence]]


def one_way(family: Family, _practice: Practice) -> list[Sequence]:
    """All in the same direction, side by side."""
    return [
        _sequence(order, np.tile(way, (len(order), 1)))
        for order in _side_by_side(family)
        for way in ((True, False), (False, True))
    ]


def alternate(family: Family, _practice: Practice) -> list[Sequence]:
    """Side by side, each against the one before."""
    found = []
    for order in _side_by_side(family):
        odd = np.arange(len(order)) % 2 == 1
        found += [_sequence(order, np.column_stack([way, ~way])) for way in (odd, ~odd)]
    return found


def centre_out(family: Family, _practice: Practice) -> list[Sequence]:
    """The centre line first, then outward: one half, then the other."""
    offset = np.array([channel.offset for channel in family.channels])
    away = np.abs(offset - (offset[0] + offset[-1]) / 2)
    middles = np.flatnonzero(away < away.min() + _ALIKE_MM)
    return [_sequence(order) for c in middles.tolist() for order in _halves(c, len(offset))]


def beside_the_last_line(family: Family, practice: Practice) -> list[Sequence]:
    """From the centre line by halves, a sewn line always on the guide bar's side.

    A bar at the maker's right reaches to the left of the direction in which she sews.
    """
    found = []
    for sequence in centre_out(family, practice):
        order = sequence.channels
        # to the left of the family's angle, the last line lies at the right of it
        leftward = order > order[0]
        along = ~leftward if practice.bar_right else leftward
        may = np.column_stack([along, ~along])
        may[0] = True
        found.append(_sequence(order, may))
    return found


def from_an_edge(family: Family, practice: Practice) -> list[Sequence]:
    """From the closed edge away: next to it first, or each line away from it.

    Lines that run more along the edge than towards it are sewn one after the other away from
    it, in either direction; the others side by side, each from the edge inward. From a fold
    both sides are sewn outward in turn.
    """
    edge = practice.closed_edge
    if edge is None:
        raise ValueError("the order from an edge needs the edge")
    along, across = axes(family.angle)
    inward = np.asarray(edge.inward)
    if abs(float(along @ inward)) > _ALONG and not edge.both_sides:
        away = float(along @ inward) > 0
        return [
            _sequence(order, np.tile((away, not away), (len(order), 1)))
            for order in _side_by_side(family)
        ]
    offset = np.array([channel.offset for channel in family.channels])
    if edge.both_sides:
        nearest = int(np.abs(offset - float(np.asarray(edge.at) @ across)).argmin())
        return [_sequence(order) for order in _halves(nearest, len(offset))]
    up = float(across @ inward)
    if abs(up) < 1e-9:
        return [_sequence(order) for order in _side_by_side(family)]
    order = np.arange(len(offset))
    return [_sequence(order if up > 0 else order[::-1])]


RULES: Final[Mapping[str, Rule]] = MappingProxyType(
    {
        "one way": one_way,
        "alternate": alternate,
        "centre out": centre_out,
        "beside the last line": beside_the_last_line,
        "from an edge": from_an_edge,
    }
)
"""Habits by their word in the project file."""


def sequences(rule: Rule, family: Family, practice: Practice) -> list[Sequence]:
    """What a habit leaves open, as far as the machine's throat allows.

    Of the sequences those are kept in which the panel reaches least beyond the throat, and
    a channel that may be sewn both ways is sewn the way it fits, if it fits one way only.
    """
    asked = rule(family, practice)
    if practice.throat is None:
        return asked
    along, _ = axes(family.angle)
    over = np.column_stack(
        [
            practice.beyond(family.at, np.tile(way * along, (len(family.at), 1)))
            for way in (1.0, -1.0)
        ]
    )
    kept, least = [], []
    for sequence in asked:
        mine = np.where(sequence.may, over[sequence.channels], np.inf)
        best = mine.min(axis=1)
        kept.append(_sequence(sequence.channels, mine <= best[:, None] + _ALIKE_MM))
        least.append(float(best.sum()))
    return [
        sequence for sequence, far in zip(kept, least, strict=True) if far <= min(least) + _ALIKE_MM
    ]


def _sequence(order: Ints, may: Bools | None = None) -> Sequence:
    free = np.ones((len(order), 2), bool)
    return Sequence(channels=order, may=free if may is None else np.asarray(may, bool))


def _side_by_side(family: Family) -> list[Ints]:
    order = np.arange(len(family.channels))
    return [order, order[::-1]]


def _halves(first: int, count: int) -> list[Ints]:
    """From one channel outward: one half, then the other; either half first."""
    up, down = np.arange(first + 1, count), np.arange(first - 1, -1, -1)
    start = np.array([first])
    return [np.concatenate([start, up, down]), np.concatenate([start, down, up])]
