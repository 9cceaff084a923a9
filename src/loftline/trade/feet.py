"""Presser feet: which one for which work, and why. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """A presser foot and what speaks for it."""

    name: str
    why: str


WALKING: Final = Foot(
    name="walking foot", why="it feeds both sides alike, so thick layers do not creep"
)
FREE_MOTION: Final = Foot(
    name="free-motion foot, feed dogs lowered",
    why="you guide the panel every way, which curves need",
)
HOOP: Final = Foot(
    name="free-motion foot, set to the height of the layers",
    why="the hoop moves the panel, so the foot must hop and not press",
)


def choose_foot(*, by_hand: bool, straight: bool) -> Foot:
    """The foot for quilting.

    Args:
        by_hand: whether the maker guides the panel, not a hoop.
        straight: whether all lines are straight.

    >>> choose_foot(by_hand=True, straight=False).name
    'free-motion foot, feed dogs lowered'
    """
    if not by_hand:
        return HOOP
    return WALKING if straight else FREE_MOTION
