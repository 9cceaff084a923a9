"""Stitches over what is sewn already: half a stitch apart from those of the first pass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loftline.geometry import ranges
from loftline.stitches.anchors import NEAR_MM
from loftline.stitches.laying import Laid, chord_errors
from loftline.stitches.path import Path
from loftline.stitches.spans import Spans
from loftline.units import LEAST_STITCH_MM, NEEDLE_GRID_MM, SAME_PLACE_MM
from loftline.values import Bools, Floats

_SLACK = 1e-6


def lay_between(path: Path, spans: Spans, first_pass: Floats) -> tuple[Spans, Laid, Bools]:
    """Lay the stitches of spans so that each hole lies between two of the first pass.

    A hole that would lie too near to an end of its span is left out where the stitch beside it
    does not grow longer than those of the first pass.

    Args:
        path: the runs.
        spans: each wholly over what was sewn before.
        first_pass: ``(n,)`` place of every path vertex among the needle points of the path.

    Returns:
        The spans with their counts, what is laid, and of which spans it can be used.
    """
    begin, last, sizes = spans.begin[:-1], spans.ends, np.diff(spans.begin)
    at = first_pass[path.sewn[spans.index]]
    along = first_pass[path.sewn_to[spans.index]] - at
    share = path.share[spans.index]
    before = at + share[:, 0] * along
    reached = np.append(0.0, (at + share[:, 1] * along)[:-1])
    before[last] = reached[last]
    # stitches of the first pass from the span's first vertex, whichever way it was sewn
    onward = before[last] >= before[begin]
    passed = np.abs(before - np.repeat(before[begin], sizes))
    whole = passed[last]
    lead = np.where(onward, 0.5 - before[begin], before[begin] - 0.5) % 1.0
    room = NEAR_MM * whole / np.maximum(spans.length, SAME_PLACE_MM)
    lead = np.where(lead < room, lead + 1.0, lead)
    count = np.maximum(np.floor(whole - room - lead) + 1, 0.0)
    tail = whole - (lead + count - 1)
    # one stretch of the first pass, sewn on without a break
    broken = (np.abs(reached - before) > _SLACK) | (np.append(0.0, np.diff(passed)) < 0)
    broken[begin] = False
    good = ~np.logical_or.reduceat(broken, begin)
    good &= (count > 0) & (lead <= 1.0) & (tail <= 1.0 + _SLACK)
    holes = np.where(good, count, 0.0).astype(np.int64)
    # what is not used stays in order, so that the rest can be looked up
    passed = np.where(np.repeat(good, sizes), passed, np.arange(len(passed)) / len(passed))
    passed -= np.repeat(passed[begin], sizes)
    whole = passed[last]
    # first point, holes and last point of each span, on one long measure through all spans
    offset = np.arange(len(spans)) * (float(whole.max()) + 2.0)
    measure = passed + np.repeat(offset, sizes)
    number = ranges(np.zeros(len(spans), np.int64), holes + 2)
    base = np.concatenate([[0], np.cumsum(holes + 2)])
    mine = np.repeat(np.arange(len(spans)), holes + 2)
    mark = (offset + lead - 1.0)[mine] + number
    mark[base[:-1]], mark[base[1:] - 1] = offset, offset + whole
    tenths = np.empty((2, len(mark)), np.int64)
    for axis in (0, 1):
        spot = np.interp(mark, measure, spans.points[:, axis])
        tenths[axis] = np.rint(spot / NEEDLE_GRID_MM)
    # the room is reckoned in even stitches, and those of a bend are not
    short = np.hypot(*np.diff(tenths)) * NEEDLE_GRID_MM < LEAST_STITCH_MM - SAME_PLACE_MM
    good[mine[1:][short & (number[1:] > 0)]] = False
    stretch = np.searchsorted(measure, mark - _SLACK, side="right") - 1
    place = np.interp(measure, mark, number)
    spans = replace(spans, count=(holes + 1).astype(np.float64))
    inner = number > 0
    laid = Laid(
        x=tenths[0, inner],
        y=tenths[1, inner],
        vertex=spans.index[stretch[inner]],
        position=place,
        worst=chord_errors(spans, place, base, tenths),
    )
    return spans, laid, good
