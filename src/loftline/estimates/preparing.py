"""Sentences on what is done before the first stitch: marking, basting, hooping."""

from __future__ import annotations

from loftline.project import Project, held_as
from loftline.project.faults import listed
from loftline.trade import fabrics
from loftline.values import Panel


def mark_words(project: Project, panel: Panel) -> str:
    """What is marked on the side that lies up."""
    what = ["the outline"]
    if panel.folds:
        what.append("the folds")
    if panel.pieces:
        what.append("the centre of every piece of hardware")
    if any(not zone.hardware for zone in panel.keep_outs):
        what.append("the places that stay free of lines")
    if project.machine.guided == "hand":
        straight = all(fill.straight for fill in project.fills)
        what.append(
            "the quilting lines (only the first of each direction where a guide bar follows it)"
            if straight
            else "the quilting lines"
        )
    pen = "with a pen you have tried on a scrap"
    if project.quilting.sewn_from == "back":
        return (
            f"Mark on the back, the side that lies up while you quilt, {pen}: "
            f"{listed(what, 'and')}. The sheets are drawn that way round."
        )
    return f"Mark on the outer fabric, {pen}: {listed(what, 'and')}."


def baste_words(project: Project, panel: Panel) -> str:
    """How the layers are held together."""
    outer = project.layers.outer
    if fabrics.keeps_holes(outer.kind, told=outer.keeps_holes):
        where = "in the overhang only" if panel.overhang > 0 else "not at all"
        return f"Hold the layers with clips, not pins; baste {where}, as every hole stays."
    hard = any(piece.fitted == "before quilting" for piece in panel.pieces)
    clear = " clear of the hardware" if hard else ""
    return f"Baste the layers together, with pins or long stitches{clear}."


def hoop_words(project: Project, placings: int = 1) -> tuple[str, ...]:
    """How the panel gets into the hoop, each time; nothing where it is guided by hand."""
    if project.machine.guided == "hand":
        return ()
    how = (
        "Hoop the panel itself, flat and not stretched, its marks in line with the hoop's."
        if held_as(project) == "clamped"
        else "Hoop backing alone, and lay the panel on it by its marks."
    )
    if project.quilting.sewn_from == "back":
        how += " The outer fabric lies down, on the machine's bed."
    if placings == 1:
        return (how,)
    again = (
        f"Do so {placings} times, in the order of the files' numbers: from the second on by what "
        "is sewn already, the needle brought down by hand over two true points or more."
    )
    return (how, again)


def lay_words(project: Project) -> str:
    """How the panel lies under the needle; nothing where the outer fabric lies up."""
    if project.quilting.sewn_from == "outer":
        return ""
    tex = project.threaded.bobbin.tex_value
    return (
        f"The outer fabric lies down, and the bobbin thread, tex {tex:.3g}, is the one that shows "
        "on it."
    )
