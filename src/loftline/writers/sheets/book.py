"""Which sheets a plan has, in their order, and how many of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from loftline.mirror import as_sewn
from loftline.project import Project
from loftline.values import Batch, Plan
from loftline.writers.sheets.cutting import cutting_sheets
from loftline.writers.sheets.drawing import Drawing, draw_panel
from loftline.writers.sheets.flow import Draft, Flow
from loftline.writers.sheets.hardware import hardware_sheets
from loftline.writers.sheets.hoops import hoop_sheets
from loftline.writers.sheets.ink import Book, Face
from loftline.writers.sheets.materials import kit_sheets, material_sheets
from loftline.writers.sheets.nested import nested
from loftline.writers.sheets.order import order_sheets
from loftline.writers.sheets.overview import overview
from loftline.writers.sheets.paper import layouts
from loftline.writers.sheets.quilting import draw_quilting, guide_lines
from loftline.writers.sheets.tiles import choose_grid, one_sheet, tile_drafts
from loftline.writers.svg.wording import side_words

ABOUT = "Full-size sheets to trace, tape and sew from: print at 100 %."
FULL_SIZE = ("panel", "quilting", "guide lines")
"""Kinds that are drawn at full size."""

MANY_TILES = 12
"""More are a labour to tape."""

TITLES = {
    "overview": "Overview",
    "panel": "Panel, full size",
    "hardware": "Hardware",
    "quilting": "Quilting, full size",
    "guide lines": "Lines to mark, full size",
    "order": "Order of work",
    "hoopings": "Hoopings",
    "cutting": "Cutting list",
    "materials": "Thread and materials",
}


def usual_kinds(project: Project) -> tuple[str, ...]:
    """The sheets a maker gets who names none: a machine with a hoop follows no guide bar."""
    by_hand = project.machine.guided == "hand"
    return tuple(kind for kind in TITLES if by_hand or kind != "guide lines")


def make_book(plan: Plan, face: Face, *, paper: str, kinds: Sequence[str]) -> Book:
    """All sheets of a plan.

    Args:
        plan: what was planned.
        face: the letters.
        paper: "a4", "letter", or "one sheet": what is at full size on one sheet each.
        kinds: which sheets, words of ``TITLES``; they come in that order.

    All of them show the panel as it lies under the needle.
    """
    plan = as_sewn(plan)
    tiled = paper != "one sheet"
    found = {
        kind: _drafts(plan, face, kind, paper if tiled else "a4", tiled=tiled)
        for kind in TITLES
        if kind in kinds and kind != "overview"
    }
    if "overview" in kinds:
        first = _overview(plan, face, paper if tiled else "a4", found, 0)
        found["overview"] = _overview(plan, face, paper if tiled else "a4", found, len(first))
    drafts = [draft for kind in TITLES for draft in found.get(kind, ())]
    count = len(drafts)
    sheets = tuple(draft(f"sheet {i} of {count}") for i, draft in enumerate(drafts, 1))
    return Book(title=f"{plan.project.name}: full-size sheets", about=ABOUT, sheets=sheets)


def _overview(
    plan: Plan, face: Face, paper: str, found: Mapping[str, Sequence[Draft]], before: int
) -> Sequence[Draft]:
    """The overview, which lists the sheets after it.

    Args:
        plan: what was planned.
        face: the letters.
        paper: as for :func:`make_book`.
        found: the other sheets.
        before: how many sheets the overview itself takes.
    """
    contents = []
    number = before + 1
    for kind, drafts in found.items():
        if kind == "overview" or not drafts:
            continue
        last = number + len(drafts) - 1
        contents.append((TITLES[kind], f"{number}" if last == number else f"{number} to {last}"))
        number = last + 1
    flow = _flow(plan, face, "overview", paper)
    most = max((len(found[kind]) for kind in FULL_SIZE if kind in found), default=0)
    overview(flow, plan, contents, many=most > MANY_TILES)
    return flow.drafts()


def _flow(plan: Plan, face: Face, kind: str, paper: str) -> Flow:
    return Flow(
        face=face,
        layout=layouts(paper)[0],
        kind=kind,
        name=plan.project.name,
        title=TITLES[kind],
        side=side_words(plan.panel),
    )


def make_size_book(batch: Batch, face: Face, *, paper: str) -> Book:
    """All outlines within each other at full size, and what each student is handed.

    Args:
        batch: all sizes.
        face: the letters.
        paper: as for :func:`make_book`.
    """
    tiled = paper != "one sheet"
    panels = [as_sewn(size.plan).panel for size in batch.sizes]
    side = side_words(panels[0])
    drawing = nested(batch, panels)
    grid = choose_grid(drawing, face, paper) if tiled else one_sheet(drawing, face)
    title = f"Sizes {', '.join(size.name for size in batch.sizes)}, full size"
    flow = Flow(
        face=face,
        layout=layouts(paper if tiled else "a4")[0],
        kind="kits",
        name=batch.name,
        title="Kits",
    )
    kit_sheets(flow, batch)
    drafts = [
        *tile_drafts(drawing, grid, face, kind="sizes", name=batch.name, title=title, side=side),
        *flow.drafts(),
    ]
    sheets = tuple(draft(f"sheet {i} of {len(drafts)}") for i, draft in enumerate(drafts, 1))
    return Book(title=f"{batch.name}: all sizes", about=ABOUT, sheets=sheets)


def _drafts(plan: Plan, face: Face, kind: str, paper: str, *, tiled: bool) -> Sequence[Draft]:
    full: dict[str, Callable[[], Drawing | None]] = {
        "panel": partial(draw_panel, plan.panel, plan.project.units),
        "quilting": partial(draw_quilting, plan),
        "guide lines": partial(guide_lines, plan),
    }
    if kind in full:
        drawing = full[kind]()
        if drawing is None or (kind == "quilting" and not len(plan.sewn)):
            return []
        grid = choose_grid(drawing, face, paper) if tiled else one_sheet(drawing, face)
        return tile_drafts(
            drawing,
            grid,
            face,
            kind=kind,
            name=plan.project.name,
            title=TITLES[kind],
            side=side_words(plan.panel),
        )
    texts: dict[str, Callable[[Flow, Plan], None]] = {
        "hardware": hardware_sheets,
        "order": order_sheets,
        "hoopings": hoop_sheets,
        "cutting": cutting_sheets,
        "materials": material_sheets,
    }
    if kind == "hardware" and not (plan.panel.pieces or plan.panel.keep_outs):
        return []
    flow = _flow(plan, face, kind, paper)
    texts[kind](flow, plan)
    return flow.drafts()
