"""The panel's lines shared out among hoopings, in the order they are sewn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from loftline.hooping.bound import least_hoopings
from loftline.hooping.covering import Cover, Size, covers, fewest
from loftline.hooping.sharing import Share, field_off, make_shares
from loftline.hooping.strips import Sewing
from loftline.project import Project
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Floats, Hooping, Ints, Lines, Network, Panel

_EXACT: Final = 1e-6
_MOST: Final = 3
"""Arrangements that are planned to see which is the cheapest."""
_MOST_HOOPINGS: Final = 60
"""In all of them: where one alone takes more, placing it costs far more than thread cuts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """How a panel is hooped.

    Attributes:
        shares: in sewing order.
        least: no arrangement of the hoops needs fewer, as far as is proved.
        near: how often a border had to come too near to a fold or keep-out.
        each: how many hoopings it would be with each row turned by itself, where that is not
            asked for.
        whole: whether one hooping holds all that may be sewn, with every way.
    """

    shares: tuple[Share, ...]
    least: int
    near: int
    whole: bool
    each: int | None = None


def divisions(
    project: Project, panel: Panel, lines: Lines, network: Network
) -> tuple[Division, ...]:
    """Ways to divide the panel among the fewest hoopings.

    Args:
        project: the hoops and how they may lie.
        panel: folds and keep-outs, which borders keep away from.
        lines: settled, as the network has them.
        network: where lines cross.

    Returns:
        In rows and in columns, of each hoop, those that need as few hoopings and as few borders
        near to something as any; the fewest lines cut first. One of one share without a hoop,
        and where one hooping holds the panel.
    """
    hoops = _hoops(project)
    if not hoops or not len(lines):
        field = _field(project, hoops[0]) if hoops else None
        hoop = hoops[0] if hoops else None
        return (_undivided(Hooping(field=field, hoop=hoop, off=field_off(project)), lines),)
    one = _one_for_all(project, panel, hoops)
    if one is not None:
        return (_undivided(one, lines),)
    sewing = Sewing.of(panel, lines.points, lines.starts, _crossings(network))
    turning = project.machine.hoop_turning
    found = [
        (one, hoop) for hoop in hoops for one in covers(sewing, _field(project, hoop), turning)
    ]
    found.sort(key=lambda one: (*one[0].price, one[1][0] * one[1][1]))
    best, hoop = found[0]
    least = min(
        least_hoopings(sewing, _field(project, each), turning=turning != "none") for each in hoops
    )
    each = None
    if turning == "all alike" and len(best.cells) > least:
        each = fewest(sewing, _field(project, hoop), "each")
    return tuple(
        Division(
            shares=make_shares(project, panel, lines, one, own, _rank(project, one)),
            least=min(least, len(one.cells)),
            near=one.near,
            whole=False,
            each=each,
        )
        for one, own in _as_good(found)
    )


def _as_good(found: Sequence[tuple[Cover, Size]]) -> list[tuple[Cover, Size]]:
    """The first few with as few hoopings and borders too near as the best, each cells once."""
    kept: list[tuple[Cover, Size]] = []
    for one, hoop in found:
        known = any(one.cells == other.cells for other, _ in kept)
        if one.price[:2] == found[0][0].price[:2] and not known:
            kept.append((one, hoop))
    return kept[: max(1, min(_MOST, _MOST_HOOPINGS // len(kept[0][0].cells)))]


def _hoops(project: Project) -> tuple[Size, ...]:
    machine = project.machine
    if machine.guided == "hand":
        return ()
    return machine.hoops or (() if machine.hoop is None else (machine.hoop,))


def _field(project: Project, hoop: Size) -> Size:
    margin, room = project.machine.hoop_margin, project.machine.hoop_room
    return (
        _whole(hoop[0] - 2 * margin - room.left - room.right),
        _whole(hoop[1] - 2 * margin - room.front - room.back),
    )


def _whole(side: float) -> float:
    """Rounded down to where a needle point can lie, so that rounding leads none out of it."""
    return round(math.floor(side / NEEDLE_GRID_MM + _EXACT) * NEEDLE_GRID_MM, 1)


def _undivided(hooping: Hooping, lines: Lines) -> Division:
    share = Share(
        hooping=hooping,
        lines=lines,
        owner=np.arange(len(lines)),
        again=np.empty((0, 2, 2)),
        tips=np.empty((0, 2)),
    )
    return Division(shares=(share,), least=1, near=0, whole=True)


def _one_for_all(project: Project, panel: Panel, hoops: tuple[Size, ...]) -> Hooping | None:
    """The smallest hoop that holds all the panel's ways and lines, if there is one."""
    x0, y0, x1, y1 = panel.sewable.bounds
    for hoop in sorted(hoops, key=lambda hoop: hoop[0] * hoop[1]):
        width, height = _field(project, hoop)
        if x1 - x0 <= width and y1 - y0 <= height:
            turn = 0
        elif x1 - x0 <= height and y1 - y0 <= width and project.machine.hoop_turning != "none":
            turn = 90
        else:
            continue
        hooping = Hooping(field=(width, height), hoop=hoop, off=field_off(project), turn=turn)
        size = hooping.seen or (width, height)
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        place = (
            middle[0] - size[0] / 2,
            middle[1] - size[1] / 2,
            middle[0] + size[0] / 2,
            middle[1] + size[1] / 2,
        )
        return replace(hooping, place=place)
    return None


def _crossings(network: Network) -> Floats:
    """Nodes where pieces of several lines meet."""
    sewn = np.flatnonzero(network.required)
    ends = np.concatenate([network.u[sewn], network.v[sewn]])
    pairs = np.unique(np.column_stack([ends, np.tile(network.line[sewn], 2)]), axis=0)
    met = np.bincount(pairs[:, 0], minlength=len(network.nodes)) > 1
    crossings: Floats = network.nodes[met]
    return crossings


def _rank(project: Project, found: Cover) -> Ints:
    """When each cell is sewn."""
    cells = found.cells
    if project.machine.hooping_order == "centre out":
        middle = np.array([[(c.box[0] + c.box[2]) / 2, (c.box[1] + c.box[3]) / 2] for c in cells])
        away = np.hypot(*(middle - middle.mean(axis=0)).T).round(6)
        order = sorted(range(len(cells)), key=lambda k: (away[k], cells[k].row, cells[k].column))
    else:

        def along(k: int) -> tuple[int, int]:
            row, column = cells[k].row, cells[k].column
            if not found.upright:
                row, column = column, row
            return (row, column if row % 2 == 0 else -column)

        order = sorted(range(len(cells)), key=along)
    rank = np.empty(len(cells), np.int64)
    rank[order] = np.arange(len(cells))
    return rank
