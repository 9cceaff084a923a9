"""Estimates: thread, time, turns, needle; and what to look at before sewing.

Codes of :func:`advise`:

- ``spacing-too-wide`` (warning): lines farther apart than the batting allows.
- ``spacing-wide`` (note): farther apart than some makers of such batting ask for.
- ``stitch-length-unusual`` (note): outside 2.5 to 3.2 mm.
- ``stack-thick`` (warning): outer fabric and foam thicker than a presser foot lifts.
- ``thread-too-thick`` (warning): the thread fills more than 40 % of any needle that suits.
- ``foam-needs-iron`` (warning): fusible foam under cloth that bears no iron.
- ``hardware-below`` (warning): hardware on the bed side fitted before quilting.
- ``magnets-first`` (note): magnets fitted before quilting.

Codes of :func:`cutting_list`:

- ``piece-wider-than-cloth`` (warning): a piece does not fit on its cloth.
- ``oversize-small`` (note): little is left around the panel for the draw-in of quilting.
"""

from __future__ import annotations

from loftline.errors import Finding
from loftline.project import Project
from loftline.values import Lines, Panel

from .batch import batch_threads, hardware_counts, make_kit, summed_hardware
from .cutting import cutting_list
from .draw_in import draw_in, expected_draw_in
from .notes import find_notes
from .report import make_report
from .size_cutting import size_cutting
from .time import class_minutes

__all__ = [
    "advise",
    "batch_threads",
    "class_minutes",
    "cutting_list",
    "draw_in",
    "expected_draw_in",
    "hardware_counts",
    "make_kit",
    "make_report",
    "size_cutting",
    "summed_hardware",
]


def advise(project: Project, panel: Panel, lines: Lines) -> tuple[Finding, ...]:
    """Warnings and notes on layers, thread, spacing and hardware; warnings first.

    Args:
        project: what the maker wrote.
        panel: its hardware.
        lines: what is drawn; a fill that drew nothing is not looked at.
    """
    found = find_notes(project, panel, lines)
    return tuple(sorted(found, key=lambda finding: finding.severity != "warning"))
