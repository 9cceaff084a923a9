"""Which rectangles are cut for one bag, and how large."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from loftline.errors import Finding
from loftline.project import CuttingSpec, Project
from loftline.trade.cloths import least_oversize
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import CutPiece, Material, Panel

from .advice import foam_backed
from .draw_in import draw_in, overhang_for

PANEL_NAMES: dict[Material, str] = {
    "outer": "panel, outer fabric",
    "foam": "panel, foam",
    "lining": "panel, lining",
}


def cut_pieces(
    project: Project, panel: Panel, cutting: CuttingSpec, *, allowed: float = 0.0
) -> Iterator[CutPiece]:
    """The panel's own rectangles, then the pockets in the order of the project file.

    A panel is cut as the rectangle around its outline: its shape is marked and trimmed after
    quilting. The outer fabric reaches into the overhang; foam as far as ``layers.foam_to``
    says; the lining, which is not quilted, to the outline.

    Args:
        project: its layers and number of bags.
        panel: its outline, overhang and seam allowance.
        cutting: whether it is lined, its pockets.
        allowed: percent by which the panel is drawn larger for the draw-in; what is not
            quilted does not shrink, and is cut to the finished size.
    """
    x0, y0, x1, y1 = panel.outline.bounds
    wide, high, more = x1 - x0, y1 - y0, 2 * panel.overhang
    share = 1 - allowed / 100

    def piece(name: str, material: Material, size: tuple[float, float], count: int = 1) -> CutPiece:
        return CutPiece(
            name=name,
            material=material,
            width=size[0],
            height=size[1],
            count=count,
            in_all=count * project.copies,
        )

    yield piece(PANEL_NAMES["outer"], "outer", (wide + more, high + more))
    if foam_backed(project):
        yield piece(PANEL_NAMES["foam"], "foam", _foam_size(project, panel))
    if cutting.lining:
        yield piece(PANEL_NAMES["lining"], "lining", (wide * share, high * share))
    for pocket in cutting.pockets:
        extra = 2 * panel.seam_allowance * share if pocket.seam_allowance == "add" else 0.0
        size = (pocket.width + extra, pocket.height + extra)
        yield piece(pocket.name, pocket.material, size, pocket.count)


def _foam_size(project: Project, panel: Panel) -> tuple[float, float]:
    """Width and height of the foam; to the outline where no seam line is left."""
    reach = {"overhang": panel.overhang, "outline": 0.0, "seam line": -panel.seam_allowance}[
        project.layers.foam_to
    ]
    x0, y0, x1, y1 = panel.outline.bounds
    if reach >= 0:
        return (x1 - x0 + 2 * reach, y1 - y0 + 2 * reach)
    inner = shapely.buffer(panel.outline, reach, join_style="mitre")
    if inner.is_empty:
        return (x1 - x0, y1 - y0)
    x0, y0, x1, y1 = inner.bounds
    return (x1 - x0, y1 - y0)


def oversize(project: Project, panel: Panel, *, allowed: float = 0.0) -> Iterator[Finding]:
    """A note where less is left around the panel than quilting may draw in.

    A draw-in that was measured or told asks for its own oversize, another for the usual one. A
    panel that is drawn larger for it needs none.
    """
    if allowed > 0:
        return
    x0, y0, x1, y1 = panel.outline.bounds
    found, unit = draw_in(project), project.units
    usual = found.source == "spacing"
    least = (
        least_oversize(max(x1 - x0, y1 - y0)) if usual else overhang_for(found, x1 - x0, y1 - y0)
    )
    if panel.overhang >= least - SAME_PLACE_MM:
        return
    size = format_length(least, unit)
    asks = {
        "spacing": f"{size} is usual",
        "told": f"{size} is needed for the draw-in that you wrote",
        "swatch": f"{size} is needed by your swatch",
    }[found.source]
    yield Finding(
        code="oversize-small",
        severity="note",
        where="panel.overhang",
        message=f"the outer fabric is cut {format_length(panel.overhang, unit)} larger than the "
        f"panel on each side; quilting draws it in, and {asks}",
        remedy="take more overhang" + (", or measure the draw-in on a swatch" if usual else ""),
    )
