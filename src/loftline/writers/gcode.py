"""Needle points as a part program in the words of ISO 6983, for frames on an open controller.

ISO 6983-1 gives the words: ``G21`` millimetres, ``G90`` places and not steps, ``G94`` feed in
millimetres a minute, ``G0`` move, ``G1`` straight at the feed, ``F`` the feed, ``M3`` and
``M5`` start and stop of what turns, ``M0`` wait, ``M30`` end. What turns is the needle: it
goes down once where the frame stands at ``M3``, and once more at the end of each ``G1``
block, until ``M5``. The file says so itself, in comments.
"""

from __future__ import annotations

import numpy as np

from loftline.values import Ints, Sewn

MEANINGS = (
    "mm, x to the right, y up, outer fabric {side}",
    "G0: the frame moves, needle and foot up",
    "M3: the needle goes down here, and at the end of each G1 block until M5",
    "M5: needle up, end of a run, the thread is cut",
)
WAITS = "M0: waits until the thread is cut by hand"


def write_gcode(
    sewn: Sewn, *, name: str, stop: bool, stitches_per_minute: float, outer_up: bool = True
) -> bytes:
    """A part program that holds every needle point of ``sewn``, in order, and nothing else.

    Args:
        sewn: at least one needle point; ``sewn.origin`` becomes the program's zero.
        name: printable ASCII.
        stop: whether the controller waits between runs.
        stitches_per_minute: the feed is this times the mean length of a stitch.
        outer_up: whether the outer fabric lies up; it is told.

    Returns:
        ASCII text; places in millimetres to one decimal. O(n).
    """
    points = _words(np.column_stack((sewn.x, sewn.y)) - sewn.origin)
    places = _words(sewn.via - sewn.origin)
    starts = np.flatnonzero(np.diff(sewn.run, prepend=sewn.run[0] - 1))
    ends = np.append(starts[1:], len(sewn))
    leads = np.searchsorted(sewn.via_run, sewn.run[starts])
    arrives = np.searchsorted(sewn.via_run, sewn.run[starts], side="right")
    title = name.replace("(", "[").replace(")", "]")  # round ones would end the comment
    told = (words.format(side="up" if outer_up else "down") for words in MEANINGS)
    blocks = [f"({words})" for words in (title, *told, *((WAITS,) if stop else ()))]
    blocks += ["G21", "G90", "G94", f"F{_feed(sewn, stitches_per_minute)}"]
    bounds = np.column_stack((starts, ends, leads, arrives)).tolist()
    for start, end, lead, arrive in bounds:
        if start and stop:
            blocks.append("M0")
        blocks += [f"G0 {place}" for place in places[lead:arrive]]
        blocks += [f"G0 {points[start]}", "M3"]
        blocks += [f"G1 {place}" for place in points[start + 1 : end]]
        blocks.append("M5")
    return "\n".join([*blocks, "M30", ""]).encode("ascii")


def _words(tenths: Ints) -> list[str]:
    """``X12.3 Y-4.5`` for each place."""
    return [f"X{x:.1f} Y{y:.1f}" for x, y in (tenths / 10 + 0.0).tolist()]


def _feed(sewn: Sewn, stitches_per_minute: float) -> int:
    """Millimetres a minute, whole, at least 1."""
    within = np.diff(sewn.run) == 0
    length = np.hypot(np.diff(sewn.x), np.diff(sewn.y))[within] / 10
    return max(1, round(stitches_per_minute * float(length.mean()))) if length.size else 1
