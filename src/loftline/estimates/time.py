"""How long the sewing takes; hooping, cutting out and pressing are not counted."""

from __future__ import annotations

from loftline.project import Project
from loftline.trade import machines


def sewing_minutes(
    project: Project, stitches: int, cuts: int, turns: int, ends_inside: int = 0
) -> float:
    """Minutes at the machine for one bag.

    Guided by the machine: stitches at its speed, and for each thread cut the seconds of
    :data:`loftline.trade.machines.SECONDS_AT_CUT`. Guided by hand: half that speed, and time
    for each thread cut, each run's end inside, where its threads are knotted and buried, and
    each turn (common practice, same table).
    """
    return stitches / speed(project) + seconds_stopped(project, cuts, turns, ends_inside) / 60


def speed(project: Project) -> float:
    """Stitches per minute while sewing."""
    top = project.machine.stitches_per_minute
    return top * machines.HAND_SPEED_SHARE if project.machine.guided == "hand" else top


def seconds_stopped(project: Project, cuts: int, turns: int, ends_inside: int = 0) -> float:
    """Seconds in which the needle stands still."""
    if project.machine.guided == "hand":
        return (
            cuts * machines.HAND_SECONDS_AT_CUT
            + ends_inside * machines.HAND_SECONDS_AT_END_INSIDE
            + turns * machines.HAND_SECONDS_AT_TURN
        )
    return cuts * machines.SECONDS_AT_CUT[project.machine.at_cuts]


def time_model(project: Project) -> str:
    """One sentence on how the minutes were reckoned."""
    if project.machine.guided == "hand":
        return (
            f"Time: {speed(project):g} stitches a minute (half of "
            f"{project.machine.stitches_per_minute:g}, as you guide the panel by hand), "
            f"{machines.HAND_SECONDS_AT_TURN:g} s for each turn, "
            f"{machines.HAND_SECONDS_AT_CUT:g} s for each thread cut and "
            f"{machines.HAND_SECONDS_AT_END_INSIDE:g} s for each run end inside the panel, whose "
            "threads are knotted and buried (common practice)."
        )
    return (
        f"Time: {speed(project):g} stitches a minute and "
        f"{machines.SECONDS_AT_CUT[project.machine.at_cuts]:g} s for each thread cut; "
        "hooping is not counted."
    )
