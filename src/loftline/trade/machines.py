"""What sewing machines do: speeds, stops, lifts, stitch lengths.

Sources: makers' figures for home and commercial machines; machine embroidery handbooks for
the seconds of a stop; quilting handbooks for stitch lengths. What is common practice says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

HOME_SPEED: Final = (400.0, 800.0)
"""Stitches per minute of a home machine; commercial ones sew 600 to 1000."""

STOP_SECONDS: Final = (6.0, 20.0)
"""What each stop, trim or change of thread takes, quick to slow."""

SECONDS_AT_CUT: Final[Mapping[str, float]] = MappingProxyType(
    {"trim": STOP_SECONDS[0], "stop": STOP_SECONDS[1]}
)
"""A machine that trims by itself is quick; one that stops waits for a hand."""

HAND_SPEED_SHARE: Final = 0.5
"""Hand-guided sewing runs at about half the machine's speed (common practice)."""

HAND_SECONDS_AT_CUT: Final = 10.0
"""Off the edge: stop, snip, find the next start, hold both threads (common practice)."""

HAND_SECONDS_AT_END_INSIDE: Final = 15.0
"""Besides, where a run begins or ends inside: two thread ends pulled up, knotted and buried
(common practice). Off the edge the seam holds them."""

HAND_SECONDS_AT_TURN: Final = 4.0
"""Needle down, foot up, swing the panel, foot down (common practice)."""

FOOT_LIFT_MM: Final = 8.0
"""How high a presser foot lifts."""

QUILTING_STITCH_MM: Final = (2.5, 3.0)
"""Usual stitch length with a walking foot."""

THICK_STITCH_MM: Final = (2.8, 3.2)
"""The same for thick batting or heavy thread."""

SECONDS_AT_BOBBIN: Final = 60.0
"""A full bobbin put in, the thread drawn up (common practice); winding comes before."""

MINUTES_AT_PLACING: Final[Mapping[str, float]] = MappingProxyType({"floated": 6.0, "clamped": 4.0})
"""Backing hooped, panel laid on it by its marks and held; or panel hooped (common practice)."""

MINUTES_OF_PRESSING: Final = 3.0
"""One pressing of a panel, where the cloth bears an iron (common practice)."""

PRESSINGS: Final = 2
"""Before the lining is joined, and the finished bag (common practice)."""

MINUTES_AT_SEAM: Final = 1.0
"""Two edges laid on each other and clipped, for each piece of a seam (common practice)."""

SLOW_CURVE_MM: Final = 25.0
"""Guided by hand, curves of a smaller radius are sewn slower, in proportion ..."""

SLOWEST_SHARE: Final = 0.4
"""... but at this share of the speed at least (both common practice, no source)."""

FULL_SPEED_STITCH_MM: Final = 4.0
"""A machine that moves the hoop sews longer stitches slower, in proportion (common practice)."""
