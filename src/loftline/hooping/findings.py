"""What a maker should know about the hoopings.

- ``several-hoopings`` (note): how many, and what is proved of fewer.
- ``border-near`` (warning): a border within 5 mm of a fold or keep-out.
- ``rest-left`` (note): a rest of a line at a border is shorter than a stitch, and no field has
  room for it.
- ``hoop-throat`` (warning): the cloth beside the hoop does not pass the machine's throat.
- ``few-true-points`` (warning): a hooping is laid by fewer than two stitched marks.
- ``nothing-to-trim`` (note): no room outside the outline for crosses and basting.
- ``frame-on-hardware`` (warning): hard things under a frame that clamps the panel itself.
- ``frame-off-cloth`` (warning): a frame that clamps the panel itself stands beside the cloth.
- ``frame-and-magnets`` (warning): a magnetic frame beside magnets fitted before quilting.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import shapely

from loftline.errors import Finding
from loftline.geometry import place as place_words
from loftline.hooping.crosses import strip
from loftline.hooping.dividing import Division
from loftline.hooping.sharing import towards_pillar
from loftline.project import Project, held_as
from loftline.project.faults import listed
from loftline.trade.hoops import smallest_field
from loftline.units import LEAST_STITCH_MM, format_length
from loftline.values import Hooping, Panel

FRAME_MM: Final = 20.0
"""Of a hoop around its field: the two rings and what they press on (our own figure)."""

CLAMPED_MM: Final = 10.0
"""Of cloth that a frame must get hold of beside its field (our own figure)."""


def check_hoopings(
    project: Project, panel: Panel, division: Division, hoopings: Sequence[Hooping]
) -> tuple[Finding, ...]:
    """Findings on the hoopings, warnings first; none without a hoop.

    Args:
        project: the machine.
        panel: the cloth.
        division: how the panel is divided.
        hoopings: of the same, as they lie once all needle points are known.
    """
    if hoopings[0].field is None:
        return ()
    found = [
        *_near(division),
        *_left(division),
        *_throat(project, panel, hoopings),
        *_few(hoopings),
        *_frame(project, panel, hoopings),
        *_several(project, panel, division),
        *_untrimmed(panel, hoopings),
    ]
    return tuple(sorted(found, key=lambda finding: finding.severity != "warning"))


def _several(project: Project, panel: Panel, division: Division) -> Iterator[Finding]:
    count = len(division.shares)
    if count < 2:
        return
    hoop = division.shares[0].hooping.hoop or (0.0, 0.0)
    says = f"the panel is laid into the hoop of {_by(hoop, project)} {count} times"
    kind = "arrangement of one of the hoops" if len(project.machine.hoops) > 1 else "arrangement"
    if division.least == count:
        says += f", and no {kind} could do with fewer"
    else:
        says += f"; no {kind} could do with fewer than {division.least}"
    x0, y0, x1, y1 = panel.ground.bounds
    margin = 2 * project.machine.hoop_margin
    larger = smallest_field(x1 - x0 + margin, y1 - y0 + margin)
    mend = [] if larger is None else [f"a hoop of {_by(larger, project)} holds it at once"]
    if division.each is not None and division.each < count:
        mend.append(f'give hoop_turning = "each", which does with {division.each}')
    yield Finding(
        code="several-hoopings",
        severity="note",
        where="machine.hoops" if project.machine.hoops else "machine.hoop",
        message=says,
        remedy="; ".join(mend),
    )


def _near(division: Division) -> Iterator[Finding]:
    if division.near:
        times = "once" if division.near == 1 else f"{division.near} times"
        yield Finding(
            code="border-near",
            severity="warning",
            where="machine.hoop",
            message=f"a border between hoopings comes within 5 mm of a fold or keep-out {times}; "
            "with as few hoopings none was found that comes less often",
            remedy="take a smaller hoop_margin or a larger hoop, or move the hardware",
        )


def _left(division: Division) -> Iterator[Finding]:
    shares = division.shares
    rests = [(at, n) for n, share in enumerate(shares, 1) for at in share.left.tolist()]
    if rests:
        (at, number), more = rests[0], len(rests) - 1
        others = f", and {more} more beside borders" if more else ""
        yield Finding(
            code="rest-left",
            severity="note",
            where=f"{_of(number, len(shares))}, {place_words(at)}",
            message=f"a rest of a line shorter than {format_length(LEAST_STITCH_MM)} lies past the "
            f"border, where both fields are full: it is not sewn{others}",
            remedy="take a smaller hoop_margin or a larger hoop if it matters",
        )


def _throat(project: Project, panel: Panel, hoopings: Sequence[Hooping]) -> Iterator[Finding]:
    throat = project.machine.throat
    if throat is None:
        return
    wide = [
        (towards_pillar(project, panel, hooping.place, hooping.turn), number)
        for number, hooping in enumerate(hoopings, 1)
        if hooping.place is not None
    ]
    over = [(reach, number) for reach, number in wide if reach > throat]
    if over:
        reach, number = max(over, key=lambda one: one[0])
        units = project.units
        yield Finding(
            code="hoop-throat",
            severity="warning",
            where=_of(number, len(hoopings)),
            message=f"{format_length(reach, units)} of cloth must pass the throat of "
            f"{format_length(throat, units)} at the right of the needle, whichever way round the "
            "panel is hooped",
            remedy="roll up the cloth beside the hoop, or cut off overhang there",
        )


def _few(hoopings: Sequence[Hooping]) -> Iterator[Finding]:
    few = [n for n, h in enumerate(hoopings, 1) if n > 1 and h.true_points < 2]
    if few:
        yield Finding(
            code="few-true-points",
            severity="warning",
            where=", ".join(_of(number, len(hoopings)) for number in few),
            message="fewer than two stitched marks lie in its field: by these alone it can be "
            "laid askew",
            remedy="prick two places from the full-size sheet, as far apart as the field allows",
        )


def _untrimmed(panel: Panel, hoopings: Sequence[Hooping]) -> Iterator[Finding]:
    if len(hoopings) > 1 and strip(panel).is_empty:
        yield Finding(
            code="nothing-to-trim",
            severity="note",
            where="panel.overhang",
            message="outside the outline there is no room for registration crosses: the hoopings "
            "are laid by the ends of lines already sewn and by the full-size sheet",
            remedy="give more overhang for crosses, or draw them on the backing",
        )


def _frame(project: Project, panel: Panel, hoopings: Sequence[Hooping]) -> Iterator[Finding]:
    hard = [piece for piece in panel.pieces if piece.fitted == "before quilting"]
    magnets = [piece for piece in hard if piece.magnetic]
    if project.machine.frame == "magnetic" and magnets:
        yield Finding(
            code="frame-and-magnets",
            severity="warning",
            where=", ".join(f'"{piece.name}"' for piece in magnets),
            message="a magnetic frame snaps to magnets that are in the panel already: fingers, "
            "cloth and machine can be hurt",
            remedy="fit the magnets after quilting, or take a frame without magnets",
        )
    if held_as(project) != "clamped":
        return
    yield from _off_cloth(panel, hoopings)
    for number, hooping in enumerate(hoopings, 1):
        if hooping.place is None:
            continue
        inner = shapely.box(*hooping.place)
        frame = inner.buffer(FRAME_MM, join_style="mitre").difference(inner)
        under = [piece for piece in hard if piece.outline.intersects(frame)]
        for piece in under:
            yield Finding(
                code="frame-on-hardware",
                severity="warning",
                where=f"{_of(number, len(hoopings))}, {piece.name} at {place_words(piece.at)}",
                message=f'"{piece.name}" lies under the frame of the hoop, which clamps the panel',
                remedy='give held = "floated", or fit it after quilting',
            )


def _off_cloth(panel: Panel, hoopings: Sequence[Hooping]) -> Iterator[Finding]:
    """Sides of frames under which less than half of the cloth lies that they would clamp."""
    cloth = panel.outline.buffer(panel.overhang) if panel.overhang > 0 else panel.outline
    shapely.prepare(cloth)
    found: list[str] = []
    for number, hooping in enumerate(hoopings, 1):
        if hooping.place is None:
            continue
        x0, y0, x1, y1 = hooping.place
        strips = {
            "left": shapely.box(x0 - CLAMPED_MM, y0, x0, y1),
            "right": shapely.box(x1, y0, x1 + CLAMPED_MM, y1),
            "bottom": shapely.box(x0, y0 - CLAMPED_MM, x1, y0),
            "top": shapely.box(x0, y1, x1, y1 + CLAMPED_MM),
        }
        bare = [
            side
            for side, one in strips.items()
            if shapely.area(shapely.intersection(cloth, one)) < one.area / 2
        ]
        if bare:
            found.append(f"{_of(number, len(hoopings))} at the {listed(bare, 'and')}")
    if found:
        yield Finding(
            code="frame-off-cloth",
            severity="warning",
            where="; ".join(found),
            message="the cloth ends before the frame there: a hoop that clamps the panel itself "
            "has nothing to hold",
            remedy='give held = "floated", or more overhang',
        )


def _of(number: int, count: int) -> str:
    return f"hooping {number}" if count > 1 else "the hoop"


def _by(size: tuple[float, float], project: Project) -> str:
    width, height = (format_length(side, project.units) for side in size)
    return f"{width.removesuffix(' ' + project.units)} x {height}"
