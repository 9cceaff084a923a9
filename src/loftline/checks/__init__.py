"""Checks on needle points: the same for a plan and for the bytes of a stitch file.

Codes, one finding each at most (the first three one for each keep-out or dart):

- ``keep-out-entered`` (error): a needle point or stitch nearer to a hard edge than its reach.
- ``dart-entered`` (error): a needle point or stitch in a dart or its seam allowance.
- ``move-over-hardware`` (error): a move between runs crosses what sits above the fabric.
- ``field-exceeded`` (error): the hoop's field is too small.
- ``nothing-to-sew`` (error): no stitch at all.
- ``stitch-too-long`` (error): longer than the machine sews.
- ``no-stitch`` (error): the needle enters the same hole twice in succession.
- ``stitch-too-short`` (warning): under the least stitch and no tie.
- ``foot-strikes`` (error, :func:`check_foot`): the foot touches what sits above the fabric.
- ``hole-cuts-thread`` (note, :func:`check_punched`): a hole punched later cuts stitches.
- ``throat-too-small`` (warning, :func:`check_throat`): no room beside the needle.
- ``too-tight-for-foot`` (warning, :func:`check_tight`): curves that a walking foot cannot follow.
- ``holes-crowded`` (warning): more than four needle points within 0.4 mm.
- ``holes-close`` (note, :func:`check_holes`): two holes within 0.5 mm in cloth that keeps holes.
- ``gap-too-wide`` (warning), ``gap-wide``, ``gap-wider-than-spacing`` (notes,
  :func:`check_gap`): a place without a line.
- ``stitches-weaken`` (warning), ``stitches-stiffen`` (note, :func:`check_stiffness`): needle
  points by area.
"""

from __future__ import annotations

from loftline.errors import Finding
from loftline.values import Panel, Sewn

from .by_hand import check_throat, check_tight
from .density import check_density
from .foot import check_foot
from .gaps import Gap, check_gap, widest_gap
from .holes import check_holes
from .moves import check_field, check_moves
from .punched import check_punched
from .segments import Stitches
from .steps import check_steps
from .stiffness import Densest, check_stiffness, densest
from .zones import check_zones

__all__ = [
    "Densest",
    "Gap",
    "check_foot",
    "check_gap",
    "check_holes",
    "check_punched",
    "check_sewn",
    "check_stiffness",
    "check_throat",
    "check_tight",
    "densest",
    "widest_gap",
]


def check_sewn(
    panel: Panel,
    sewn: Sewn,
    *,
    longest_stitch: float,
    field: tuple[float, float] | None = None,
) -> tuple[Finding, ...]:
    """Check needle points in panel coordinates.

    Args:
        panel: with the keep-outs.
        sewn: of one hooping, from the plan or read back from a file. A stitch file knows no
            kinds; give what is read the kinds of the plan, else ties are found too short.
        longest_stitch: the machine's longest stitch, mm.
        field: width and height the needle can reach, mm; ``None`` without a hoop.

    Returns:
        Findings, errors before warnings; empty when all is well. Near linear in the needle
        points.
    """
    found = (
        *check_zones(panel, sewn),
        *check_moves(panel, sewn),
        *check_field(sewn, field),
        *check_steps(Stitches.of(sewn), longest_stitch),
        *check_density(sewn),
    )
    return tuple(sorted(found, key=lambda finding: finding.severity != "error"))
