"""Sentences on how to set the machine up: foot, tension, and a gauge for the stitch length."""

from __future__ import annotations

from loftline.project import Project
from loftline.project.faults import listed
from loftline.trade.feet import Foot, choose_foot
from loftline.units import format_length

THICKER = 1.3
"""A needle thread so many times as thick as the bobbin thread pulls it down (common practice)."""
_GAUGE_STITCHES = 10


def foot_of(project: Project) -> Foot:
    """The foot that the maker has told, else the one for her design."""
    told = project.machine.foot_kind
    straight = all(fill.straight for fill in project.fills)
    if told is not None:
        straight = told == "walking foot"
    return choose_foot(by_hand=project.machine.guided == "hand", straight=straight)


def foot_words(project: Project) -> str:
    """Which foot, and why."""
    foot = foot_of(project)
    return f"Foot: {foot.name}; {foot.why}."


def tension_words(project: Project) -> str:
    """Where the two threads should lock, and what to turn when they do not."""
    needle, bobbin = project.threaded.needle.tex_value, project.threaded.bobbin.tex_value
    words = (
        "Tension: on a swatch of the same layers the two threads should lock inside the layers, "
        "neither showing on the other's side. Where the bobbin thread shows on top, turn the "
        "needle tension lower; where loops of needle thread show below, higher."
    )
    if needle > THICKER * bobbin:
        words += (
            f" Your needle thread (tex {needle:.3g}) is thicker than the bobbin thread (tex "
            f"{bobbin:.3g}): it is stiffer and pulls the bobbin thread up, so begin with less "
            "needle tension."
        )
    elif bobbin > THICKER * needle:
        words += (
            f" Your bobbin thread (tex {bobbin:.3g}) is thicker than the needle thread (tex "
            f"{needle:.3g}): begin with more needle tension, or a looser bobbin case."
        )
    return words


def stitch_lengths_of(project: Project) -> dict[str, float]:
    """Stitch lengths that are aimed at, mm, each by its key."""
    own = [(i, fill.stitch_length) for i, fill in enumerate(project.fills)]
    lengths = {f"fills[{i}].stitch_length": mm for i, mm in own if mm is not None}
    if len(lengths) < len(own):
        return {"quilting.stitch_length": project.quilting.stitch_length} | lengths
    return lengths


def hands_make_length(project: Project) -> bool:
    """Whether the maker moves the panel under a foot that does not feed it."""
    return project.machine.guided == "hand" and foot_of(project).name.startswith("free-motion")


def gauge_words(project: Project) -> str:
    """What some stitches on a swatch should measure."""
    lengths = dict.fromkeys(stitch_lengths_of(project).values())
    size = listed([format_length(_GAUGE_STITCHES * mm, project.units) for mm in lengths], "or")
    if len(lengths) > 1:
        size += " (each design its own)"
    if hands_make_length(project):
        return (
            f"Gauge: ten stitches should measure about {size}. With the feed dogs lowered your "
            "hands make the length: move evenly, and count ten now and then."
        )
    if project.machine.guided == "hand":
        return (
            f"Gauge: ten stitches on a swatch of the same layers should measure {size}, else turn "
            "the stitch-length dial."
        )
    return (
        f"Gauge: ten stitches of a straight line should measure {size}; the file sets them, so if "
        "they do not, the panel slips in the hoop."
    )


def side_words(project: Project) -> str:
    """Which thread shows where; nothing where the needle thread does, as usual."""
    if project.quilting.sewn_from == "outer":
        return ""
    needle, bobbin = project.threaded.needle.tex_value, project.threaded.bobbin.tex_value
    return (
        f"Sewn from the back: the bobbin thread (tex {bobbin:.3g}) shows on the outer fabric, the "
        f"needle thread (tex {needle:.3g}) lies on the back. Judge the swatch by its underside. A "
        "bobbin that runs out within a line leaves its join on the outer fabric."
    )
