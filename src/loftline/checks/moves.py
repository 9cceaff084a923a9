"""The machine's moves between runs, and the hoop's field."""

from __future__ import annotations

import numpy as np
import shapely

from loftline.errors import Finding
from loftline.geometry import place
from loftline.units import SAME_PLACE_MM, format_length
from loftline.values import Floats, Panel, Sewn

from .segments import count_of


def check_moves(panel: Panel, sewn: Sewn) -> tuple[Finding, ...]:
    """One finding for each piece standing above the fabric that the machine moves over.

    Looked at are the straight moves from the origin to the first needle point and from the
    last point of a run over its ``via`` places to the first point of the next, against the
    hard edge itself: the foot is up while the machine moves. O(r) for r runs and places.
    """
    above = [keep_out for keep_out in panel.keep_outs if keep_out.lies == "above"]
    moves = machine_moves(sewn)
    if not above or not len(moves):
        return ()
    lines = np.asarray(shapely.linestrings(moves))
    findings = []
    for keep_out in above:
        shapely.prepare(keep_out.outline)
        hits = moves[shapely.dwithin(keep_out.outline, lines, SAME_PLACE_MM)]
        if len(hits):
            findings.append(
                Finding(
                    code="move-over-hardware",
                    severity="error",
                    where=f"{keep_out.name}, from {place(hits[0, 0])} to {place(hits[0, 1])}",
                    message=f"{count_of(len(hits), 'move', 'moves')} of the machine between runs "
                    f'would cross "{keep_out.name}", which stands above the fabric',
                    remedy="fit it after quilting, or change where the runs begin and end",
                )
            )
    return tuple(findings)


def machine_moves(sewn: Sewn) -> Floats:
    """Straight moves of the machine without sewing, ``(k, 2, 2)`` in mm."""
    if not len(sewn):
        return np.empty((0, 2, 2))
    points = np.column_stack([sewn.x, sewn.y])
    head = np.append(True, sewn.run[1:] != sewn.run[:-1])
    tail = np.append(head[1:], True)
    runs = sewn.run[head]
    leads_to = np.searchsorted(runs, sewn.via_run)  # one past the last: on after the last run
    number = np.arange(len(runs))
    stops = np.concatenate([[sewn.origin], points[tail], sewn.via.reshape(-1, 2), points[head]])
    move = np.concatenate([[0], number + 1, leads_to, number])
    step = np.repeat([0, 1, 2], [len(runs) + 1, len(leads_to), len(runs)])
    order = np.lexsort((step, move))  # stable: places keep their order within a move
    stops, move = stops[order] / 10, move[order]
    same = move[1:] == move[:-1]
    return np.stack([stops[:-1][same], stops[1:][same]], axis=1)


def check_field(sewn: Sewn, field: tuple[float, float] | None) -> tuple[Finding, ...]:
    """A finding where needle points or moves need more room than the hoop's field.

    Args:
        sewn: one hooping.
        field: width and height of what the needle can reach, mm; ``None`` without a hoop.
    """
    if field is None or not len(sewn):
        return ()
    places = np.concatenate([np.column_stack([sewn.x, sewn.y]), sewn.via.reshape(-1, 2)])
    width, height = (places.max(axis=0) - places.min(axis=0)) / 10
    if width <= field[0] + SAME_PLACE_MM and height <= field[1] + SAME_PLACE_MM:
        return ()
    return (
        Finding(
            code="field-exceeded",
            severity="error",
            where=f"from {place(places.min(axis=0) / 10)} to {place(places.max(axis=0) / 10)}",
            message=f"the quilting needs {_by(width, height)}, the hoop holds {_by(*field)}",
            remedy="take a larger hoop, or leave a wider hoop_margin for the moves between runs",
        ),
    )


def _by(width: float, height: float) -> str:
    return f"{format_length(width).removesuffix(' mm')} x {format_length(height)}"
