"""How thick the layers are, loose and inside a stitch.

No published figure says how far a stitch draws foam together, so the thickness inside it is
a band of common practice between firmly drawn and not at all. A maker who has measured it
on a swatch says so with ``layers.sewn_thickness``.
"""

from __future__ import annotations

from typing import Final

from loftline.project import Project
from loftline.trade import fabrics, foams
from loftline.values import Band

SQUEEZE: Final = Band(low=0.35, expected=0.6, high=1.0)
"""Share of the loose thickness that is left inside the stitch (common practice)."""


def loose_stack(project: Project) -> float:
    """Outer fabric and foam lying loose on each other, mm."""
    outer, foam = project.layers.outer, project.layers.foam
    above = outer.thickness
    below = foam.thickness
    return (fabrics.fabric_thickness(outer.kind) if above is None else above) + (
        foams.loose_thickness(foam.kind) if below is None else below
    )


def sewn_thickness(project: Project) -> Band:
    """Thickness inside the drawn-down stitch, mm: as measured, else squeezed by the band."""
    measured = project.layers.sewn_thickness
    if measured is not None:
        return Band(low=measured, expected=measured, high=measured)
    return SQUEEZE.times(loose_stack(project))


def thread_model(project: Project, tail: float) -> str:
    """One sentence on how the thread was reckoned."""
    band = sewn_thickness(project)
    if project.layers.sewn_thickness is not None:
        inside = f"{band.expected:.2g} mm inside the stitch as you measured it"
    else:
        inside = (
            f"{band.low:.2g} to {band.high:.2g} mm inside the stitch, expected "
            f"{band.expected:.2g} mm (common practice for {loose_stack(project):.2g} mm of loose "
            f"layers; a sewn swatch tells better)"
        )
    return (
        "Lockstitch, ISO 4915 type 301, stitch by stitch: the loop of both threads between an "
        f"ellipse and a rectangle, expected with round ends, {inside}; half to each thread, and "
        f"{tail:g} mm of tail at both ends of every run."
    )
