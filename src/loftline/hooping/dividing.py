"""The panel's lines shared out among hoopings, in the order they are sewn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftline.hooping.bound import least_hoopings
from loftline.hooping.covering import Cover, Size, cover, fewest
from loftline.hooping.sharing import Share, field_off, make_shares
from loftline.hooping.strips import Sewing
from loftline.project import Project
from loftline.values import Floats, Hooping, Ints, Lines, Network, Panel


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


def divide(project: Project, panel: Panel, lines: Lines, network: Network) -> Division:
    """Divide the panel among the fewest hoopings.

    Args:
        project: the hoops and how they may lie.
        panel: folds and keep-outs, which borders keep away from.
        lines: settled, as the network has them.
        network: where lines cross.

    Returns:
        One share without a hoop, and where one hooping holds the panel.
    """
    hoops = _hoops(project)
    if not hoops or not len(lines):
        field = _field(project, hoops[0]) if hoops else None
        hoop = hoops[0] if hoops else None
        return _undivided(Hooping(field=field, hoop=hoop, off=field_off(project)), lines)
    one = _one_for_all(project, panel, hoops)
    if one is not None:
        return _undivided(one, lines)
    sewing = Sewing.of(panel, lines.points, lines.starts, _crossings(network))
    turning = project.machine.hoop_turning
    found = [(cover(sewing, _field(project, hoop), turning), hoop) for hoop in hoops]
    best, hoop = min(found, key=lambda one: (*one[0].price, one[1][0] * one[1][1]))
    least = min(
        least_hoopings(sewing, _field(project, each), turning=turning != "none") for each in hoops
    )
    each = None
    if turning == "all alike" and len(best.cells) > least:
        each = fewest(sewing, _field(project, hoop), "each")
    return Division(
        shares=make_shares(project, panel, lines, best, hoop, _rank(project, best)),
        least=min(least, len(best.cells)),
        near=best.near,
        whole=False,
        each=each,
    )


def _hoops(project: Project) -> tuple[Size, ...]:
    machine = project.machine
    if machine.guided == "hand":
        return ()
    return machine.hoops or (() if machine.hoop is None else (machine.hoop,))


def _field(project: Project, hoop: Size) -> Size:
    margin, room = project.machine.hoop_margin, project.machine.hoop_room
    return (
        hoop[0] - 2 * margin - room.left - room.right,
        hoop[1] - 2 * margin - room.front - room.back,
    )


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
