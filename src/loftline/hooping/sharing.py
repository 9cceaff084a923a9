"""What each hooping sews: its pieces of lines, its field, the marks it is laid by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from loftline.geometry import pack
from loftline.hooping.covering import Box, Cell, Cover, Size
from loftline.hooping.crosses import ARM_MM, find_crosses
from loftline.hooping.cutting import Stretches, cut_lines
from loftline.hooping.marks import choose_marks, misplacing
from loftline.hooping.overlap import (
    STITCHES,
    CutEnds,
    cut_ends,
    extension,
    place_field,
    wanted_room,
)
from loftline.project import Project
from loftline.units import NEEDLE_GRID_MM
from loftline.values import Bools, Floats, Hooping, Ints, Lines, Panel, Point

_ROUNDING_MM: Final = 0.1
"""Needle points lie on whole tenths: so much of a field is left free."""

Cross = tuple[Point, tuple[int, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one hooping sews.

    Attributes:
        hooping: its field and place; its needle points are not known yet.
        lines: the pieces of lines in it, with what is sewn over again past the borders.
        owner: ``(m,)`` which line of the panel each is a piece of.
        again: ``(k, 2, 2)`` steps of those pieces that an earlier hooping has sewn.
        tips: ``(t, 2)`` where its pieces end because a border cut them.
        crosses: registration crosses that it sews first.
        left: ``(r, 2)`` rests of lines in its cell that are shorter than a stitch and that no
            field has room for.
        seen: ``(e, 2)`` ends of lines that earlier hoopings sew.
    """

    hooping: Hooping
    lines: Lines
    owner: Ints
    again: Floats
    tips: Floats
    crosses: tuple[Point, ...] = ()
    left: Floats = field(default_factory=lambda: np.empty((0, 2)))
    seen: Floats = field(default_factory=lambda: np.empty((0, 2)))


def make_shares(
    project: Project, panel: Panel, lines: Lines, found: Cover, hoop: Size, rank: Ints
) -> tuple[Share, ...]:
    """Cut the lines and share them out.

    Args:
        project: stitch length and throat.
        panel: its extra to trim off.
        lines: whole.
        found: the cells.
        hoop: as written.
        rank: when each cell is sewn.
    """
    cut = cut_lines(lines, found)
    ends = cut_ends(cut)
    stitch = project.quilting.stitch_length
    past = STITCHES[0] * stitch
    reach = [_reach(cut, np.flatnonzero(cut.cell == k)) for k in range(len(found.cells))]
    crosses = find_crosses(panel, found, reach, past)
    room = wanted_room(found.cells, rank, past)
    places = [
        place_field(_with_crosses(reach[k], [one for one in crosses if k in one[1]]), cell, room[k])
        for k, cell in enumerate(found.cells)
    ]
    mine, others = cut.cell[ends.piece], cut.cell[ends.other]
    later = rank[mine] > rank[others]
    shares: dict[int, Share] = {}
    for k in np.unique(cut.cell).tolist():
        cell = found.cells[k]
        pieces = np.flatnonzero(cut.cell == k)
        own_crosses = [(at, pair) for at, pair in crosses if k in pair]
        place = places[k]
        own = np.flatnonzero(later & (mine == k))
        more = {
            (int(ends.piece[end]), int(ends.way[end])): extension(
                cut, ends, int(end), _inner(place), stitch
            )
            for end in own.tolist()
            if not ends.shared[end]
        }
        drawn, again = _drawn(cut, pieces, more)
        hooping = Hooping(
            field=cell.field[::-1] if cell.turned else cell.field,
            hoop=hoop,
            off=field_off(project),
            turn=_turn(project, panel, cell, place),
            cell=_rimmed(cell.box),
            place=place,
            row=cell.row,
            column=cell.column,
        )
        seen = _sewn_ends(cut, rank < rank[k])
        there = [at for at, pair in own_crosses if min(rank[other] for other in pair) < rank[k]]
        fresh = [at for at, _ in own_crosses if at not in there]
        hooping = _marked(hooping, there, fresh, seen)
        line = cut.line[pieces]
        points, starts = pack(drawn)
        whole = np.array([cut.whole(int(piece)) for piece in pieces], bool)
        shares[int(rank[k])] = Share(
            hooping=hooping,
            lines=Lines(
                points=points,
                starts=starts,
                fill=lines.fill[line],
                family=lines.family[line],
                angle=lines.angle[line],
                closed=lines.closed[line] & whole,
                rows=None if lines.rows is None else lines.rows[line],
            ),
            owner=line,
            again=again,
            tips=_tips(ends, mine == k, more),
            crosses=tuple(at for at, _ in own_crosses),
            left=cut.left[cut.beside == k],
            seen=seen,
        )
    return tuple(shares[rank] for rank in sorted(shares))


def _tips(ends: CutEnds, mine: Bools, more: dict[tuple[int, int], Floats]) -> Floats:
    """Where pieces of a cell end for a border's sake, those of overlaps included."""
    tips = [ends.at[mine], *(points[-1:] for points in more.values())]
    return np.concatenate(tips)


def _with_crosses(reach: Box, crosses: Sequence[Cross]) -> Box:
    x = [reach[0], reach[2], *(at[0] + side for at, _ in crosses for side in (-ARM_MM, ARM_MM))]
    y = [reach[1], reach[3], *(at[1] + side for at, _ in crosses for side in (-ARM_MM, ARM_MM))]
    return (min(x), min(y), max(x), max(y))


