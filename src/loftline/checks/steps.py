"""Lengths of stitches against what a machine can sew."""

from __future__ import annotations

import numpy as np

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import LEAST_STITCH_MM, format_length
from loftline.values import Bools, Kind

from .segments import ROUNDING_MM, Stitches, count_of


def check_steps(stitches: Stitches, longest_stitch: float) -> tuple[Finding, ...]:
    """Findings on stitches that are too long, of no length at all, or too short; O(n).

    Args:
        stitches: of one hooping.
        longest_stitch: the machine's longest, mm; :data:`ROUNDING_MM` is allowed above it.
    """
    length = stitches.length
    if not len(length):
        return (
            Finding(
                code="nothing-to-sew",
                severity="error",
                where="panel",
                message="there is nothing to sew: no stitch lies on the panel",
                remedy="make the spacing smaller, or leave more room between the keep-outs",
            ),
        )
    findings = []
    long = length > longest_stitch + ROUNDING_MM
    if long.any():
        findings.append(
            Finding(
                code="stitch-too-long",
                severity="error",
                where=_near(stitches, int(np.argmax(length))),
                message=f"{_count(long)} longer than the {format_length(longest_stitch)} "
                f"the machine can sew, the longest {format_length(float(length.max()))}",
                remedy="make the stitch length shorter than machine.longest_stitch",
            )
        )
    none = length == 0
    if none.any():
        findings.append(
            Finding(
                code="no-stitch",
                severity="error",
                where=_near(stitches, int(np.argmax(none))),
                message="the needle enters the same hole twice in succession "
                f"{_times(int(none.sum()))}",
                remedy="this is a fault of the plan or of the file, not of your project",
            )
        )
    short = (length < LEAST_STITCH_MM) & ~none & (stitches.kind != Kind.TIE)
    if short.any():
        findings.append(
            Finding(
                code="stitch-too-short",
                severity="warning",
                where=_near(stitches, int(np.argmin(np.where(short, length, np.inf)))),
                message=f"{_count(short)} shorter than {format_length(LEAST_STITCH_MM)}, "
                f"the shortest {format_length(float(length[short].min()))}",
                remedy="look at that place: the thread may break or bunch up there",
            )
        )
    return tuple(findings)


def _near(stitches: Stitches, at: int) -> str:
    return f"near {place(stitches.points[stitches.first[at]])}"


def _count(which: Bools) -> str:
    return count_of(int(which.sum()), "stitch is", "stitches are")


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
