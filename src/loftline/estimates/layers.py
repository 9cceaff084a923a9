"""How thick the layers are, loose and inside a stitch.

No published figure says how far a stitch draws a layer together, so what is left of it is a
band of common practice between firmly drawn and not at all. A maker who has measured the
thickness inside a stitch says so with ``layers.sewn_thickness``, and one who has unpicked a
swatch with ``[swatch]``; what that tells of the foam then holds for every seam.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from loftline.project import Project
from loftline.trade import fabrics, foams
from loftline.trade.battings import find_batting
from loftline.values import Band, Material

from .calibration import Stitch, stitch_of

CLOTH: Final = Band(low=0.8, expected=0.9, high=1.0)
FIRM: Final = Band(low=0.35, expected=0.6, high=1.0)
SOFT: Final = Band(low=0.2, expected=0.4, high=0.8)
"""Shares of the loose thickness that are left inside a stitch: of woven cloth, of foam and
felt, of fleece and batting (common practice, no source)."""

QUILTED: Final[tuple[Material, ...]] = ("outer", "foam")
"""The layers of the panel as it is quilted."""


def loose_thickness(project: Project, layer: Material) -> float:
    """Loose thickness of one layer, mm: as told, else that of its kind."""
    spec = {
        "outer": project.layers.outer,
        "foam": project.layers.foam,
        "lining": project.layers.lining,
    }[layer]
    if spec.thickness is not None:
        return spec.thickness
    if layer == "foam":
        return foams.loose_thickness(spec.kind)
    return fabrics.fabric_thickness(spec.kind)


def loose_stack(project: Project) -> float:
    """Outer fabric and foam lying loose on each other, mm."""
    return sum(loose_thickness(project, layer) for layer in QUILTED)


def squeeze(project: Project, layer: Material) -> Band:
    """Share of a layer's loose thickness that is left inside a stitch."""
    if layer != "foam":
        return CLOTH
    measured, loose = measured_thickness(project), loose_thickness(project, "foam")
    if measured is not None and loose > 0:
        cloth = CLOTH.expected * loose_thickness(project, "outer")
        low, expected, high = (
            min(max((inside - cloth) / loose, 0.0), 1.0)
            for inside in (measured.low, measured.expected, measured.high)
        )
        return Band(low=low, expected=expected, high=high)
    return SOFT if is_soft(project) else FIRM


def is_soft(project: Project) -> bool:
    """Whether fleece or batting lies under the outer fabric, which gives way, and not foam."""
    kind = project.layers.foam.kind
    return find_batting(kind) is not None or "fleece" in kind.casefold()


def swatch_stitch(project: Project) -> Stitch | None:
    """What the threads of the maker's swatch tell; ``None`` without one."""
    swatch = project.swatch
    told = None if swatch is None else swatch.stitch_length
    usual = project.fills[0].stitch_length or project.quilting.stitch_length
    return stitch_of(swatch, told or usual)


def measured_thickness(project: Project) -> Band | None:
    """Thickness inside a quilting stitch by the swatch, or as told; ``None`` where neither is."""
    stitch, told = swatch_stitch(project), project.layers.sewn_thickness
    if stitch is not None:
        return stitch.thickness
    return None if told is None else Band(low=told, expected=told, high=told)


def needle_share(project: Project) -> float:
    """The needle thread's share of what goes through the layers: measured, else as told."""
    stitch = swatch_stitch(project)
    return project.threaded.needle_share if stitch is None else stitch.share


def stitch_thickness(project: Project, through: Sequence[Material]) -> Band:
    """Thickness inside the drawn-down stitch through some layers, mm."""
    measured = measured_thickness(project)
    if measured is not None and tuple(through) == QUILTED:
        return measured
    total = Band(low=0.0, expected=0.0, high=0.0)
    for layer in through:
        total = total.plus(squeeze(project, layer).times(loose_thickness(project, layer)))
    return total


def thread_model(project: Project, tail: float) -> str:
    """One sentence on how the thread was reckoned."""
    band = stitch_thickness(project, QUILTED)
    stitch = swatch_stitch(project)
    if stitch is not None:
        readings = "1 reading" if stitch.readings == 1 else f"{stitch.readings} readings"
        inside = (
            f"{band.low:.2g} to {band.high:.2g} mm inside the stitch, expected "
            f"{band.expected:.2g} mm (your swatch, {readings})"
        )
    elif project.layers.sewn_thickness is not None:
        inside = f"{band.expected:.2g} mm inside the stitch as you measured it"
    else:
        inside = (
            f"{band.low:.2g} to {band.high:.2g} mm inside the stitch, expected "
            f"{band.expected:.2g} mm (common practice for {loose_stack(project):.2g} mm of loose "
            f"layers; a sewn swatch tells better)"
        )
    share = needle_share(project)
    whose = (
        "half to each thread"
        if share == 0.5
        else f"{share:.0%} of what goes through the layers from the needle thread"
    )
    loop = (
        "the loop of both threads with round ends"
        if stitch is not None
        else "the loop of both threads between an ellipse and a rectangle, expected with round ends"
    )
    return (
        f"Lockstitch, ISO 4915 type 301, stitch by stitch: {loop}, {inside}; {whose}, and "
        f"{tail:g} mm of tail at both ends of every run."
    )
