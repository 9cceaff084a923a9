"""How long a bag takes at the machine, by what the time goes into; cutting out is not counted."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loftline.project import Project, held_as
from loftline.trade import fabrics, machines
from loftline.values import TIME_WORDS, Floats, Seam, Sewn, TimeTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """What makes the needle stand still while one bag is quilted."""

    cuts: int
    turns: int
    ends_inside: int = 0
    placings: int = 1
    bobbins: float = 0.0


def time_tables(
    project: Project, sewn: Sewn, stops: Stops, seams: tuple[Seam, ...]
) -> tuple[TimeTable, TimeTable]:
    """Minutes for one bag, guided as the project says first, and guided the other way.

    Both look at the same needle points: planned anew for the other way of guiding, the bag
    might be sewn in another order.
    """
    other = "hand" if project.machine.guided == "machine" else "machine"
    return (
        _table(project, project.machine.guided, sewn, stops, seams),
        _table(project, other, sewn, stops, seams),
    )


def _table(
    project: Project, guided: str, sewn: Sewn, stops: Stops, seams: tuple[Seam, ...]
) -> TimeTable:
    by_hand = guided == "hand"
    at_cut = (
        machines.HAND_SECONDS_AT_CUT
        if by_hand
        else machines.SECONDS_AT_CUT[project.machine.at_cuts]
    )
    seconds = {
        "placings": 0.0 if by_hand else 60 * stops.placings * placing_minutes(project),
        "quilting": 60 * quilting_minutes(project, sewn, by_hand=by_hand),
        "cuts": stops.cuts * at_cut,
        "ends": stops.ends_inside * machines.HAND_SECONDS_AT_END_INSIDE if by_hand else 0.0,
        "turns": stops.turns * machines.HAND_SECONDS_AT_TURN if by_hand else 0.0,
        "bobbins": stops.bobbins * machines.SECONDS_AT_BOBBIN,
        "pressing": 60 * pressing_minutes(project),
        "seams": 60 * seam_minutes(project, seams),
    }
    return TimeTable(
        guided=guided, parts={word: seconds[word] / 60 for word in TIME_WORDS if seconds[word] > 0}
    )


def quilting_minutes(project: Project, sewn: Sewn, *, by_hand: bool) -> float:
    """Minutes in which the needle goes up and down."""
    shares = speed_shares(sewn, by_hand=by_hand)
    top = hand_speed(project) if by_hand else project.machine.stitches_per_minute
    return float((1 / shares).sum()) / top


def speed_shares(sewn: Sewn, *, by_hand: bool) -> Floats:
    """Share of the full speed at each stitch.

    By hand tight curves are slower; where the machine moves the hoop, long stitches.

    Returns:
        ``(n,)``, one for each stitch of each run.
    """
    same = sewn.run[1:] == sewn.run[:-1]
    dx, dy = np.diff(sewn.x) / 10, np.diff(sewn.y) / 10
    length = np.hypot(dx, dy)
    if not by_hand:
        slowed = machines.FULL_SPEED_STITCH_MM / np.maximum(length, 1e-9)
        shares: Floats = np.clip(slowed, machines.SLOWEST_SHARE, 1.0)[same]
        return shares
    heading = np.arctan2(dy, dx)
    turn = np.abs((np.diff(heading) + math.pi) % (2 * math.pi) - math.pi)
    # a sharp corner is sewn with the needle down, and counted as a turn
    turn[(turn > math.radians(60)) | ~(same[1:] & same[:-1])] = 0.0
    bend = np.zeros(len(length))
    if len(turn):
        radius = (length[1:] + length[:-1]) / 2 / np.maximum(turn, 1e-9)
        slow = np.clip(radius / machines.SLOW_CURVE_MM, machines.SLOWEST_SHARE, 1.0)
        bend[1:] = 1 - slow
    bent: Floats = (1 - bend)[same]
    return bent


def placing_minutes(project: Project) -> float:
    """Minutes to lay the panel into the hoop once."""
    return machines.MINUTES_AT_PLACING[held_as(project)]


def seam_minutes(project: Project, seams: tuple[Seam, ...]) -> float:
    """Minutes for the seams of one bag: each piece is clipped together, sewn, and snipped off."""
    sewing = sum(seam.stitches for seam in seams) / hand_speed(project)
    clipping = sum(seam.pieces for seam in seams) * machines.MINUTES_AT_SEAM
    snipping = sum(seam.pieces * seam.passes for seam in seams) * machines.HAND_SECONDS_AT_CUT / 60
    return sewing + clipping + snipping


def pressing_minutes(project: Project) -> float:
    """Minutes at the iron; none where the cloth bears no heat."""
    outer = project.layers.outer
    if not fabrics.bears_iron(outer.kind, told=outer.heat):
        return 0.0
    return machines.PRESSINGS * machines.MINUTES_OF_PRESSING


def speed(project: Project) -> float:
    """Stitches per minute at full speed, as the project is guided."""
    by_hand = project.machine.guided == "hand"
    return hand_speed(project) if by_hand else project.machine.stitches_per_minute


def hand_speed(project: Project) -> float:
    """Stitches per minute where a hand guides the cloth."""
    return project.machine.stitches_per_minute * machines.HAND_SPEED_SHARE


def class_minutes(project: Project, one: float) -> float | None:
    """Minutes until every student of a class has sewn her bag; ``None`` where there is no class.

    They take the machines in turns, each for a whole bag.
    """
    group = project.school_class
    if group is None:
        return None
    return math.ceil(group.students / group.machines) * one


def time_model(project: Project) -> str:
    """How the minutes were reckoned; all of it is common practice."""
    by_hand = project.machine.guided == "hand"
    if by_hand:
        quilting = (
            f"{speed(project):g} stitches a minute (half of "
            f"{project.machine.stitches_per_minute:g}, as you guide the panel by hand), slower on "
            f"tight curves, {machines.HAND_SECONDS_AT_TURN:g} s for each turn, "
            f"{machines.HAND_SECONDS_AT_CUT:g} s for each thread cut and "
            f"{machines.HAND_SECONDS_AT_END_INSIDE:g} s for each run end inside the panel, whose "
            "threads are knotted and buried"
        )
    else:
        quilting = (
            f"{speed(project):g} stitches a minute, slower on stitches over "
            f"{machines.FULL_SPEED_STITCH_MM:g} mm, "
            f"{machines.SECONDS_AT_CUT[project.machine.at_cuts]:g} s for each thread cut and "
            f"{placing_minutes(project):g} min for each placing in the hoop"
        )
    seams = "as fast" if by_hand else f"at {hand_speed(project):g} a minute"
    pressing = (
        f"; {machines.PRESSINGS} pressings of {machines.MINUTES_OF_PRESSING:g} min"
        if pressing_minutes(project)
        else ""
    )
    return (
        f"Time: {quilting}. Seams {seams}, with {machines.MINUTES_AT_SEAM:g} min to clip and "
        f"{machines.HAND_SECONDS_AT_CUT:g} s to snip each piece of them{pressing} (common "
        "practice; cutting out is not counted)."
    )
