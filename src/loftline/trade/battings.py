"""Battings: how far apart quilting lines may lie on them.

Source of the distances: makers' instructions collected by quilting handbooks. Loose
thicknesses are common practice. For foam and fleece none is published; those stand in
:mod:`loftline.trade.foams`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from loftline.trade.words import by_name, plain
from loftline.units import SAME_PLACE_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Batting:
    """A kind of batting.

    Attributes:
        names: names it goes by, the first of them shown.
        close: lines this close (mm) are safe by every maker's instruction.
        greatest: greatest distance (mm) that any of them allows.
        thickness: loose, mm.
    """

    names: tuple[str, ...]
    close: float
    greatest: float
    thickness: float

    def limit(self, distance: float) -> tuple[float, bool] | None:
        """The limit that lines so far apart (mm) overstep, and whether it is every maker's.

        >>> UNKNOWN.limit(20), UNKNOWN.limit(30), UNKNOWN.limit(60)
        (None, (25, False), (50, True))
        """
        if distance <= self.close + SAME_PLACE_MM:
            return None
        beyond = distance > self.greatest + SAME_PLACE_MM
        return self.greatest if beyond else self.close, beyond


UNKNOWN: Final = Batting(names=("batting", "wadding"), close=25, greatest=50, thickness=3.0)
"""Batting of which no more is known."""

BATTINGS: Final = (
    Batting(
        names=("needle-punched batting with scrim", "batting with scrim", "scrim batting"),
        close=250,
        greatest=250,
        thickness=2.5,
    ),
    Batting(
        names=(
            "cotton batting",
            "bamboo batting",
            "needle-punched batting",
            "needle-punched cotton batting",
        ),
        close=200,
        greatest=200,
        thickness=2.5,
    ),
    Batting(
        names=("cotton-wool batting", "80/20 batting", "cotton-wool 80/20 batting"),
        close=100,
        greatest=100,
        thickness=3.0,
    ),
    Batting(
        names=("wool batting", "polyester batting", "fat polyester batting", "high-loft batting"),
        close=75,
        greatest=75,
        thickness=6.0,
    ),
    Batting(names=("plain cotton batting",), close=40, greatest=50, thickness=3.0),
    UNKNOWN,
)

_BY_NAME: Final = by_name(BATTINGS)


def find_batting(kind: str) -> Batting | None:
    """The batting a maker means: ``80/20 cotton batting`` is some batting, foam is none.

    "Wadding" is another word for batting, and the word itself may be left out
    where the rest is a row of the table.

    >>> find_batting("Wool wadding").greatest, find_batting("recycled batting").greatest
    (75, 50)
    >>> find_batting("foam") is None
    True
    """
    words = plain(kind).replace("wadding", "batting")
    found = _BY_NAME.get(words) or _BY_NAME.get(f"{words} batting")
    if found is None and "batting" in words.split():
        return UNKNOWN
    return found
