"""Other halves of closures: on which part, where, and whether they meet the first."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import shapely
from shapely.affinity import translate

from loftline.errors import Fault, Finding
from loftline.geometry import place
from loftline.panel.closed_bag import ClosedBag
from loftline.panel.fold_room import MOVE, Room, room_at_fold
from loftline.panel.places import place_of
from loftline.panel.shape import Shape
from loftline.project import EdgeRow, HardwareSpec, MateSpec
from loftline.units import SAME_PLACE_MM, format_length, show
from loftline.values import Piece, Point

MEET_MM: Final = 1.0
"""Halves marked by hand are off by about so much, and still close (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What an other half is placed by.

    Attributes:
        need: least room at a fold that a closure goes round, mm.
        moved: whether other halves are moved by what a fold lacks.
    """

    shape: Shape
    bag: ClosedBag
    need: float
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """An other half in its place, the room at its fold, and what was found."""

    piece: Piece
    room: Room | None
    findings: tuple[Finding, ...]


def other_half(
    piece: Piece, spec: HardwareSpec, closing: Closing, where: str, faults: list[Fault]
) -> Half | None:
    """The other half of a piece, where the closed bag brings it: a reflection over each fold.

    A place of its own in the file is taken as it is, and judged against that.

    Args:
        piece: the first half.
        spec: its entry in the file.
        closing: the closed bag.
        where: key path of the entry.
        faults: gains parts that do not exist, and places that close onto nothing.
    """
    own = spec.mate if isinstance(spec.mate, MateSpec) else MateSpec()
    bag = closing.bag
    home = bag.home(piece.at)
    found = None
    if home is None or not bag.holds(home):
        faults.append(Fault(where=f"{where}.mate", message=_nowhere(piece, home, bag)))
    elif own.at is not None:
        found = _own_place(piece, home, own, spec, closing, where, faults)
    elif own.on is not None:
        found = _on_part(piece, home, own.on, bag, where, faults)
    else:
        found = bag.mate(home, piece.at)
        if found is None:
            message = f"{show(piece.name)} at {place(piece.at)} lies on the part {show(home)}, "
            message += "which closes onto nothing there; place it where another part lies over it, "
            message += "or take mate out where the other half is sewn to another panel"
            faults.append(Fault(where=f"{where}.mate", message=message))
    if found is None or home is None:
        return None
    other, given = found
    plain = bag.across(home, piece.at, other)
    room = room_at_fold(bag, home, other, plain, closing.need)
    meets = plain if room is None else room.place
    at = given if own.at is not None else meets if closing.moved else plain
    outline = translate(piece.outline, at[0] - piece.at[0], at[1] - piece.at[1])
    mate = replace(
        piece, name=f"{piece.name}, other half", at=at, outline=outline, mate_of=piece.name
    )
    findings = _apart(piece, mate, home, other, bag)
    if own.at is not None:
        room = None  # its place is judged by itself
        findings += _misses(piece, mate, meets)
    if not bag.areas[other].covers(outline):
        findings.append(
            Finding(
                code="mate-outside-part",
                severity="error",
                where=f"{mate.name} at {place(at)}",
                message=f"the other half of {show(piece.name)} would not lie wholly on the part "
                f"{show(other)} when the bag is closed",
                remedy=f"move {show(piece.name)} or change the panel so that both halves lie "
                "inside",
            )
        )
    return Half(piece=mate, room=room, findings=tuple(findings))


def _nowhere(piece: Piece, home: str | None, bag: ClosedBag) -> str:
    if len(bag.moves) < 2:
        says = "the panel has no folds" if not bag.parts else "no fold lies between two parts"
        return f"{says}, so nothing closes onto this piece; take mate out"
    lies = "lies outside every part"
    if home is not None:
        lies = f"lies on the part {show(home)}, which no fold brings onto another"
    return (
        f"{show(piece.name)} at {place(piece.at)} {lies}; place it on a part that lies over "
        "another when the bag is closed"
    )


def _own_place(
    piece: Piece,
    home: str,
    own: MateSpec,
    spec: HardwareSpec,
    closing: Closing,
    where: str,
    faults: list[Fault],
) -> tuple[str, Point] | None:
    key = f"{where}.mate.at"
    if isinstance(spec.at, EdgeRow):
        says = "a row has many other halves, and this is one place; take it out, and each half "
        faults.append(Fault(where=key, message=says + "lies where folding brings it"))
        return None
    at = None if own.at is None else place_of(own.at, closing.shape, key, faults)
    if at is None:
        return None
    other = closing.bag.home(at)
    if other is None or other == home or not closing.bag.holds(other):
        lies = "outside every part" if other is None else f"on the part {show(other)}"
        lies += f", as {show(piece.name)} itself does" if other == home else ""
        message = f"the other half of {show(piece.name)} would lie at {place(at)}, {lies}; "
        message += "place it on the part that closes onto the first"
        faults.append(Fault(where=key, message=message))
        return None
    return other, at


def _on_part(
    piece: Piece, home: str, on: str, bag: ClosedBag, where: str, faults: list[Fault]
) -> tuple[str, Point] | None:
    """The other half on the part that the file names."""
    names = [part.name for part in bag.parts if part.name != home and bag.holds(part.name)]
    key = f"{where}.mate.on"
    if on not in names:
        known = ", ".join(show(name) for name in names[:12])
        found = f"found {show(on)}, where {show(piece.name)} itself lies" if on == home else ""
        found = found or f"no part is called {show(on)}"
        faults.append(Fault(where=key, message=f"{found}; the other half may lie on {known}"))
        return None
    at = bag.across(home, piece.at, on)
    if shapely.distance(bag.areas[on], shapely.Point(at)) > SAME_PLACE_MM:
        message = f"{show(piece.name)} at {place(piece.at)} does not close onto the part {show(on)}"
        near = bag.mate(home, piece.at)
        message += "; it closes onto " + ("nothing there" if near is None else show(near[0]))
        faults.append(Fault(where=key, message=message))
        return None
    return on, at


def _apart(piece: Piece, mate: Piece, home: str, other: str, bag: ClosedBag) -> list[Finding]:
    """A warning where a third part lies between both halves."""
    between = bag.between(home, other, bag.moves[home].area(piece.outline))
    if not between:
        return []
    parts = " and ".join(f"the part {show(name)}" for name in between)
    lies = "lies" if len(between) == 1 else "lie"
    return [
        Finding(
            code="halves-apart",
            severity="warning",
            where=f"{piece.name} at {place(piece.at)} and {place(mate.at)}",
            message=f"{show(piece.name)} and {show(mate.name)} do not touch in the closed bag: "
            f"{parts} {lies} between them",
            remedy="place both halves on parts that lie against each other",
        )
    ]


def _misses(piece: Piece, mate: Piece, meets: Point) -> list[Finding]:
    """A warning where the other half has a place of its own that does not meet the first."""
    gap = math.dist(mate.at, meets)
    if gap <= MEET_MM:
        return []
    return [
        Finding(
            code="halves-apart",
            severity="warning",
            where=f"{piece.name} at {place(piece.at)} and {place(mate.at)}",
            message=f"{show(piece.name)} and {show(mate.name)} miss each other by "
            f"{format_length(gap)} in the closed bag",
            remedy=f"move the other half to {place(meets)}, or take its at out",
        )
    ]


def closing_of(shape: Shape, bag: ClosedBag, need: float, fold_room: str) -> Closing:
    """What other halves of a panel are placed by."""
    return Closing(shape=shape, bag=bag, need=need, moved=fold_room == MOVE)
