"""Seams of the whole bag: those its shape brings along, as the maker changed them, and her own."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from loftline.project import Project, SeamSpec
from loftline.trade.threads import TAIL_MM
from loftline.trade.usual_seams import (
    DARTS,
    JOIN_LINING,
    ROUND_PANEL,
    USUAL_SEAMS,
    UsualSeam,
    pocket_seam,
)
from loftline.values import Material, Panel, Seam

from .advice import foam_backed
from .layers import needle_share, stitch_thickness, swatch_stitch
from .stitch_types import stitch_threads

_WIDTH_MM = 4.0
"""Of a zigzag or an overedge stitch whose width is not told (common practice)."""


@dataclass(frozen=True, slots=True)
class _Planned:
    """A seam with its length, before its thread is reckoned; ``pieces`` are sewn one by one."""

    seam: UsualSeam
    length: float
    pieces: int
    thread: str = "sewing"
    usual: bool = True


def bag_seams(project: Project, panel: Panel) -> tuple[Seam, ...]:
    """All seams of one bag, in the order of :mod:`loftline.trade.usual_seams`, then her own.

    Args:
        project: its seams, layers and threads.
        panel: the lengths of its edges, its darts.
    """
    planned = {seam.seam.name: seam for seam in _usual(project, panel)}
    for spec in project.seams:
        planned[spec.name] = _changed(spec, planned.get(spec.name), panel)
    return tuple(_reckoned(project, seam) for seam in planned.values() if seam.seam.passes > 0)


def _usual(project: Project, panel: Panel) -> Iterator[_Planned]:
    """What is sewn on the open panel first: zigzag, darts, pockets."""
    lined = project.cutting is None or project.cutting.lining
    planned = [
        _Planned(seam, _along(seam, panel), len(seam.along))
        for seam in USUAL_SEAMS[project.panel.shape]
    ]
    flat = [one for one in planned if one.seam.name == ROUND_PANEL]
    if panel.darts:
        length = sum(dart.seam for dart in panel.darts)
        flat += [_Planned(seam, length, len(panel.darts)) for seam in DARTS]
    flat += _pockets(project, panel)
    for one in (*flat, *(one for one in planned if one not in flat)):
        if lined or not (set(one.seam.through) == {"lining"} or one.seam.name == JOIN_LINING):
            yield one


def _pockets(project: Project, panel: Panel) -> Iterator[_Planned]:
    for pocket in project.cutting.pockets if project.cutting is not None else ():
        seam = pocket_seam(pocket.name, pocket.material)
        # an allowance that is included is folded in before it is sewn on
        less = 2 * panel.seam_allowance if pocket.seam_allowance == "included" else 0.0
        sides = max(pocket.width - less, 0.0) + max(pocket.height - less, 0.0)
        yield _Planned(seam, 2 * sides * pocket.count, 2 * pocket.count)


def _along(seam: UsualSeam, panel: Panel) -> float:
    return sum(panel.edge_lengths[edge] * share for edge, share in seam.along)


def _changed(spec: SeamSpec, usual: _Planned | None, panel: Panel) -> _Planned:
    """What the maker wrote over what the shape brings along, or a seam of her own."""
    base = usual or _Planned(UsualSeam(name=spec.name, along=(), through=("outer", "outer")), 0, 1)
    own = base.seam
    seam = replace(
        own,
        kind=spec.type or own.kind,
        stitch_length=spec.stitch_length or own.stitch_length,
        width=spec.width or own.width,
        passes=own.passes if spec.passes is None else spec.passes,
        through=spec.through or own.through,
    )
    length, pieces = base.length, base.pieces
    if spec.seam_length is not None:
        length, pieces = spec.seam_length, 1
    elif spec.edges is not None:
        length, pieces = sum(panel.edge_lengths[edge] for edge in spec.edges), len(spec.edges)
    return _Planned(seam, length, pieces, spec.thread, usual=False)


def _reckoned(project: Project, planned: _Planned) -> Seam:
    seam = planned.seam
    through = _through(project, seam)
    wide = (seam.width or _WIDTH_MM) if seam.kind in ("304", "504") else 0.0
    # a piece of seam is sewn in whole stitches
    each = math.ceil(planned.length / max(planned.pieces, 1) / seam.stitch_length - 1e-9)
    stitches = each * planned.pieces * seam.passes
    needle, under = stitch_threads(
        seam.kind,
        seam.stitch_length,
        stitch_thickness(project, through),
        width=wide,
        share=needle_share(project),
        measured=swatch_stitch(project) is not None,
    )
    tails = 2 * planned.pieces * seam.passes * TAIL_MM["stop"]
    return Seam(
        name=seam.name,
        kind=seam.kind,
        length=planned.length,
        passes=seam.passes,
        stitch_length=seam.stitch_length,
        width=wide,
        through=through,
        thread=planned.thread,
        usual=planned.usual,
        stitches=stitches,
        needle=needle.times(stitches).plus(tails),
        under=under.times(stitches).plus(tails * (2 if seam.kind == "504" else 1)),
    )


def _through(project: Project, seam: UsualSeam) -> tuple[Material, ...]:
    """Layers that are there: no foam where the bag has none, or where it ends before the seam."""
    short = project.layers.foam_to == "seam line" and not seam.lies_inside
    found: list[Material] = []
    for layer in seam.through:
        if layer == "foam" and (short or not foam_backed(project)):
            continue
        found.append(layer)
    return tuple(found)
