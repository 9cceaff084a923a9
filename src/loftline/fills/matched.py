"""Designs matched on the closed bag: drawn as one sees its front, carried back to the panel.

Folding is the same on both sides of a fold, on the fold itself: so what is drawn on the
closed bag and carried back through the folds runs on over each of them, as a bent line. It
runs on from a flap to what lies under its edge too, and round a side seam to the back, where
it is seen mirrored. Geometry, no source needed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely

from loftline.clips import Clip
from loftline.errors import Finding, Step
from loftline.fills.clipping import worth_sewing
from loftline.fills.cut_up import cut_up
from loftline.fills.fill_lines import FillLines, Maker
from loftline.fills.loose_ends import with_ends
from loftline.fills.rows import joined_rows, moved_rows
from loftline.geometry import axes, only_polygons
from loftline.project import FillSpec
from loftline.values import Affine, Area, Field, Floats, Laid, Panel, Part, Point, Quality

BY_PLACE = frozenset({"channel", "grid", "spiral", "rays"})
"""Patterns whose lines follow from a centre alone: drawn part by part they run on, and each
part keeps what holds near its own edges and keep-outs. All others are drawn over all parts
together and cut to each."""

_AS_SEEN = Affine(-1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
"""The closed bag is folded with its back up; seen from the front left and right change."""

_TOUCHING_MM = 0.01


def as_seen(panel: Panel) -> dict[str, Affine]:
    """Of each part the move from the flat panel to the closed bag as its front is seen.

    A part that no fold joins but one that stands square, a gusset, goes on from the part that
    it shares most of its edge with.
    """
    moves = {name: move.then(_AS_SEEN) for name, move in panel.moves.items()}
    known = [part for part in panel.parts if part.name in moves]
    if not known:
        return {}
    for part in panel.parts:
        if part.name in moves:
            continue
        near = shapely.buffer(part.area, _TOUCHING_MM)
        shared = shapely.length(shapely.intersection(near, [p.area.boundary for p in known]))
        if shared.max() > 1.0:
            moves[part.name] = moves[known[int(shared.argmax())].name]
    return moves


def lay_on_closed(
    panel: Panel, field: Field, cells: Mapping[str, tuple[Area, Area]]
) -> tuple[Laid, ...]:
    """The pieces of a field on the parts of the closed bag.

    Args:
        panel: for its parts.
        field: on the flat panel.
        cells: of each part where lines may lie, and its own area.

    Returns:
        One for each part that the field has a share of; none on a panel that does not close.
    """
    pieces = []
    for name, move in as_seen(panel).items():
        cell, own = cells[name]
        finished = field.outline if field.finished is None else field.finished
        region, outline, seen = (
            only_polygons(shapely.intersection(area, within))
            for area, within in ((field.region, cell), (field.outline, own), (finished, own))
        )
        if not region.is_empty:
            pieces.append(Laid(region=region, outline=outline, finished=seen, move=move))
    return tuple(pieces)


def closed_centre(panel: Panel) -> Point:
    """The middle of the closed bag, of the box round all its parts."""
    moves = as_seen(panel)
    lying = [moves[part.name].area(part.area) for part in panel.parts if part.name in moves]
    x0, y0, x1, y1 = shapely.union_all(lying).bounds
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def on_closed(panel: Panel, place: Point) -> Point:
    """Where a place of the flat panel lies on the closed bag."""
    moves = as_seen(panel)
    parts = [part for part in panel.parts if part.name in moves]
    spot = shapely.Point(place)
    nearest: Part = min(parts, key=lambda part: float(shapely.distance(part.area, spot)))
    return moves[nearest.name](place)


def matched(
    maker: Maker, field: Field, spec: FillSpec, seed: int, quality: Quality, step: Step
) -> FillLines:
    """A design on the closed bag, as lines of the flat panel.

    Args:
        maker: of the pattern.
        field: with its pieces laid on the closed bag; its centre there too.
        spec: angle as seen on the front of the closed bag; ``start_at`` there too.
        seed: as of any fill.
        quality: the same.
        step: the same.
    """
    if spec.start_at != "centre":
        spec = spec.model_copy(update={"start_at": field.centre})
    if spec.pattern in BY_PLACE:
        return _part_by_part(maker, field, spec, seed, quality, step)
    return _all_together(maker, field, spec, seed, quality, step)


def _part_by_part(
    maker: Maker, field: Field, spec: FillSpec, seed: int, quality: Quality, step: Step
) -> FillLines:
    made = []
    for piece in field.laid:
        lines = maker(_moved(field, piece), spec, seed, quality, step)
        made.append(_carried_back(lines, piece.move.inverse()))
    return _joined(with_ends(made, field))


def _all_together(
    maker: Maker, field: Field, spec: FillSpec, seed: int, quality: Quality, step: Step
) -> FillLines:
    laid = [_moved(field, piece) for piece in field.laid]
    whole = replace(
        field,
        region=_one_area([piece.move.area(piece.region) for piece in field.laid]),
        outline=_one_area([piece.outline for piece in laid]),
        finished=_one_area([piece.move.area(piece.finished) for piece in field.laid]),
        creases=np.empty((0, 2, 2)),
    )
    drawn = maker(whole, spec, seed, quality, step)
    made = [
        _carried_back(_cut(drawn, here), piece.move.inverse())
        for here, piece in zip(laid, field.laid, strict=True)
    ]
    made = with_ends(made, field)
    return _joined([replace(made[0], findings=drawn.findings), *made[1:]] if made else [])


def _one_area(areas: Sequence[Area]) -> Area:
    """All areas as one; seams that only rounding leaves between them are closed."""
    together = shapely.union_all([area.buffer(1e-6, join_style="mitre") for area in areas])
    return only_polygons(together.buffer(-1e-6, join_style="mitre"))


def _moved(field: Field, piece: Laid) -> Field:
    """One piece as a field of the closed bag."""
    creases = piece.move.points(field.creases.reshape(-1, 2)).reshape(-1, 2, 2)
    return replace(
        field,
        region=piece.move.area(piece.region),
        outline=piece.move.area(piece.outline),
        finished=piece.move.area(piece.finished),
        creases=creases,
        laid=(),
    )


def _cut(drawn: FillLines, field: Field) -> FillLines:
    """What of drawn lines lies in a field."""
    curves: list[Floats] = []
    family: list[int] = []
    angle: list[float] = []
    closed: list[bool] = []
    clip = Clip.to(field.region)
    for i, curve in enumerate(drawn.curves):
        pieces, _ = cut_up(curve, clip, closed=bool(drawn.closed[i]))
        for piece, loop in pieces:
            if loop or worth_sewing([piece], field):
                curves.append(piece)
                family.append(int(drawn.family[i]))
                angle.append(float(drawn.angle[i]))
                closed.append(loop)
    return FillLines(
        curves=tuple(curves),
        family=np.array(family, np.int64),
        angle=np.array(angle, np.float64),
        closed=np.array(closed, bool),
    )


def _carried_back(lines: FillLines, back: Affine) -> FillLines:
    along = np.array([axes(a)[0] if np.isfinite(a) else (np.nan, np.nan) for a in lines.angle])
    along = along.reshape(-1, 2)
    turned = back.points(along) - back.points(np.zeros((1, 2)))
    angle = np.degrees(np.arctan2(turned[:, 1], turned[:, 0])) % 180
    # half a turn less a hair is none
    angle = np.where(angle > 180 - 1e-9, 0.0, angle)
    return replace(
        lines,
        curves=tuple(back.points(curve) for curve in lines.curves),
        angle=angle,
        rows=None if lines.rows is None else moved_rows(lines.rows, back),
        # they were made by the border of a piece of the closed bag
        cuts=None,
    )


def _joined(made: Sequence[FillLines]) -> FillLines:
    """Lines of several parts, the families of each apart from those of the others."""
    if not made:
        return FillLines.of([[]], [np.nan])
    counts = [int(lines.family.max()) + 1 if len(lines.family) else 0 for lines in made]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int64)
    findings: list[Finding] = []
    for lines in made:
        findings += [finding for finding in lines.findings if finding not in findings]
    return FillLines(
        curves=tuple(curve for lines in made for curve in lines.curves),
        family=np.concatenate([m.family + f for m, f in zip(made, first, strict=True)]),
        angle=np.concatenate([lines.angle for lines in made]),
        closed=np.concatenate([lines.closed for lines in made]),
        findings=tuple(findings),
        rows=joined_rows(made),
    )
