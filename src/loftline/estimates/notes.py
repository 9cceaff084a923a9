"""Findings on the project as a whole, before anything is sewn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from loftline.errors import Finding
from loftline.project import FillSpec, Project
from loftline.project.faults import listed
from loftline.trade import fabrics, foams, machines
from loftline.trade.battings import find_batting
from loftline.trade.needles import THREAD_SHARE
from loftline.trade.threads import thread_diameter
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Lines, Panel

from .advice import chosen_needle
from .layers import loose_stack
from .setting_up import THICKER, hands_make_length, stitch_lengths_of

_MOST_NAMES = 5


def find_notes(project: Project, panel: Panel, lines: Lines) -> Iterator[Finding]:
    """All findings of :func:`loftline.estimates.advise`, warnings and notes mixed."""
    yield from _spacing(project, lines)
    yield from _one_way(project, lines)
    yield from _stitch_length(project)
    yield from _stack(project)
    yield from _thread(project)
    yield from _hidden(project)
    yield from _iron(project)
    yield from _hardware(panel)


def _spacing(project: Project, lines: Lines) -> Iterator[Finding]:
    """Lines too far apart for the batting; for foam no limit is published."""
    batting = find_batting(project.layers.foam.kind)
    if batting is None:
        return
    drawn = set(lines.fill.tolist())
    for i, fill in enumerate(project.fills):
        if i not in drawn or (over := batting.limit(fill.spacing)) is None:
            continue
        limit, beyond = over
        yield Finding(
            code="spacing-too-wide" if beyond else "spacing-wide",
            severity="warning" if beyond else "note",
            where=f"fills[{i}].{'spacing' if fill.motif is None else 'size'}",
            message=f"lines {_show(fill.spacing, project)} apart are more than the "
            f"{_show(limit, project)} that {'any' if beyond else 'some'} maker of "
            f"{batting.names[0]} {'allows' if beyond else 'asks for'}",
            remedy=f"{_closer(fill, limit, project)}, or look at the packet",
        )


def _closer(fill: FillSpec, limit: float, project: Project) -> str:
    if fill.motif is None:
        return f"take a spacing of at most {_show(limit, project)}"
    size = math.floor(fill.motif.height * limit / fill.spacing)
    return f"take a size of at most {_show(size, project)}"


def _one_way(project: Project, lines: Lines) -> Iterator[Finding]:
    """Source: a test of straight-line quilting, 2015."""
    if project.quilting.order != "one way" or not np.isfinite(lines.heading).any():
        return
    yield Finding(
        code="one-way-pulls",
        severity="note",
        where="quilting.order",
        message="channels all sewn one way pull the panel aslant: in a test a square of 20 in "
        "ended 1/8 in out of square, and alternating kept it square",
        remedy='order = "alternate", or room to trim it square',
    )


def _stitch_length(project: Project) -> Iterator[Finding]:
    """Lengths that are unusual, and those that hands make."""
    low, high = machines.QUILTING_STITCH_MM[0], machines.THICK_STITCH_MM[1]
    unit = project.units
    lengths = stitch_lengths_of(project)
    for where, length in lengths.items():
        if low - SAME_PLACE_MM <= length <= high + SAME_PLACE_MM:
            continue
        yield Finding(
            code="stitch-length-unusual",
            severity="note",
            where=where,
            message=f"a stitch length of {format_length(length, unit, 3)} is unusual for quilting: "
            f"{format_length(low, unit, 3)} to {format_length(high, unit, 3)} is usual",
            remedy="sew a swatch first",
        )
    if hands_make_length(project):
        expected = [format_length(mm, unit) for mm in dict.fromkeys(lengths.values())]
        yield Finding(
            code="stitch-length-by-hand",
            severity="note",
            where=", ".join(lengths),
            message=f"with the feed dogs lowered your hands make the stitch length: "
            f"{listed(expected, 'and')} is expected, and thread and time are reckoned with it",
            remedy="count ten stitches on a swatch, and write what they measure",
        )


def _stack(project: Project) -> Iterator[Finding]:
    stack = loose_stack(project)
    if stack <= machines.FOOT_LIFT_MM + SAME_PLACE_MM:
        return
    yield Finding(
        code="stack-thick",
        severity="warning",
        where="layers",
        message=f"outer fabric and foam are {_show(stack, project)} thick when loose, and a "
        f"presser foot lifts about {_show(machines.FOOT_LIFT_MM, project)}",
        remedy="try it on scraps, or take thinner foam",
    )


def _thread(project: Project) -> Iterator[Finding]:
    needle = chosen_needle(project)
    if needle.fits:
        return
    tex = project.threaded.needle.tex_value
    yield Finding(
        code="thread-too-thick",
        severity="warning",
        where="thread.needle" if project.quilting.sewn_from == "outer" else "thread.bobbin",
        message=f"thread of tex {tex:.3g} is about {thread_diameter(tex):.2f} mm thick, more "
        f"than {THREAD_SHARE:.0%} of a needle {needle.label}",
        remedy="take a finer thread for the needle",
    )


def _hidden(project: Project) -> Iterator[Finding]:
    """The thread that is meant to be seen lies where nobody sees it."""
    needle, bobbin = project.threaded.needle.tex_value, project.threaded.bobbin.tex_value
    if project.quilting.sewn_from == "outer" or needle <= THICKER * bobbin:
        return
    yield Finding(
        code="thick-thread-hidden",
        severity="note",
        where="thread.bobbin",
        message=f"sewn from the back the bobbin thread (tex {bobbin:.3g}) shows on the outer "
        f"fabric, and the thicker needle thread (tex {needle:.3g}) lies on the back",
        remedy="let the two change places in [thread]: its needle thread is the one that shows, "
        "whichever side is sewn from",
    )


def _iron(project: Project) -> Iterator[Finding]:
    outer, foam = project.layers.outer, project.layers.foam
    # cloth said to keep its holes is waxed or coated, whatever else its name says
    told = False if outer.heat is None and outer.keeps_holes else outer.heat
    if not foams.needs_iron(foam.kind) or fabrics.bears_iron(outer.kind, told=told):
        return
    yield Finding(
        code="foam-needs-iron",
        severity="warning",
        where="layers",
        message=f'"{foam.kind}" is glued on with an iron, which "{outer.kind}" does not bear',
        remedy="take sew-in foam, or hold it with clips",
    )


def _hardware(panel: Panel) -> Iterator[Finding]:
    below = [zone.name for zone in panel.keep_outs if zone.hardware and zone.lies == "below"]
    if below:
        yield Finding(
            code="hardware-below",
            severity="warning",
            where=_names(below),
            message="hardware on the underside is fitted before quilting: it lifts the panel or "
            "catches on the bed while you sew",
            remedy="fit it after quilting",
        )
    magnets = [
        piece.name for piece in panel.pieces if piece.magnetic and piece.fitted == "before quilting"
    ]
    if magnets:
        yield Finding(
            code="magnets-first",
            severity="note",
            where=_names(magnets),
            message="magnets fitted before quilting cling to the machine's bed, plate and foot",
            remedy="slip a sheet of card under the panel and sew slowly, or fit them after "
            "quilting where the bag allows it",
        )


def _names(names: Sequence[str]) -> str:
    """Some names in quotes, the rest as a number.

    >>> _names(["a", "b"]), _names(list("abcdefg"))
    ('"a", "b"', '"a", "b", "c", "d", "e" and 2 more')
    """
    shown = ", ".join(f'"{name}"' for name in names[:_MOST_NAMES])
    rest = len(names) - _MOST_NAMES
    return f"{shown} and {rest} more" if rest > 0 else shown


def _show(mm: float, project: Project) -> str:
    return format_length(mm, project.units)
