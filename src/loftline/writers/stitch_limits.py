"""What a stitch format cannot hold, said before anything is written."""

from __future__ import annotations

import numpy as np

from loftline.errors import ExportError
from loftline.values import Ints, Sewn
from loftline.writers import dst_header, jef_header
from loftline.writers.stitch_formats import FORMATS, Format

PES_LIST = 0xFFFFFF
"""Bytes that the length of the pes stitch list can count; half is left to long moves."""

MOST_POINTS = 1_000_000
"""Needle points of one file: more than a day of sewing, and what our own readers take."""


def limit(ext: str, sewn: Sewn, *, at_cuts: str) -> str | None:
    """Why a format cannot hold the plan, as the rest of a sentence; ``None`` if it can.

    Raises:
        ExportError: when there is nothing to sew or the ending is unknown.
    """
    form = FORMATS.get(ext)
    if form is None:
        raise ExportError(f'".{ext}" is no stitch format; there are {", ".join(sorted(FORMATS))}')
    if len(sewn) == 0:
        raise ExportError(f"the {ext} file would be empty: there is nothing to sew")
    within = np.diff(sewn.run) == 0
    step = np.maximum(np.abs(np.diff(sewn.x)), np.abs(np.diff(sewn.y)))[within]
    if step.size and step.max() > form.greatest_step:
        return (
            f"its stitches are at most {form.greatest_step / 10:g} mm long on each axis, "
            f"one here is {step.max() / 10:g} mm"
        )
    return (
        _limit_of_size(ext, sewn)
        or _limit_of_stops(form, run_starts(sewn).size if at_cuts == "stop" else 1)
        or _limit_of_moves(form, sewn)
    )


def _limit_of_size(ext: str, sewn: Sewn) -> str | None:
    if len(sewn) > MOST_POINTS:
        return f"a file has at most {MOST_POINTS:,} needle points, here there are {len(sewn):,}"
    extent = reach(sewn)
    if ext == "jef" and max(extent) >= jef_header.GREATEST_REACH:
        return (
            "its largest hoop is 200 by 200 mm, and the stitching goes "
            f"{max(extent) / 10:g} mm from the hoop's centre"
        )
    if ext == "dst" and max(extent) + 2 > dst_header.GREATEST_EXTENT:
        return f"its header measures 9999.9 mm at most, here it is {max(extent) / 10:g} mm"
    farthest = FORMATS[ext].farthest
    across = max(extent[0] + extent[2], extent[1] + extent[3])
    if farthest is not None and across > farthest:
        return f"it measures {farthest / 10:g} mm at most, here it is {across / 10:g} mm"
    if ext == "pes" and 4 * (len(sewn) + len(sewn.via)) > PES_LIST // 2:
        return f"its stitch list is too short for {len(sewn):,} needle points"
    return None


def _limit_of_stops(form: Format, blocks: int) -> str | None:
    if form.most_blocks is not None and blocks > form.most_blocks:
        return f"it counts {form.most_blocks} runs at most when the machine stops at cuts"
    return None


def _limit_of_moves(form: Format, sewn: Sewn) -> str | None:
    if not form.jumps and len(sewn.via):
        return (
            "between runs it always moves straight, and one of the moves here must go round "
            "what sits above"
        )
    return None


def reach(sewn: Sewn) -> tuple[int, int, int, int]:
    """How far the stitching goes from the file's zero: left, top, right, bottom."""
    x = np.concatenate((sewn.x, sewn.via[:, 0])) - sewn.origin[0]
    y = np.concatenate((sewn.y, sewn.via[:, 1])) - sewn.origin[1]
    extent = (-x.min(), y.max(), x.max(), -y.min())
    left, top, right, bottom = (max(0, int(value)) for value in extent)
    return left, top, right, bottom


def run_starts(sewn: Sewn) -> Ints:
    """Index of the first needle point of each run."""
    return np.flatnonzero(np.diff(sewn.run, prepend=sewn.run[0] - 1))
