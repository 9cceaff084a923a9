"""Whether a fold leaves room for the panel's thickness and what the bag holds.

It matters where one part lies over another and a third joins them: a flap over a front, both
hanging from the back. The flap's fold then bends round the front's edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from loftline.errors import Finding
from loftline.panel.closed_bag import ClosedBag
from loftline.project import Project
from loftline.trade.fabrics import fabric_thickness
from loftline.trade.foams import loose_thickness
from loftline.units import SAME_PLACE_MM, format_length, show
from loftline.values import Point

MOVE = "move the other half"


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room that a closure has at the fold of its outer part.

    Attributes:
        fold: its name.
        missing: how much farther from the fold the inner part's finished edge should lie, mm.
        inner: the part the fold goes round.
        past: how far that part's finished edge reaches past the fold, mm; 0 where it does not.
        place: where the other half must lie so that both meet all the same.
        flat: whether the fold bends flat, so that nothing tells how deep the bag is there.
    """

    fold: str
    missing: float
    inner: str
    past: float
    place: Point
    flat: bool = True


def least_room(thickness: float, contents: float) -> float:
    """How far below the fold the front's finished edge must lie, mm.

    Reference 35d, from half-circle bends: pi (g + 2 t) / 4 - (g + t) / 2.

    Args:
        thickness: of the panel, mm.
        contents: of what the bag holds, mm.

    >>> round(least_room(4.5, 0), 2), round(least_room(4.5, 20), 2)
    (4.82, 10.53)
    """
    return math.pi * (contents + 2 * thickness) / 4 - (contents + thickness) / 2


def needed_room(project: Project) -> float:
    """How far below a fold an edge must lie with this project's layers and contents, mm."""
    outer, foam = project.layers.outer, project.layers.foam
    thickness = fabric_thickness(outer.kind) if outer.thickness is None else outer.thickness
    thickness += loose_thickness(foam.kind) if foam.thickness is None else foam.thickness
    return least_room(thickness, project.layers.contents or 0.0)


def room_at_fold(bag: ClosedBag, home: str, other: str, at: Point, need: float) -> Room | None:
    """The room of a closure whose halves lie on two parts that a third one joins.

    The fold rises by what is missing; what hangs from it then meets the inner part so much
    nearer to that part's edge, twice over (reference 35d).

    Args:
        bag: the closed bag.
        home: the part of the first half.
        other: the part of the other half.
        at: where folding brings the other half.
        need: least distance of the inner part's finished edge from the fold, mm.

    Returns:
        ``None`` for a closure that no fold goes round: at a mouth, or over more folds than
        the two that are reckoned with.
    """
    steps = bag.folds_between(home, other)
    if len(steps) != 2:
        return None
    joint = steps[0][0]
    first, second = (bag.layers[name] - bag.layers[joint] for name in (home, other))
    if first * second <= 0:  # the joining part lies between them
        return None
    inner = home if abs(first) < abs(second) else other
    fold = steps[1][1] if inner == home else steps[0][1]
    closed = np.array(bag.moves[other](at))
    start, end = (np.array(bag.moves[joint](point)) for point in (fold.start, fold.end))
    along = (end - start) / np.hypot(*(end - start))
    square = np.array([-along[1], along[0]])
    above = float((start - closed) @ square)
    if abs(above) < SAME_PLACE_MM:
        return None
    up = square * math.copysign(1.0, above)  # from the closure to the fold
    x0, y0, x1, y1 = bag.areas[inner].bounds
    far = 2 * (x1 - x0 + y1 - y0)
    flat = bag.moves[inner].inverse()
    ends = flat.points(np.array([closed - far * up, closed + far * up]))
    column = shapely.intersection(LineString(ends), bag.sewn[inner])
    if column.is_empty:
        return None
    edge = float((bag.moves[inner].points(shapely.get_coordinates(column)) @ up).max())
    below = float(start @ up) - edge
    missing = max(0.0, need - below)
    # the inner half goes up with the outer one's fold, the outer half farther down
    shift = 2 * missing * up * (1.0 if other == inner else -1.0)
    x, y = (closed + shift).tolist()
    return Room(
        fold=fold.name,
        missing=missing,
        inner=inner,
        past=max(0.0, -below),
        place=bag.moves[other].inverse()((x, y)),
        flat=not fold.over,
    )


def depth_findings(
    rooms: Sequence[Room], gussets: Sequence[tuple[str, float]], project: Project
) -> list[Finding]:
    """A note for each fold that bends flat over a bag whose gusset makes it deep."""
    if not gussets or project.layers.contents is not None:
        return []
    name, width = max(gussets, key=lambda gusset: gusset[1])
    deep = format_length(width, project.units)
    return [
        Finding(
            code="closes-flat-over-depth",
            severity="note",
            where=fold,
            message=f"the part {show(name)} makes the bag {deep} deep, but the other half beyond "
            f"the fold {show(fold)} is placed as if the bag closes flat there",
            remedy=f'if it stays that deep, set layers.contents = "{deep}", or give two folds '
            'with bends = "square"',
        )
        for fold in dict.fromkeys(room.fold for room in rooms if room.flat)
    ]


def room_findings(rooms: Sequence[Room], project: Project) -> list[Finding]:
    """The missing millimetres of each fold that a closure needs, and what is done about them."""
    moved = project.panel.fold_room == MOVE
    if moved and not rooms:
        return [
            Finding(
                code="fold-room-unused",
                severity="note",
                where="panel.fold_room",
                message="no other half is moved: only where one part lies over another and a "
                "third joins them, as a flap over a front, does a fold need room",
            )
        ]
    worst: dict[str, Room] = {}
    for room in rooms:
        if room.fold not in worst or room.missing > worst[room.fold].missing:
            worst[room.fold] = room
    findings = []
    for fold, room in worst.items():
        if room.missing < SAME_PLACE_MM:
            continue
        units = project.units
        much = f'the fold "{fold}" lacks {format_length(room.missing, units)} of room for panel '
        much += "and contents"
        if room.past > SAME_PLACE_MM:
            much += f' (the part "{room.inner}" reaches {format_length(room.past, units)} past it)'
        twice = format_length(2 * room.missing, units)
        findings.append(
            Finding(
                code="no-room-at-fold",
                severity="note" if moved else "warning",
                where=fold,
                message=f"{much}; other halves are moved by {twice}"
                if moved
                else f"{much}, so the two halves of a closure miss each other by {twice}",
                remedy="" if moved else f'set panel.fold_room = "{MOVE}"',
            )
        )
    return findings
