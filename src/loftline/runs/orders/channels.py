"""Channels: the lines of a family side by side, told apart by how far across they lie.

A keep-out cuts a channel into several lines; they keep their order along it. Waves and lines
that bend round a keep-out are channels too: their rows say where they lie.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftline.geometry import axes
from loftline.runs.ends import MERGE_MM
from loftline.runs.laying import Walk, turned_round
from loftline.values import Floats, Ints, Lines, Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One channel.

    Attributes:
        offset: mm across the family from the panel's origin, growing to the left of its angle.
        pieces: its lines in order along the family's angle, each sewn that way.
    """

    offset: float
    pieces: tuple[Walk, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Parallel channels of one design, from right to left of their angle.

    Attributes:
        angle: degrees.
        at: ``(n, 2)`` a place on each channel.
    """

    angle: float
    channels: tuple[Channel, ...]
    at: Floats


def channel_families(network: Network, lines: Lines) -> dict[int, Family]:
    """The families whose lines all lie side by side, by their number."""
    beside = np.isfinite(lines.heading) & ~lines.closed
    beside &= ~np.isin(lines.family, lines.family[~beside])
    needed = np.flatnonzero(network.required)
    owner = network.line[needed]
    begin = np.searchsorted(owner, np.arange(len(lines) + 1))
    found = {}
    for number in np.unique(lines.family[beside]).tolist():
        members = np.flatnonzero(lines.family == number)
        found[number] = _family(lines, members, needed, begin)
    return found


def _family(lines: Lines, members: Ints, needed: Ints, begin: Ints) -> Family:
    angle = float(lines.heading[members[0]])
    along, across = axes(angle)
    first = lines.points[lines.starts[members]]
    last = lines.points[lines.starts[members + 1] - 1]
    middle = (first + last) / 2
    place, offset = middle @ along, middle @ across
    if lines.rows is not None:
        row = lines.rows[members, 1]
        offset = np.where(np.isnan(row), offset, row)
    order = np.argsort(offset, kind="stable")
    # ends that were moved onto a shared node tilt a line by less than this
    fresh = np.append(True, np.diff(offset[order]) > MERGE_MM)
    group = np.empty(len(members), np.int64)
    group[order] = np.cumsum(fresh) - 1
    channels = []
    for k in range(int(group.max()) + 1):
        inside = np.flatnonzero(group == k)
        inside = inside[np.argsort(place[inside], kind="stable")]
        pieces = []
        for i in inside.tolist():
            line = int(members[i])
            edges = needed[begin[line] : begin[line + 1]]
            walk: Walk = (edges, np.ones(len(edges), bool))
            pieces.append(walk if (last[i] - first[i]) @ along >= 0 else turned_round(walk))
        channels.append(Channel(offset=float(offset[inside].mean()), pieces=tuple(pieces)))
    at = np.array([channel.offset for channel in channels])[:, None] * across
    return Family(angle=angle, channels=tuple(channels), at=at)
