"""What a stitch file holds, and whether sewing it would strike the hardware of a bag.

The file is read by our own readers. Where it lies on the panel no format can say: the plan's
own place of the file's zero is assumed, or one that is given.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np

from loftline.checks import check_sewn
from loftline.checks.moves import machine_moves
from loftline.compare import compare, lay
from loftline.errors import Finding, StitchFileError
from loftline.inspection.near import Nearness, foot_strikes, nearness
from loftline.mirror import as_sewn, mirrored, mirrored_point, mirrored_sewn
from loftline.project import Project
from loftline.readers import READERS, read_stitch_file
from loftline.values import Floats, Plan, Point, Sewn
from loftline.writers.svg.stitches import draw_stitches

__all__ = ["Inspection", "Laid", "Nearness", "draw_inspection", "inspect_file", "lay_on", "size_of"]

MOST_DRAWN = 20_000
"""Runs of one picture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A file as it lies on the panel of a plan.

    Attributes:
        sewn: its needle points in panel coordinates.
        zero: where its zero lies, mm.
        hooping: which hooping of the plan is taken for its own, from 0.
        because: why it is taken to lie there, as the rest of a sentence.
        planned: whether it holds exactly what that hooping's file holds.
        near: of each keep-out, the nearest first.
        findings: of the checks that every plan is put through.
    """

    sewn: Sewn
    zero: Point
    hooping: int
    because: str
    planned: bool
    near: tuple[Nearness, ...]
    findings: tuple[Finding, ...]

    @property
    def strikes(self) -> tuple[Nearness, ...]:
        """Hardware that would be struck."""
        return tuple(one for one in self.near if one.hardware and one.struck)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What a stitch file holds; lengths in mm, places from the file's zero.

    Attributes:
        points: needle points.
        runs: rows of stitches without a thread cut.
        low, high: corners of what the needle points cover.
        reach: corners of all the frame passes, moves between runs included.
        length: of all stitches.
        longest, shortest: stitch; 0 where there is none.
        longest_at: where the longest one begins.
    """

    file: str
    ext: str
    sewn: Sewn
    points: int
    runs: int
    low: Point
    high: Point
    reach: tuple[Point, Point]
    length: float
    longest: float
    shortest: float
    longest_at: Point


def inspect_file(file: str, data: bytes) -> Inspection:
    """Read a stitch file and measure what it holds.

    Args:
        file: its name; the ending says which format it is.
        data: its bytes, as they are: damaged or hostile ones are refused in words.

    Raises:
        StitchFileError: one sentence on why it cannot be read.
    """
    ext = file.rpartition(".")[2].lower() if "." in file else ""
    if ext not in READERS:
        raise StitchFileError(
            f'"{file}" has no ending of a stitch file; there are {", ".join(READERS)}'
        )
    sewn = read_stitch_file(ext, data)
    places = np.column_stack((sewn.x, sewn.y)) / 10
    passed = np.concatenate((places, sewn.via / 10, [[0.0, 0.0]]))
    steps = np.diff(places, axis=0)
    step = np.where(np.diff(sewn.run) == 0, np.hypot(steps[:, 0], steps[:, 1]), np.nan)
    sewing = step[~np.isnan(step)]
    longest = int(np.nanargmax(step)) if sewing.size else 0
    return Inspection(
        file=file,
        ext=ext,
        sewn=sewn,
        points=len(sewn),
        runs=int(sewn.run[-1]) + 1,
        low=_point(places.min(axis=0)),
        high=_point(places.max(axis=0)),
        reach=(_point(passed.min(axis=0)), _point(passed.max(axis=0))),
        length=float(sewing.sum()),
        longest=float(sewing.max(initial=0.0)),
        shortest=float(sewing.min()) if sewing.size else 0.0,
        longest_at=_point(places[longest]),
    )


def size_of(file: str, project: Project) -> tuple[str, str]:
    """Which size of a bag a stitch file is for, and why it is taken for that, in words.

    Args:
        file: the file's name: the names of the files of each size begin with its own.
        project: with sizes.
    """
    stem = re.sub(r"(-[0-9]{1,3})?\.[^.]*$", "", file)
    names = {size.slug: name for name, size in project.sized()}
    if stem in names:
        return names[stem], "by the file's name"
    return next(iter(names.values())), "the first, and nothing in the file's name says which it is"


