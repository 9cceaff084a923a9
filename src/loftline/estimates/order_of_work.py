"""The order of work for one bag, from the first cut to the last seam.

Which seam comes when is common practice: see :mod:`loftline.trade.usual_seams`. When hardware
is fitted is what the project, or the table of hardware, says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loftline.project import Project
from loftline.trade import fabrics, foams
from loftline.trade.usual_seams import DARTS, ROUND_PANEL
from loftline.units import Unit, format_length
from loftline.values import DrawIn, Fitted, Panel, Piece, Seam, WorkStep

from .advice import chosen_needle, foam_backed
from .setting_up import foot_of, gauge_words

_MOST_NAMES = 8
_DARTS = frozenset(seam.name for seam in DARTS)
_MARK = (
    "Mark the outline, the folds and every centre and clearance ring on the outer fabric, with a "
    "pen you have tried on a scrap."
)


def order_of_work(
    project: Project, panel: Panel, seams: Sequence[Seam], runs: int, shrinks: DrawIn
) -> tuple[WorkStep, ...]:
    """Steps in the order they are done.

    Args:
        project: cloths, machine, units.
        panel: hardware, darts, sizes.
        seams: of the whole bag.
        runs: of the quilting.
        shrinks: the draw-in, and the outline's size after it.
    """
    return tuple(
        WorkStep(title=title, sentences=tuple(sentence for sentence in sentences if sentence))
        for title, sentences in _steps(project, panel, seams, runs, shrinks)
        if any(sentences)
    )


def _steps(
    project: Project, panel: Panel, seams: Sequence[Seam], runs: int, shrinks: DrawIn
) -> Iterator[tuple[str, Sequence[str]]]:
    outer, units = project.layers.outer, project.units
    holes = fabrics.keeps_holes(outer.kind, told=outer.keeps_holes)
    heat = fabrics.bears_iron(outer.kind, told=outer.heat)
    before = [seam for seam in seams if seam.name == ROUND_PANEL]
    darts = [seam for seam in seams if seam.name in _DARTS]
    rest = [seam for seam in seams if seam not in before and seam not in darts]
    yield "Cut", (_cut(project, panel),)
    yield "Mark", (_MARK,)
    yield "Fuse", (_fuse(project, heat=heat),)
    yield "Fit before quilting", _fit(panel, "before quilting")
    yield "Baste", (_baste(panel, holes=holes),)
    yield "Try", (gauge_words(project),)
    yield "Quilt", _quilt(project, panel, runs)
    yield "Zigzag and trim", (*_sew(before, units), _trim(panel, units, shrinks))
    yield "Darts", _sew(darts, units)
    yield "Fit after quilting", _fit(panel, "after quilting")
    yield "Sew the bag", _sew(rest, units)
    yield "Fit last, through all layers", _fit(panel, "after lining")
    yield "Finish", (_finish(heat=heat),)


def _cut(project: Project, panel: Panel) -> str:
    x0, y0, x1, y1 = panel.outline.bounds
    more = 2 * panel.overhang
    size = _size(x1 - x0 + more, y1 - y0 + more, project.units)
    what = "outer fabric and foam" if foam_backed(project) else "outer fabric"
    if panel.overhang == 0:
        return f"Cut {what} {size}, as large as the panel."
    extra = format_length(panel.overhang, project.units)
    return f"Cut {what} {size}: {extra} larger than the panel on every side, for the draw-in."


def _fuse(project: Project, *, heat: bool) -> str:
    if not foams.needs_iron(project.layers.foam.kind):
        return ""
    if heat:
        return f"Fuse the {project.layers.foam.kind} to the wrong side, as its maker says."
    return (
        f"The {project.layers.foam.kind} wants an iron, which this cloth does not bear: take one "
        "that is sewn in."
    )


def _baste(panel: Panel, *, holes: bool) -> str:
    if holes:
        where = "in the overhang only" if panel.overhang > 0 else "not at all"
        return f"Hold the layers with clips, not pins; baste {where}, as every hole stays."
    return "Baste the layers together, with pins or long stitches clear of the hardware."


def _quilt(project: Project, panel: Panel, runs: int) -> tuple[str, ...]:
    needle = chosen_needle(project)
    thread = f"thread of tex {project.thread.needle.tex_value:.3g}"
    count = (
        "all lines in one run" if runs == 1 else f"the {runs} runs in the order of their numbers"
    )
    first = (
        f"Sew {count}: needle {needle.label}, {needle.point}, {thread}, {foot_of(project).name}."
    )
    hard = any(piece.fitted == "before quilting" for piece in panel.pieces)
    slow = "Sew the first round slowly, and turn the wheel by hand near the hardware."
    return (first, slow if hard else "")


def _trim(panel: Panel, units: Unit, shrinks: DrawIn) -> str:
    x0, y0, x1, y1 = panel.outline.bounds
    if shrinks.allowed > 0 and shrinks.size is not None:
        size = _size(*shrinks.size, units)
        return (
            f"Trim to {size}: the outline was drawn {shrinks.allowed:.2g} % larger for the draw-in."
        )
    size = _size(x1 - x0, y1 - y0, units)
    if panel.overhang == 0:
        return f"Measure the panel: it should still be {size}."
    return f"Trim to the outline, {size}; measure first, as quilting draws the panel in."


def _fit(panel: Panel, when: Fitted) -> tuple[str, ...]:
    pieces = [piece for piece in panel.pieces if piece.fitted == when]
    if not pieces:
        return ()
    names = [_piece(piece) for piece in pieces[:_MOST_NAMES]]
    more = len(pieces) - len(names)
    listed = "; ".join(names) + (f"; and {more} more" if more else "")
    first = f"{listed[0].upper()}{listed[1:]}."
    if when != "before quilting":
        return (first,)
    return (
        first,
        "Tape a ring at the clearance round each, so that the needle's limit is seen and felt.",
    )


def _piece(piece: Piece) -> str:
    return piece.name + (f" ({piece.face_up})" if piece.face_up else "")


def _sew(seams: Sequence[Seam], units: Unit) -> tuple[str, ...]:
    return tuple(_seam(seam, units) for seam in seams)


def _seam(seam: Seam, units: Unit) -> str:
    stitch = format_length(seam.stitch_length, units)
    wide = f", {format_length(seam.width, units)} wide" if seam.width > 0 else ""
    times = "" if seam.passes == 1 else f", {seam.passes} times"
    name = f"{seam.name[0].upper()}{seam.name[1:]}"
    length = format_length(round(seam.length, 1), units)
    return f"{name}: {length}{times}, stitch {stitch}{wide}."


def _finish(*, heat: bool) -> str:
    press = "press, under a cloth" if heat else "smooth with the hand, as this cloth bears no iron"
    return f"Close the last opening, clip the threads, {press}."


def _size(width: float, height: float, units: Unit) -> str:
    return f"{format_length(round(width, 1), units)} x {format_length(round(height, 1), units)}"