def settled(share: Share, origin: tuple[int, int]) -> Hooping:
    """The hooping once its needle points are known: its field, and its marks in that.

    The middle of the hoop is the zero of its file, and that the middle of what is sewn; with
    room to spare it is not where the field was put when the lines were shared out.

    Args:
        share: with all the ends of lines that may be marks.
        origin: where the zero of its file lies, tenths of a millimetre.
    """
    hooping = share.hooping
    if hooping.seen is None or hooping.place is None:
        return hooping
    middle = np.array(origin) * NEEDLE_GRID_MM + np.array(hooping.seen_off)
    half = np.array(hooping.seen) / 2
    (x0, y0), (x1, y1) = (middle - half).round(6).tolist(), (middle + half).round(6).tolist()
    there = [mark.at for mark in hooping.marks if mark.kind == "cross"]
    fresh = [at for at in share.crosses if at not in there]
    hooping = replace(hooping, place=(x0, y0, x1, y1))
    return _marked(hooping, there, fresh, share.seen) if hooping.marks else hooping


def _marked(
    hooping: Hooping, there: Sequence[Point], fresh: Sequence[Point], ends: Floats
) -> Hooping:
    """With the marks it is laid by; crosses it sews first itself are on the sheet only."""
    place = hooping.place or (0.0, 0.0, 0.0, 0.0)
    middle = ((place[0] + place[2]) / 2, (place[1] + place[3]) / 2)
    marks = choose_marks(there, _within(ends, place), [*fresh, middle])
    off = misplacing(marks, hooping.cell or place)
    return replace(hooping, marks=marks, misplacing=off)


def _sewn_ends(cut: Stretches, earlier: Bools) -> Floats:
    """Ends of lines that earlier hoopings have sewn."""
    there = earlier[cut.cell]
    at: Floats = cut.points[np.concatenate([cut.first[there], cut.last[there]])]
    return at


def _within(at: Floats, place: Box) -> Floats:
    """Those of some places that lie in a field."""
    box = np.array(place).round(6)
    seen = np.flatnonzero(((at.round(6) >= box[:2]) & (at.round(6) <= box[2:])).all(axis=1))
    out: Floats = at[seen]
    return out


def _reach(cut: Stretches, pieces: Ints) -> Box:
    if not len(pieces):
        return (0.0, 0.0, 0.0, 0.0)
    points = np.concatenate([cut.points[cut.first[p] : cut.last[p] + 1] for p in pieces.tolist()])
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return (float(x0), float(y0), float(x1), float(y1))


def _drawn(
    cut: Stretches, pieces: Ints, more: dict[tuple[int, int], Floats]
) -> tuple[list[Floats], Floats]:
    """The pieces with what is sewn past their ends, and that alone as steps."""
    drawn: list[Floats] = []
    again: list[Floats] = []
    none = np.empty((0, 2))
    for piece in pieces.tolist():
        points = cut.points[cut.first[piece] : cut.last[piece] + 1]
        before, after = more.get((piece, -1), none), more.get((piece, 1), none)
        ways = (np.concatenate([points[:1], before]), np.concatenate([points[-1:], after]))
        again.extend(np.stack([way[:-1], way[1:]], axis=1) for way in ways)
        drawn.append(np.concatenate([before[::-1], points, after]))
    return drawn, np.concatenate(again)


def _inner(place: Box) -> Box:
    """The field less what rounding may take."""
    x0, y0, x1, y1 = place
    return (x0 + _ROUNDING_MM, y0 + _ROUNDING_MM, x1 - _ROUNDING_MM, y1 - _ROUNDING_MM)


def _rimmed(box: Box) -> Box:
    x0, y0, x1, y1 = (round(side, 3) for side in box)
    return (x0, y0, x1, y1)


def _turn(project: Project, panel: Panel, cell: Cell, place: Box) -> int:
    """How the hoop lies on the panel, so that the cloth beside it passes the throat."""
    turn = 90 if cell.turned else 0
    throat = project.machine.throat
    if throat is None:
        return turn
    here, there = (towards_pillar(project, panel, place, way) for way in (turn, turn + 180))
    return turn + 180 if here > throat and there < here else turn


def field_off(project: Project) -> tuple[float, float]:
    """How far the field's middle lies from the hoop's: what one side gives the other lacks."""
    room = project.machine.hoop_room
    aside = (room.left - room.right) / 2
    if project.quilting.sewn_from == "back":
        aside = -aside  # as seen through the panel
    return (aside, (room.front - room.back) / 2)


def towards_pillar(project: Project, panel: Panel, place: Box, turn: int) -> float:
    """Cloth at the right of the needle when it sews at the far left of the field, mm."""
    x0, y0, x1, y1 = panel.outline.bounds
    laid = (x0 - panel.overhang, y0 - panel.overhang, x1 + panel.overhang, y1 + panel.overhang)
    if project.quilting.sewn_from == "back":
        turn += 180  # seen through the panel the pillar stands at the other side
    match turn % 360:
        case 0:
            return laid[2] - place[0]
        case 90:
            return laid[3] - place[1]
        case 180:
            return place[2] - laid[0]
        case _:
            return place[3] - laid[1]