def lay_on(
    inspection: Inspection, plan: Plan, *, hooping: int | None = None, zero: Point | None = None
) -> Laid:
    """Lay a file on the panel of a plan and look at what it would meet there.

    Args:
        inspection: of the file.
        plan: of the bag.
        hooping: which hooping's file it is, from 0; ``None``: the one that it agrees with, else
            the one whose number is in the file's name, else the first.
        zero: where the file's zero lies on the panel, mm; ``None``: where the plan has it.
    """
    read, lying = inspection.sewn, as_sewn(plan)
    own = [lying.sewn.in_hoop(one) for one in lying.hoopings]
    alike = [i for i, one in enumerate(own) if not compare(one, read)]
    if hooping is not None:
        number, because = hooping, "you say so"
    elif alike:
        number, because = alike[0], "it holds what the plan has there, needle point by needle point"
    else:
        number, because = _by_name(inspection.file, plan)
    turned = () if alike else _other_side(inspection, plan, lying)
    chosen = plan.hoopings[number]
    origin = own[number].origin
    if zero is not None:
        x, y = zero if lying is plan else mirrored_point(zero, plan.panel)
        origin = (round(x * 10), round(y * 10))
        because = "you say so"
    there = lay(read, origin).turned(lying.hoopings[number].turn)
    if lying is not plan:
        there = mirrored_sewn(there, plan.panel)
    planned = number in alike and origin == own[number].origin
    if planned:
        there = replace(there, kind=own[number].kind)
    return Laid(
        sewn=there,
        zero=(there.origin[0] / 10, there.origin[1] / 10),
        hooping=number,
        because=because,
        planned=planned,
        near=nearness(plan, there, chosen.turn),
        findings=(
            *turned,
            *check_sewn(
                plan.panel,
                there,
                longest_stitch=plan.project.machine.longest_stitch,
                field=chosen.seen,
            ),
            *foot_strikes(plan, plan.panel.keep_outs, there, chosen.turn),
        ),
    )


def draw_inspection(
    inspection: Inspection, plan: Plan | None = None, laid: Laid | None = None
) -> str:
    """The picture of what a file holds, full size, on the panel where it is laid on one.

    Args:
        inspection: of the file.
        plan: of the bag it is laid on.
        laid: the file there.

    Returns:
        The text of an SVG file.

    Raises:
        StitchFileError: when it has more runs than can be told apart.
    """
    sewn = inspection.sewn if laid is None else laid.sewn
    if inspection.runs > MOST_DRAWN:
        raise StitchFileError(
            f"{inspection.file} has {inspection.runs:,} runs, more than a picture can show"
        )
    return draw_stitches(
        sewn,
        inspection.file,
        moves=machine_moves(sewn),
        panel=None if plan is None or laid is None else plan.panel,
        struck=() if laid is None else tuple(one.at for one in laid.strikes),
    )


def _other_side(inspection: Inspection, plan: Plan, lying: Plan) -> tuple[Finding, ...]:
    """A warning where a file is what the plan would be sewn by from the other side."""
    other = mirrored(plan) if lying is plan else plan
    own = (other.sewn.in_hoop(hooping) for hooping in other.hoopings)
    if all(compare(one, inspection.sewn) for one in own):
        return ()
    side = "the outer fabric up" if lying is not plan else "the outer fabric down"
    return (
        Finding(
            code="file-turned-over",
            severity="warning",
            where=inspection.file,
            message=f"{inspection.file} holds what the plan has, turned over: it is for a panel "
            f"that lies with {side}, and the project says the other side",
            remedy="take the file that the project writes now, or change quilting.sewn_from",
        ),
    )


def _by_name(file: str, plan: Plan) -> tuple[int, str]:
    """Which hooping a file is taken for, and why."""
    count = len(plan.hoopings)
    if count == 1:
        return 0, "the plan of the project has the zero of its file there"
    number = re.search(r"-([0-9]{1,3})\.[^.]*$", file)
    if number and 1 <= int(number[1]) <= count:
        return int(number[1]) - 1, f"hooping {int(number[1])} has it there, by the file's name"
    return 0, "the first hooping has it there, and nothing in the file's name says which it is"


def _point(place: Floats) -> Point:
    return (float(place[0]), float(place[1]))
