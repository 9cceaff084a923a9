"""The order of work for one bag, from the first cut to the last seam.

Which seam comes when is common practice: see :mod:`loftline.trade.usual_seams`. When hardware
is fitted is what the project, or the table of hardware, says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loftline.project import Project
from loftline.trade import fabrics, foams
from loftline.trade.usual_seams import DARTS, JOIN_LINING, ROUND_PANEL, ZIP_TOPSTITCH
from loftline.units import Unit, format_length, stitch_words, tape_length
from loftline.values import DrawIn, Fitted, Panel, Piece, Seam, WorkStep

from .advice import chosen_needle, foam_backed
from .preparing import baste_words, hoop_words, lay_words, mark_words
from .setting_up import foot_of, gauge_words
from .whole_bag import lined

_MOST_NAMES = 8
_TURN = "Leave a hand's width open in the lining, and turn the bag right side out there."
_TO_OUTER, _FROM_OUTER = "marked face to the outer fabric", "marked face away from it"
_DARTS = frozenset(seam.name for seam in DARTS)


def order_of_work(
    project: Project,
    panel: Panel,
    seams: Sequence[Seam],
    runs: int,
    shrinks: DrawIn,
    placings: int = 1,
) -> tuple[WorkStep, ...]:
    """Steps in the order they are done.

    Args:
        project: cloths, machine, units.
        panel: hardware, darts, sizes.
        seams: of the whole bag.
        runs: of the quilting.
        shrinks: the draw-in, and the outline's size after it.
        placings: how often the panel is laid into the hoop.
    """
    return tuple(
        WorkStep(title=title, sentences=tuple(sentence for sentence in sentences if sentence))
        for title, sentences in _steps(project, panel, seams, runs, shrinks, placings)
        if any(sentences)
    )


def _steps(
    project: Project,
    panel: Panel,
    seams: Sequence[Seam],
    runs: int,
    shrinks: DrawIn,
    placings: int,
) -> Iterator[tuple[str, Sequence[str]]]:
    outer, units = project.layers.outer, project.units
    heat = fabrics.bears_iron(outer.kind, told=outer.heat)
    before = [seam for seam in seams if seam.name == ROUND_PANEL]
    darts = [seam for seam in seams if seam.name in _DARTS]
    rest = [seam for seam in seams if seam not in before and seam not in darts]
    yield "Cut", tuple(_cut(project, panel, shrinks))
    yield from _laid(project, panel, heat=heat)
    yield "Baste", (baste_words(project, panel),)
    yield "Try", (gauge_words(project),)
    yield "Hoop", hoop_words(project, placings)
    yield "Quilt", _quilt(project, panel, runs)
    yield "Zigzag and trim", (*_sew(before, units), _trim(panel, units, shrinks))
    yield "Darts", _sew(darts, units)
    yield "Fit after quilting", _fit(panel, "after quilting")
    yield "Sew the bag", tuple(_bag(project, rest))
    yield "Fit last, through all layers", _fit(panel, "after lining")
    yield "Finish", (_finish(rest, heat=heat),)


def _laid(project: Project, panel: Panel, *, heat: bool) -> Iterator[tuple[str, Sequence[str]]]:
    """Marked, fitted and fused: an iron may set the marks, and what lies under comes first."""
    fuse, fit = _fuse(project, heat=heat), _fit(panel, "before quilting")
    mark = mark_words(project, panel)
    if fit:
        yield from (("Mark", (mark,)), ("Fit before quilting", fit), ("Fuse", (fuse,)))
    else:
        yield from (("Fuse", (fuse,)), ("Mark", (mark,)))


def _cut(project: Project, panel: Panel, shrinks: DrawIn) -> Iterator[str]:
    x0, y0, x1, y1 = panel.outline.bounds
    more, units = 2 * panel.overhang, project.units
    size = _size(x1 - x0 + more, y1 - y0 + more, units)
    foam, reach = foam_backed(project), project.layers.foam_to
    what = "outer fabric and foam" if foam and reach == "overhang" else "outer fabric"
    if panel.overhang == 0:
        yield f"Cut {what} {size}, as large as the panel."
    else:
        extra = format_length(panel.overhang, units)
        yield f"Cut {what} {size}: {extra} larger than the panel on every side, for the draw-in."
    if foam and reach != "overhang":
        yield f"Cut the foam to the {reach}."
    if lined(project):
        after = shrinks.size if shrinks.allowed > 0 else None
        sides = (x1 - x0, y1 - y0) if after is None else after
        yield f"Cut the lining {_size(*sides, units)}, as large as the finished panel."
    if project.cutting is not None and project.cutting.pockets:
        yield "Cut the pockets as the cutting list says."


def _fuse(project: Project, *, heat: bool) -> str:
    if not foams.needs_iron(project.layers.foam.kind):
        return ""
    if heat:
        return f"Fuse the {project.layers.foam.kind} to the wrong side, as its maker says."
    return (
        f"The {project.layers.foam.kind} wants an iron, which this cloth does not bear: take one "
        "that is sewn in."
    )


def _quilt(project: Project, panel: Panel, runs: int) -> tuple[str, ...]:
    needle = chosen_needle(project)
    thread = f"thread of tex {project.threaded.needle.tex_value:.3g}"
    count = (
        "all lines in one run" if runs == 1 else f"the {runs} runs in the order of their numbers"
    )
    first = (
        f"Sew {count}: needle {needle.label}, {needle.point}, {thread}, {foot_of(project).name}."
    )
    hard = any(piece.fitted == "before quilting" for piece in panel.pieces)
    slow = "Sew the first round slowly, and turn the wheel by hand near the hardware."
    return (lay_words(project), first, slow if hard else "")


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
    told = piece.face_up
    if told and piece.outer_down:  # up and down change places as the panel is turned over
        told = _TO_OUTER if told.endswith("up") else _FROM_OUTER
    return piece.name + (f" ({told})" if told else "")


def _bag(project: Project, seams: Sequence[Seam]) -> Iterator[str]:
    """The seams, and what is done with the hands between them."""
    turned = _turned_after(seams)
    if project.panel.shape == "strap" and seams:
        yield "Fold in both long edges, fold the strap along its middle and clip it."
    for seam in seams:
        yield _seam(seam, project.units)
        if seam.name == ZIP_TOPSTITCH:
            yield "Open the zip, so that the pouch can be turned."
        if seam is turned:
            yield _TURN


def _turned_after(seams: Sequence[Seam]) -> Seam | None:
    """The seam after which a lined bag is turned; ``None`` where nothing is closed yet."""
    joins = [seam for seam in seams if seam.name == JOIN_LINING]
    if not joins and any(seam.name == ZIP_TOPSTITCH for seam in seams):
        joins = [seam for seam in seams if seam.usual and set(seam.through) == {"lining"}]
    return joins[-1] if joins else None


def _sew(seams: Sequence[Seam], units: Unit) -> tuple[str, ...]:
    return tuple(_seam(seam, units) for seam in seams)


def _seam(seam: Seam, units: Unit) -> str:
    stitch = stitch_words(seam.stitch_length, units)
    wide = f", {format_length(seam.width)} wide" if seam.width > 0 else ""
    times = "" if seam.passes == 1 else f", {seam.passes} times"
    name = f"{seam.name[0].upper()}{seam.name[1:]}"
    return f"{name}: {tape_length(seam.length, units)}{times}, stitch {stitch}{wide}."


def _finish(seams: Sequence[Seam], *, heat: bool) -> str:
    opening = _turned_after(seams) is not None
    first = "Close the opening in the lining, clip" if opening else "Clip"
    press = "press under a cloth" if heat else "smooth with the hand, as this cloth bears no iron"
    return f"{first} the threads, {press}."


def _size(width: float, height: float, units: Unit) -> str:
    return f"{format_length(round(width, 1), units)} x {format_length(round(height, 1), units)}"
