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


@dataclass(frozen=True, slots=True)
class _Shrunk:
    """The panel, ``share`` times as large as it is drawn."""

    panel: Panel
    share: float

    def edge(self, name: str) -> float:
        """Length of a named edge, mm."""
        return self.panel.edge_lengths[name] * self.share

    @property
    def darts(self) -> float:
        """Length of the seams of all darts, mm."""
        return sum(dart.seam for dart in self.panel.darts) * self.share

    @property
    def seam_allowance(self) -> float:
        """Millimetres."""
        return self.panel.seam_allowance * self.share


def bag_seams(project: Project, panel: Panel, *, allowed: float = 0.0) -> tuple[Seam, ...]:
    """All seams of one bag, in the order of :mod:`loftline.trade.usual_seams`, then her own.

    Args:
        project: its seams, layers and threads.
        panel: the lengths of its edges, its darts.
        allowed: percent by which the panel is drawn larger for the draw-in: it has shrunk by
            as much before its seams are sewn.
    """
    shrunk = _Shrunk(panel, 1 - allowed / 100)
    planned = {seam.seam.name: seam for seam in _usual(project, shrunk)}
    for spec in project.seams:
        planned[spec.name] = _changed(spec, planned.get(spec.name), shrunk)
    return tuple(_reckoned(project, seam) for seam in planned.values() if seam.seam.passes > 0)


def _usual(project: Project, shrunk: _Shrunk) -> Iterator[_Planned]:
    """What is sewn on the open panel first: zigzag, darts, pockets."""
    planned = [
        _Planned(
            seam, sum(shrunk.edge(edge) * share for edge, share in seam.along), len(seam.along)
        )
        for seam in USUAL_SEAMS[project.panel.shape]
    ]
    flat = [one for one in planned if one.seam.name == ROUND_PANEL]
    count = len(shrunk.panel.darts)
    if count:
        flat += [_Planned(seam, shrunk.darts, count) for seam in DARTS]
    rest = [one for one in planned if one not in flat]
    yield from (one for one in flat if _is_sewn(project, one.seam))
    yield from _pockets(project, shrunk)
    yield from (one for one in rest if _is_sewn(project, one.seam))


def _is_sewn(project: Project, seam: UsualSeam) -> bool:
    """Whether a seam of the shape or of its darts is there: without lining some are not."""
    of_lining = set(seam.through) == {"lining"} or seam.name == JOIN_LINING
    return lined(project) or not of_lining


def _pockets(project: Project, shrunk: _Shrunk) -> Iterator[_Planned]:
    for pocket in project.cutting.pockets if project.cutting is not None else ():
        seam = pocket_seam(pocket.name, pocket.material)
        # an allowance that is included is folded in before it is sewn on
        less = 2 * shrunk.seam_allowance if pocket.seam_allowance == "included" else 0.0
        sides = max(pocket.width - less, 0.0) + max(pocket.height - less, 0.0)
        yield _Planned(seam, 2 * sides * pocket.count, 2 * pocket.count)


def _changed(spec: SeamSpec, usual: _Planned | None, shrunk: _Shrunk) -> _Planned:
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
        length, pieces = sum(map(shrunk.edge, spec.edges)), len(spec.edges)
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
        pieces=planned.pieces,
        needle=needle.times(stitches).plus(tails),
        under=under.times(stitches).plus(tails * (2 if seam.kind == "504" else 1)),
    )


def _through(project: Project, seam: UsualSeam) -> tuple[Material, ...]:
    """Layers that are there: no foam where the bag has none, or where it ends before the seam."""
    short = project.layers.foam_to == "seam line" and not seam.lies_inside
    missing: set[Material] = set()
    if short or not foam_backed(project):
        missing.add("foam")
    if not lined(project) and not set(seam.through) <= {"lining"}:
        missing.add("lining")
    return tuple(layer for layer in seam.through if layer not in missing)


def lined(project: Project) -> bool:
    """Whether the bag has a lining; it has one unless the project says no."""
    return project.cutting is None or project.cutting.lining
